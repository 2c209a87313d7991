"""All that follows from a frame once it has come to rest, and what of it is cut otherwise than before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from app.window.shown_words import STEP_WORDS
from app.window.words import joined, tr
from geometry.bend import bend_table
from geometry.end_cut import EndCut, line_apart
from geometry.findings import Finding
from geometry.fitup import Fitted, FittedPart, changed_ends, solve
from geometry.frame import END_NAMES, Frame
from templates_out.frame_result import FrameResult, solve_frame
from templates_out.frame_words import length_words

_SAME_MM, _SAME_DEG = 0.05, 0.02
_ENDS = {"start": tr("its start is cut otherwise"), "finish": tr("its finish is cut otherwise")}


@dataclass(frozen=True, eq=False)
class Looked:
    """What was found.

    Attributes:
        result: all that follows from the frame.
        findings: of the frame, after those of parts that are made and would be made otherwise now.
        changed: what is cut otherwise than before, in words; "" for nothing.
    """

    result: FrameResult
    findings: tuple[Finding, ...]
    changed: str


def looked_over(
    frame: Frame, before: Frame | None, marked: Mapping[str, tuple[str, Frame]]
) -> Looked:
    """All that follows from a frame.

    Args:
        frame: as it is.
        before: what it is compared with.
        marked: of each part that is marked as made, what it was called then, and the frame that it was made for.
    """
    result = solve_frame(frame)
    made = [
        found
        for part, (name, then) in marked.items()
        if then != frame and (found := _made_otherwise(part, name, solve(then), result))
    ]
    ends = changed_ends(solve(before), result.fitted) if before is not None else []
    words = tr("Cut otherwise than before: {ends}.").format(ends="; ".join(ends)) if ends else ""
    return Looked(result, (*made, *result.findings), words)


def _made_otherwise(part: str, name: str, then: Fitted, result: FrameResult) -> Finding | None:
    """What is said of a part that is made, and not as it would be made now; None where it is the same."""
    was = next((one for one in then.parts if one.part.name == name), None)
    one = next((one for one in result.fitted.parts if one.part.name == part), None)
    if was is None or one is None:
        return None
    words = [
        _ENDS[end]
        for end, old, new in zip(END_NAMES, was.cuts, one.cuts, strict=True)
        if not _same_line(old, new)
    ]
    longer = one.supplied_length - was.supplied_length
    if abs(longer) >= _SAME_MM:
        by = length_words(abs(longer), result.units)
        words.append(
            (tr("it is {by} longer") if longer > 0 else tr("it is {by} shorter")).format(by=by)
        )
    if one.part.section != was.part.section or one.part.stock.material != was.part.stock.material:
        words.append(tr("it is of other tube"))
    if not _same_bends(was, one):
        words.append(tr("it is bent otherwise"))
    if not words:
        return None
    what = tr("It is marked as {step}, and would be made otherwise now: {how}.")
    do = tr("Undo that; or make it anew, and mark it as nothing yet and then as made again.")
    step = STEP_WORDS[result.fitted.frame.progress[part]]
    return Finding("made-otherwise", "warning", part, what.format(step=step, how=joined(words)), do)


def _same_line(one: EndCut | None, other: EndCut | None) -> bool:
    """Two ends are cut along the same line, whatever they sit on is called now."""
    if one is None or other is None:
        return one is other
    if one.at.end.fit != other.at.end.fit and "cope" in (one.kind, other.kind):
        return False
    return line_apart(one, other) < _SAME_MM


def _same_bends(was: FittedPart, one: FittedPart) -> bool:
    """The same angles, radii and turns, the same straights between them, and as far from the tube's ends."""
    before, now = was.part.path, one.part.path
    if len(before.radii) != len(now.radii):
        return False
    if not now.radii:
        return True
    rows = zip(bend_table(before), bend_table(now), strict=True)
    bends = all(
        abs(a.angle_deg - b.angle_deg) < _SAME_DEG
        and abs((a.rotation_deg - b.rotation_deg + 180.0) % 360.0 - 180.0) < _SAME_DEG
        and abs(a.clr - b.clr) < _SAME_MM
        and (number == 0 or abs(a.length - b.length) < _SAME_MM)
        for number, (a, b) in enumerate(rows)
    )
    return bends and all(
        abs(_last_straight(was, end) - _last_straight(one, end)) < _SAME_MM for end in (0, -1)
    )


def _last_straight(one: FittedPart, end: int) -> float:
    """From the outermost bend to the long point of its end, mm."""
    cut = one.cuts[end]
    return one.part.path.straights[end] + (cut.shift + cut.long_point if cut is not None else 0.0)
