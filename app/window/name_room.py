"""Where on a picture there is room for a name."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF

_ROWS = (0, -1, 1, -2, 2)


def free_place(
    box: QRectF, spots: Sequence[QPointF], taken: Sequence[QRectF], room: QRectF
) -> QRectF | None:
    """Where a box lies over no other and inside the room; None for nowhere.

    Args:
        box: as large as is needed.
        spots: where its middle may be, the best one first; or one or two rows above or below each.
        taken: boxes that are there already.
        room: where it must be.
    """
    for rows in _ROWS:
        for spot in spots:
            tried = box.translated(spot - box.center() + QPointF(0.0, rows * box.height()))
            if room.contains(tried) and not any(tried.intersects(other) for other in taken):
                return tried
    return None
