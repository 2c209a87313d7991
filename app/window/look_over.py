"""All that follows from a frame once it has come to rest, and what of it is cut otherwise than before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from app.window.shown_words import STEP_WORDS
from app.window.words import joined, tr
from geometry.findings import Finding
from geometry.fitup import Fitted, changed_ends, solve
from geometry.frame import END_NAMES, Frame
from templates_out.frame_result import FrameResult, solve_frame
from templates_out.frame_words import length_words

_SAME_MM = 0.05
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


def looked_over(frame: Frame, before: Frame | None, marked: Mapping[str, Frame]) -> Looked:
    """All that follows from a frame.

    Args:
        frame: as it is.
        before: what it is compared with.
        marked: of each part that is marked as made, the frame that it was made for.
    """
    result = solve_frame(frame)
    made = [
        found
        for part, then in marked.items()
        if part in frame.progress
        and (found := _made_otherwise(part, solve(then), result.fitted, frame))
    ]
    ends = changed_ends(solve(before), result.fitted) if before is not None else []
    words = tr("Cut otherwise than before: {ends}.").format(ends="; ".join(ends)) if ends else ""
    return Looked(result, (*made, *result.findings), words)


def _made_otherwise(part: str, then: Fitted, now: Fitted, frame: Frame) -> Finding | None:
    """What is said of a part that is made, and not as it would be made now; None where it is the same."""
    was, one = (
        next((one for one in fitted.parts if one.part.name == part), None) for fitted in (then, now)
    )
    if was is None or one is None:
        return None
    ends = [end for end in END_NAMES if f"{part}, {end}" in changed_ends(then, now)]
    longer = one.cut_length - was.cut_length
    other = one.part.section != was.part.section or one.part.path.radii != was.part.path.radii
    if not ends and abs(longer) < _SAME_MM and not other:
        return None
    words = [_ENDS[end] for end in ends]
    if abs(longer) >= _SAME_MM:
        by = length_words(abs(longer), frame.units)
        words.append(
            (tr("it is {by} longer") if longer > 0 else tr("it is {by} shorter")).format(by=by)
        )
    if other:
        words.append(tr("its section or its bends are others"))
    what = tr("It is marked as {step}, and would be made otherwise now: {how}.")
    do = tr("Undo that; or make it anew, and mark it as nothing yet and then as made again.")
    step = STEP_WORDS[frame.progress[part]]
    return Finding("made-otherwise", "warning", part, what.format(step=step, how=joined(words)), do)
