"""A picture in space, turned by dragging: flat pieces painted from the farthest to the nearest."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.focus_frame import paint_focus
from app.window.space_camera import turned_axes
from app.window.turn_keys import turn_by_key
from app.window.words import tr
from geometry.arrays import Floats
from geometry.solid import Scene

_MARGIN_PX = 40
_SHADES = 48
_LIGHT = np.array([-0.35, 0.45, 0.82])


class SolidView(QWidget):
    """Tubes in space, seen from where the person has turned them. Needs no graphics card."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(160, 120)
        self.setToolTip(tr("Drag to turn, wheel to zoom, F to fit"))
        self.turn_deg, self.tilt_deg, self._zoom = -50.0, 15.0, 1.0
        self._make: Callable[[], Scene] | None = None
        self._scene: Scene | None = None
        self._corners = np.zeros((0, 4, 3))
        self._normals = np.zeros((0, 3))
        self._tones = np.zeros(0, dtype=int)
        self._lift = 0.0
        self._grip: QPointF | None = None

    def set_scene(self, make: Callable[[], Scene]) -> None:
        """Show what ``make`` makes, when it is first painted; the view stays as it was turned."""
        self._make = make
        self.update()

    def _take(self, scene: Scene) -> None:
        self._scene = scene
        self._corners = np.concatenate([skin.quads for skin in scene.skins])
        across = self._corners[:, 2] - self._corners[:, 0]
        up = self._corners[:, 3] - self._corners[:, 1]
        normals = np.cross(across, up)
        sizes = np.linalg.norm(normals, axis=1)
        self._lift = float(np.median(np.linalg.norm(across, axis=1))) / 2
        self._normals = normals / np.maximum(sizes, 1e-12)[:, None]
        self._tones = np.repeat(
            [skin.tone for skin in scene.skins], [len(skin.quads) for skin in scene.skins]
        )

    def fit(self) -> None:
        """Show all of the scene, as it is turned."""
        self._zoom = 1.0
        self.update()

    def axes(self) -> Floats:
        """Rows (3, 3): what is to the right, up, and towards the viewer on the picture."""
        return turned_axes(self.turn_deg, self.tilt_deg)

    def placed(self, points: Floats) -> Floats:
        """Points (n, 3) in mm as pixels across and down, and how near they are, (n, 3)."""
        axes = self.axes()
        low, high = self._box()
        seen = (points @ axes.T - (low + high) / 2) * self._scale()
        return np.column_stack(
            (self.width() / 2 + seen[:, 0], self.height() / 2 - seen[:, 1], seen[:, 2])
        )

    def _box(self) -> tuple[Floats, Floats]:
        """Lowest and highest corner (3,) of the scene as it is turned, mm."""
        every = self._corners.reshape(-1, 3) @ self.axes().T
        return every.min(axis=0), every.max(axis=0)

    def _scale(self) -> float:
        """Pixels for a mm."""
        low, high = self._box()
        room = np.array([self.width(), self.height()]) - 2 * _MARGIN_PX
        return self._zoom * max(float(np.min(room / np.maximum(high - low, 1e-6)[:2])), 1e-6)

    def zoom(self, factor: float) -> None:
        """Nearer or farther, within reason."""
        self._zoom = min(max(self._zoom * factor, 0.3), 20.0)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the pieces that face the viewer, the farthest first."""
        make, self._make = self._make, None
        if make is not None:
            self._take(make())
        painter = QPainter(self)
        try:
            self._paint(painter)
        finally:
            painter.end()

    def _paint(self, painter: QPainter) -> None:
        palette = self.palette()
        painter.fillRect(self.rect(), palette.base())
        if self._scene is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink, base = palette.text().color(), palette.base().color()
        facing = self._normals @ self.axes()[2] > 0
        pieces = self.placed(self._corners[facing].reshape(-1, 3)).reshape(-1, 4, 3)
        light = _LIGHT / np.linalg.norm(_LIGHT)
        shine = np.clip((self._normals[facing] @ self.axes().T) @ light, 0.0, 1.0)
        shades = np.round(shine * (_SHADES - 1)).astype(int)
        colours = self._colours(palette.highlight().color(), base)
        lines = self._mark_pieces()
        nearness = np.concatenate((pieces[:, :, 2].mean(axis=1), lines[:, :, 2].mean(axis=1)))
        tones = self._tones[facing]
        flat, pen = pieces[:, :, :2], QPen(ink, 1.6)
        for index in np.argsort(nearness, kind="stable").tolist():
            if index < len(flat):
                colour = colours[int(tones[index]) % len(colours)][int(shades[index])]
                painter.setPen(QPen(colour, 0.7))
                painter.setBrush(colour)
                painter.drawConvexPolygon([QPointF(x, y) for x, y in flat[index].tolist()])
            else:
                (x0, y0, _), (x1, y1, _) = lines[index - len(flat)].tolist()
                painter.setPen(pen)
                painter.drawLine(QPointF(x0, y0), QPointF(x1, y1))
        self._write_labels(painter, ink, base)
        paint_focus(painter, self)

    def _mark_pieces(self) -> Floats:
        """The marks' pieces that face the viewer, (n, 2, 3), a little nearer than their surface."""
        back = self.axes()[2]
        seen = [np.zeros((0, 2, 3))]
        assert self._scene is not None  # noqa: S101 - asked for only with a scene
        for mark in self._scene.marks:
            placed = self.placed(mark.points)
            # Nearer by half a piece, or it would hide under its own surface.
            placed[:, 2] += self._lift * self._scale()
            faces = mark.outwards @ back > 0
            pairs = np.stack((placed[:-1], placed[1:]), axis=1)
            seen.append(pairs[faces[:-1] & faces[1:]])
        return np.concatenate(seen)

    @staticmethod
    def _colours(accent: QColor, base: QColor) -> list[list[QColor]]:
        """Shades for each tone: the tube in hand in the accent, the other one grey."""
        rows = []
        for hue, saturation in ((accent.hsvHueF(), 0.28), (0.0, 0.0)):
            low, high = (0.38, 0.96) if base.lightnessF() > 0.5 else (0.22, 0.85)
            rows.append(
                [
                    QColor.fromHsvF(
                        max(hue, 0.0), saturation, low + (high - low) * shade / (_SHADES - 1)
                    )
                    for shade in range(_SHADES)
                ]
            )
        return rows

    def _write_labels(self, painter: QPainter, ink: QColor, base: QColor) -> None:
        assert self._scene is not None  # noqa: S101 - asked for only with a scene
        if not self._scene.labels:
            return
        metrics = QFontMetricsF(self.font())
        plate = QColor(base)
        plate.setAlphaF(0.75)
        for label, (x, y, _) in zip(
            self._scene.labels,
            self.placed(np.array([label.at for label in self._scene.labels])).tolist(),
            strict=True,
        ):
            box = metrics.boundingRect(label.words)
            box.moveCenter(QPointF(x, y))
            left = min(max(box.left(), 4.0), max(self.width() - box.width() - 4.0, 4.0))
            top = min(max(box.top(), 4.0), max(self.height() - box.height() - 4.0, 4.0))
            box.moveTopLeft(QPointF(left, top))
            painter.fillRect(box.adjusted(-2, 0, 2, 0), plate)
            painter.setPen(ink)
            painter.drawText(box.adjusted(-4, 0, 4, 0), Qt.AlignmentFlag.AlignCenter, label.words)

    def turn(self, right_deg: float, up_deg: float) -> None:
        """Turn the scene; it never tips over."""
        self.turn_deg = (self.turn_deg - right_deg) % 360
        self.tilt_deg = min(max(self.tilt_deg + up_deg, -90.0), 90.0)
        self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom."""
        self.zoom(1.0015 ** event.angleDelta().y())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold."""
        self._grip = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Turn while held."""
        if self._grip is not None:
            moved = event.position() - self._grip
            self._grip = event.position()
            self.turn(moved.x() * 0.4, moved.y() * 0.4)

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        """Let go."""
        self._grip = None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows turn, plus and minus zoom, F fits."""
        if not turn_by_key(self, Qt.Key(event.key())):
            super().keyPressEvent(event)
