"""All that follows from a frame once it has come to rest, and what of it is cut otherwise than before."""

from __future__ import annotations

from dataclasses import dataclass

from app.window.words import tr
from geometry.fitup import changed_ends, solve
from geometry.frame import Frame
from templates_out.frame_result import FrameResult, solve_frame


@dataclass(frozen=True, eq=False)
class Looked:
    """What was found.

    Attributes:
        result: all that follows from the frame.
        changed: what is cut otherwise than before, in words; "" for nothing.
    """

    result: FrameResult
    changed: str


def looked_over(frame: Frame, before: Frame | None) -> Looked:
    """All that follows from a frame.

    Args:
        frame: as it is.
        before: what it is compared with.
    """
    result = solve_frame(frame)
    ends = changed_ends(solve(before), result.fitted) if before is not None else []
    words = tr("Cut otherwise than before: {ends}.").format(ends="; ".join(ends)) if ends else ""
    return Looked(result, words)
