"""Names written over a picture, each beside what it belongs to and none over another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QWidget

from app.window.space_camera import Camera
from geometry.arrays import Floats
from geometry.path import Path

_GAP_PX, _BESIDE_PX, _DOT_PX, _MARK_PX = 2.0, 3.0, 1.5, 4.0
_LINES = (0, -1, 1, -2, 2, -3, 3, -4, 4, -5, 5)
"""How many lines above or below its place a name may stand, the best first."""
_PLATE = 0.8
"""How much of what is below a name its plate covers."""


_SHARES = np.array([0.5, 0.3, 0.7, 0.15, 0.85])
"""Of a straight: where a name may stand, the best place first."""


@lru_cache(maxsize=4096)
def places_along(path: Path) -> Floats:
    """Places (n, 3) along a centreline that a name may belong to, the longest straight's first."""
    pieces = sorted(path.straight_pieces, key=lambda piece: -piece.length)
    return np.concatenate(
        [piece.start + _SHARES[:, None] * (piece.end - piece.start) for piece in pieces]
    )


@dataclass(frozen=True)
class Named:
    """A name.

    Attributes:
        words: what is written.
        x: of the place that it belongs to, pixels across.
        y: the same, pixels down.
        near: how near to the viewer that is; the nearest have the best places.
    """

    words: str
    x: float
    y: float
    near: float


def named_places(
    paths: Mapping[str, Path],
    words: Mapping[str, str],
    camera: Camera,
    width: float,
    height: float,
    section: float | None,
) -> Iterator[Named]:
    """Where the names of parts are written that are on the picture.

    Args:
        paths: centrelines, by the parts' names.
        words: what is written, where it is not the name.
        camera: where they are seen from.
        width: of the picture, pixels.
        height: the same.
        section: what lies to the left of it is not there, mm; None for everything.
    """
    middle = np.array([width, height]) / 2
    for name, path in paths.items():
        places = places_along(path)
        placed = camera.placed(places, width, height)
        there = np.all(np.abs(placed[:, :2] - middle) < middle, axis=1)
        if section is not None:
            there &= places[:, 1] <= section
        if np.any(there):
            x, y, near = placed[there][0].tolist()
            yield Named(words.get(name, name), x, y, near)


def write_line(painter: QPainter, view: QWidget, placed: Floats) -> None:
    """A tube to come, as a dashed line over the picture through places (n, 3), pixels across and down, and how near."""
    painter.setPen(QPen(view.palette().highlight().color(), 2.0, Qt.PenStyle.DashLine))
    painter.drawPolyline([QPointF(x, y) for x, y, _ in placed.tolist()])


def write_marks(
    painter: QPainter,
    view: QWidget,
    names: Sequence[str],
    placed: Floats,
    ink: QColor,
    paper: QColor,
) -> None:
    """Points over the picture, wherever the steel is, their names above where there is room.

    Args:
        painter: of the view.
        view: in pixels.
        names: of the points.
        placed: pixels across and down, and how near, (n, 3).
        ink: of the letters.
        paper: below them.
    """
    points = [Named(name, *at) for name, at in zip(names, placed.tolist(), strict=True)]
    painter.setFont(view.font())
    painter.setPen(ink)
    painter.setBrush(view.palette().highlight())
    for point in points:
        box = QRectF(point.x - _MARK_PX, point.y - _MARK_PX, 2 * _MARK_PX, 2 * _MARK_PX)
        painter.drawRect(box)
    above = [replace(point, y=point.y - 4 * _MARK_PX) for point in points]
    write_names(painter, above, view.width(), view.height(), ink, paper)


def write_names(
    painter: QPainter,
    names: Sequence[Named],
    width: float,
    height: float,
    ink: QColor,
    paper: QColor,
) -> None:
    """Write them; a line leads from one that has had to give way to its place.

    Args:
        painter: on the picture, its font set.
        names: what is to be written.
        width: of the picture, pixels.
        height: of the picture.
        ink: of the letters.
        paper: of the plates below them.
    """
    plate = QColor(paper)
    plate.setAlphaF(_PLATE)
    metrics = QFontMetricsF(painter.font())
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(ink)
    ordered = sorted(names, key=lambda one: -one.near)
    sizes = [metrics.horizontalAdvance(one.words) + 2 * _BESIDE_PX for one in ordered]
    for one, box in zip(
        ordered, _boxes(ordered, sizes, metrics.height(), width, height), strict=True
    ):
        if box is None:
            continue
        if not box.contains(one.x, one.y):
            edge = box.top() if box.top() > one.y else box.bottom()
            painter.drawLine(QPointF(one.x, one.y), QPointF(one.x, edge))
            painter.drawEllipse(QPointF(one.x, one.y), _DOT_PX, _DOT_PX)
        painter.fillRect(box, plate)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, one.words)


def _boxes(
    names: Sequence[Named], sizes: Sequence[float], high: float, width: float, height: float
) -> list[QRectF | None]:
    """Where each stands, inside the picture; None for one that there is no room for."""
    found: list[QRectF | None] = []
    for one, wide in zip(names, sizes, strict=True):
        left = max(min(one.x - wide / 2, width - wide - _GAP_PX), _GAP_PX)
        tops = [one.y - high / 2 + lines * (high + _GAP_PX) for lines in _LINES]
        boxes = [
            QRectF(left, max(min(top, height - high - _GAP_PX), _GAP_PX), wide, high)
            for top in tops
        ]
        free = (box for box in boxes if not any(box.intersects(other) for other in found if other))
        found.append(next(free, None))
    return found
