"""What it means that a tube came back as it did, in words."""

from __future__ import annotations

from app.jobs.came_back import CameBack
from app.window.page_frame import finding_words
from app.window.shown_words import length_shown
from app.window.words import spoken, tr

HOLD_WORDS = {
    "all": tr("lay it with all its points as near as can be"),
    "start": tr("lay its first straight and bend 1 where they are drawn"),
    "finish": tr("lay its last straight and last bend where they are drawn"),
}
"""How a tube that is not as drawn may be laid in the jig."""


def meaning(came: CameBack, *, inches: bool) -> list[str]:
    """The verdict, what else is found, and what there is to choose; a paragraph each."""
    # For the book the verdict is one sentence.
    others = [one for one in came.findings if one.code != "as-bent"]
    return [
        *_verdict(came, inches=inches),
        *(finding_words(one) for one in others),
        *_advice(came),
    ]


def _verdict(came: CameBack, *, inches: bool) -> list[str]:
    """What is off, and what that does to the ends that are cut to the drawing, each on a line of its own."""
    verdict = next((one for one in came.findings if one.code == "as-bent"), None)
    if verdict is None:
        return []

    def as_read(measured: str) -> str:
        """What is judged here is in mm; the findings are in the frame's unit already."""
        return spoken(measured, inches=inches)

    off = tr("As bent, {off}.") if came.off else tr("As bent, it is as drawn.")
    words = [off.format(off=as_read(came.off))]
    if came.classed:
        allowed = tr(
            "What is said of bends, and of straights between them, without a class is within what class {name} allows."
        )
        words[0] += " " + allowed.format(name=came.frame.drawing.tolerance)
    drawn, real = (length_shown(one, inches=inches) for one in came.apart)
    if drawn != real:
        text = tr("The middles of its ends are {real} {unit} apart, drawn {drawn}.")
        words.append(text.format(real=real, drawn=drawn, unit="in" if inches else "mm"))
    count, bad = came.ends
    if bad:
        text = tr(
            "Of {n} ends that are cut to the drawing and sit on it, or are moved by it, {bad} would not seat as it lies: wider "
            "open than is usual for a weld (ISO 5817, level C), or too long."
        )
        words.append("\n– ".join([text.format(n=count, bad=len(bad)), *map(as_read, bad)]))
    return [*words, spoken(verdict.do, inches=inches)]


def _advice(came: CameBack) -> list[str]:
    """What else there is to choose, and what it would cost."""
    words = []
    if came.better is not None:
        hold, count = came.better
        text = (
            tr('With "{how}", all ends that are cut to the drawing seat.')
            if count == 0
            else tr(
                'With "{how}", {n} that are cut to the drawing would not seat, instead of {now}.'
            )
        )
        words.append(text.format(how=HOLD_WORDS[hold], n=count, now=came.unseated))
    return words
