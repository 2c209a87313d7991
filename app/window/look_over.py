"""All that follows from a frame once it has come to rest, and what of it is cut otherwise than before."""

from __future__ import annotations

from app.window.words import tr
from geometry.fitup import changed_ends, solve
from geometry.frame import END_NAMES, Frame
from templates_out.frame_result import FrameResult, solve_frame


def looked_over(
    frame: Frame, before: Frame | None, *, made: bool = False
) -> tuple[FrameResult, str]:
    """All that follows from a frame, and what of it is cut otherwise than before, in words.

    Args:
        frame: as it is.
        before: what it is compared with.
        made: only what is marked as made counts.
    """
    result = solve_frame(frame)
    if before is None:
        return result, ""
    changed = changed_ends(solve(before), result.fitted)
    words = tr("Cut otherwise than before: {ends}.")
    if made:
        there = {f"{part}, {end}" for part in frame.progress for end in END_NAMES}
        changed = [end for end in changed if end in there]
        words = tr(
            "Marked as made, and cut otherwise now: {ends}. Undo it, or make that part anew."
        )
    return result, words.format(ends="; ".join(changed)) if changed else ""
