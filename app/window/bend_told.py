"""What is said when a bent tube was put into the frame from a page of its own."""

from __future__ import annotations

from app.window.shown_words import in_a_row, length_shown
from app.window.words import joined, tr
from geometry.bend_plan import BendJob
from geometry.frame import Frame
from geometry.tool_exchange import bent_on


def bend_told(before: Frame, after: Frame, name: str, job: BendJob) -> str:
    """What became of its radii, of the bender that is typed there, and of the tubes that were in the frame; "" for nothing.

    Args:
        before: the frame.
        after: with the tube.
        name: the tube's.
        job: what the page says.
    """
    told = (_radii_told(before, after, name), *_bender_told(before, after, name, job))
    return " ".join(words for words in told if words)


def _radii_told(before: Frame, after: Frame, name: str) -> str:
    was = next((tube.radii for tube in before.tubes if tube.name == name), ())
    now = after.tube(name).radii
    if not was or was == now:
        return ""
    had, have = (
        in_a_row(length_shown(one, inches=after.units == "in") for one in dict.fromkeys(radii))
        for radii in (was, now)
    )
    return tr("Its bends had radii of {before} and have {after} now.").format(
        before=had, after=have
    )


def _bender_told(before: Frame, after: Frame, name: str, job: BendJob) -> list[str]:
    words = []
    new = [tool for tool in after.tools if tool not in before.tools]
    if new and not job.tools:
        text = tr(
            "{tool} came along, a bending tool. Its former's radius is reckoned, as none was given: type your own, in the "
            "list {tools}."
        )
        words.append(text.format(tool=joined(new), tools=tr("Tools")))
    was, now = bent_on(before), bent_on(after)
    trials = job.trials + tuple(one.trial for _, tool in job.tools for one in tool.trials)
    mark = next((tool.reference for _, tool in job.tools), job.tool_reference)
    bends = now.get(name, ())
    other = {
        tool for tool, reference, tried in filter(None, bends)
        if reference != mark or {*tried} != {*trials}
    }  # fmt: skip
    if other and (trials or mark):
        text = tr(
            "It is bent on {tools}, whose mark and trial bends in the frame count; they are not all that stands on the page {page}."
        )
        words.append(text.format(tools=joined(sorted(other)), page=tr("Bend")))
    if None in bends and after.tools:
        words.append(tr("No bending tool of the frame leaves every bend of it: its settings there are estimates."))  # fmt: skip
    changed = [one for one, there in now.items() if one != name and was.get(one, there) != there]
    if changed:
        text = tr("With the tools as they are now these are bent otherwise than before: {tubes}.")
        words.append(text.format(tubes=joined(changed)))
    return words
