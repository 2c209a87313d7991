"""A whole frame in space, drawn by VTK off screen and shown as a picture; where VTK cannot draw, the view says so."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.colours import rgb_of
from app.window.focus_frame import paint_focus
from app.window.space_camera import Camera
from app.window.space_names import named_places, write_line, write_marks, write_names
from app.window.space_smooth import Aside, Bytes, Smoothing, at_once, image_of
from app.window.turn_keys import turn_by_key
from app.window.words import tr
from geometry.arrays import Floats
from geometry.fitup import FittedPart
from geometry.mesh import SolidMesh
from geometry.path import Point
from geometry.solid_mesh import solid_meshes

if TYPE_CHECKING:
    from app.window.space_drawing import SpaceDrawing

_DEG_FOR_PX = 0.4
_CLICK_PX = 4.0
_ROOM_MM = 100.0
_VIEWS = {"side": (-90.0, 0.0), "above": (-90.0, 90.0), "front": (0.0, 0.0), "free": (-50.0, 20.0)}
_KEYS = {
    Qt.Key.Key_1: "side", Qt.Key.Key_2: "above", Qt.Key.Key_3: "front", Qt.Key.Key_0: "free"
}  # fmt: skip


class SpaceView(QWidget):
    """A frame in space. Needs no graphics card.

    Signals:
        part_picked: the tube and the part clicked on (at ``clicked``); both "" for a click beside everything.
        failed: one sentence, when it turns out that nothing can be drawn here.
    """

    part_picked = Signal(str, str)
    failed = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(160, 120)
        self.setToolTip(tr(
            "Drag to turn, drag with Shift or the right button to move, wheel to zoom about the pointer, "
            "F to fit, click to pick a tube; 1, 2, 3 and 0 for side, above, front and free"
        ))  # fmt: skip
        self.problem = ""
        self.camera = Camera(np.zeros(3), 1.0, *_VIEWS["free"])
        self._parts: dict[str, FittedPart] = {}
        self._labels: Mapping[str, str] = {}
        self._tones: Mapping[str, int] = {}
        self._meshes: dict[str, SolidMesh] | None = {}
        self._tube = ""
        self._marked, self._line = dict[str, Point](), tuple[str, ...]()
        self._section: float | None = None
        self._named = self._lined = self._moved = False
        self._fitted = self._fit_next = True
        self._drawing: SpaceDrawing | None = None
        self._image: QImage | None = None
        self._pixels: Bytes | None = None
        self._smoothing = Smoothing(self._drawn_aside, self)
        self._smoothing.finished.connect(self._take)
        self._smoothing.finished.connect(lambda _: self.update())
        self._pressed: QPointF | None = None
        self._grip = self.clicked = QPointF()

    def set_frame(
        self,
        parts: Sequence[FittedPart],
        labels: Mapping[str, str] | None = None,
        tones: Mapping[str, int] | None = None,
    ) -> None:
        """Show a frame; it is seen from where it was turned to.

        Args:
            parts: what it is made of.
            labels: what is written beside a part, by its name; else that.
            tones: how far a part is made, by its name, from 0 (nothing) to 4 (welded); else 0.
        """
        # What is new is to be seen, and what is left without what is gone, unless somebody looks at something closely.
        before, self._parts = self._parts, {one.part.name: one for one in parts}
        self._fit_next |= self._fitted and before.keys() != self._parts.keys()
        self._labels, self._tones = labels or {}, tones or {}
        self._meshes = None
        self._again()

    def choose(self, tube: str) -> None:
        """Show a tube's parts in the accent and with heavier lines; "" for none."""
        if tube != self._tube:
            self._tube = tube
            self._again()

    def mark(self, points: Mapping[str, Point], line: Sequence[str] = ()) -> None:
        """Show where points are, by their names, and a line through some of them, which is to be seen whole."""
        if self._marked == points and self._line == tuple(line):
            return
        self._marked, self._line = dict(points), tuple(line)
        if self._fitted and self._line:
            x, y, _ = self.placed(np.array([self._marked[name] for name in self._line])).T
            if min(x.min(), y.min()) < 0 or x.max() > self.width() or y.max() > self.height():
                self.fit()
        self.update()

    def perspective(self, on: bool) -> None:
        """What is nearer is larger, or as large as the rest."""
        self.camera = replace(self.camera, perspective=on)
        self._fit_next = self._fit_next or self._fitted
        self._again()

    def section(self, y: float | None) -> None:
        """Show only what lies at y or to the right of it, mm from the centre-plane; None for everything."""
        if y != self._section:
            self._section = y
            self._again()

    def names(self, on: bool) -> None:
        """Write the parts' names, or not."""
        self._named = on
        self.update()

    def lines_only(self, on: bool) -> None:
        """Black lines on white paper, hidden ones left out; or shaded."""
        self._lined = on
        self._again()

    def fit(self) -> None:
        """Show all of it, as it is turned."""
        self._fitted = self._fit_next = True
        self._again()

    def turn(self, right_deg: float, up_deg: float) -> None:
        """Turn the frame; it never tips over."""
        self._turn_to(self.camera.turn_deg - right_deg, self.camera.tilt_deg + up_deg)

    def look_from(self, where: str) -> None:
        """Look from the right ("side"), from "above", from the "front", or as at first ("free")."""
        self._turn_to(*_VIEWS[where])
        self._fit_next = self._fit_next or self._fitted

    def _turn_to(self, turn_deg: float, tilt_deg: float) -> None:
        self._prepare()
        self.camera = self.camera.turned(turn_deg, tilt_deg, self._pivot())
        self._again()

    def _pivot(self) -> Floats:
        """What it turns about: the frame's middle, or what is seen in the middle where it is moved or zoomed."""
        if self._fitted or not self._parts:
            return self.camera.focus
        lines = [line for one in self._parts.values() for line in one.part.path.spine]
        starts, ways = (np.array([line[row] for line in lines]) for row in (1, 2))
        ends = starts + ways * np.array([line.size for line in lines])[:, None]
        return self.camera.in_the_middle(starts, ends, self.width(), self.height())

    def zoom(self, factor: float, about: QPointF | None = None) -> None:
        """Nearer or farther, about a pixel; else about the middle."""
        self._prepare()
        middle = QPointF(self.width() / 2, self.height() / 2)
        off = (about or middle) - middle
        self.camera = self.camera.zoomed(factor, off.x(), off.y())
        self._fitted = False
        self._again()

    def axes(self) -> Floats:
        """Rows (3, 3): what is to the right, up, and towards the viewer on the picture."""
        return self.camera.axes()

    def placed(self, points: Floats) -> Floats:
        """Points (n, 3) in mm as pixels of the widget across and down, and how near they are, (n, 3)."""
        self._prepare()
        return self.camera.placed(points, self.width(), self.height())

    def part_at(self, pixel: QPointF) -> str:
        """The part under a pixel, the one nearest to the viewer; "" for none."""
        drawing = self._ready()
        if drawing is None:
            return ""
        self._hand_over(drawing, 1.0)
        return drawing.part_at(self.camera, self.width(), self.height(), pixel.x(), pixel.y())

    def picture(self, width: int, height: int) -> QImage:
        """What the view shows at another size, smooth, lines and letters as large for it as on the screen.

        Returns:
            An image of its own; a null one where nothing can be drawn.
        """
        scale = min(width / max(self.width(), 1), height / max(self.height(), 1))
        pixels = at_once(lambda aside: self._drawn(width, height, scale, aside))
        if pixels is None:
            return QImage()
        image = image_of(pixels).copy()
        if self._named:
            painter = QPainter(image)
            painter.scale(scale, scale)
            self._write(painter, width / scale, height / scale)
            painter.end()
        return image

    def _again(self) -> None:
        """Something has changed: draw plainly at the next paint, and smoothly when it rests."""
        self._image = None
        self._smoothing.stop()
        self.update()

    def _take(self, pixels: Bytes | None) -> None:
        # The image only borrows them.
        self._pixels, self._image = pixels, None if pixels is None else image_of(pixels)

    def _prepare(self) -> None:
        """Meshes of what is shown, and all of it on the picture where that is due."""
        if self._meshes is None:
            self._meshes = dict(
                zip(self._parts, solid_meshes([*self._parts.values()]), strict=True)
            )
        if self._fit_next and (self._meshes or self._line):
            self._fit_next = False
            coming = np.array([self._marked[name] for name in self._line]).reshape(-1, 3)
            if not self._meshes:
                # One point alone, or two that lie behind each other, are seen from a distance.
                coming = np.concatenate((coming - _ROOM_MM, coming + _ROOM_MM))
            points = np.concatenate([coming, *(mesh.points for mesh in self._meshes.values())])
            shown = points if self._section is None else points[points[:, 1] <= self._section]
            self.camera = self.camera.fitted(
                shown if len(shown) else points, self.width(), self.height()
            )

    def _ready(self) -> SpaceDrawing | None:
        """What draws; None where nothing can."""
        if self._drawing is None and not self.problem:
            try:
                # VTK takes longer to load than the rest of the window, and some never ask for this view.
                from app.window.space_drawing import SpaceDrawing

                self._drawing = SpaceDrawing()
                self.destroyed.connect(self._drawing.finish)
            except Exception as error:  # whatever ails VTK, the window goes on without it
                self._give_up(error)
        self._prepare()
        return self._drawing

    def _give_up(self, error: Exception) -> None:
        logging.getLogger(__name__).warning("the view in space", exc_info=error)
        self._drawing = self._image = None
        self._smoothing.stop()
        self.update()
        why = " ".join(str(error).split()) or type(error).__name__
        self.problem = tr(
            "The free view cannot be drawn here ({why}); the side, plan and front views remain."
        ).format(why=why)
        # Not from within a paint: who hears it may want to change what is painted.
        QTimer.singleShot(0, self, lambda: self.failed.emit(self.problem))

    def _hand_over(self, drawing: SpaceDrawing, scale: float) -> None:
        chosen = frozenset(
            name for name, one in self._parts.items() if one.part.tube.name == self._tube
        )
        drawing.show(self._meshes or {}, chosen)
        drawing.section(self._section)
        ink, paper = (rgb_of(colour) for colour in self._colours())
        accent = rgb_of(self.palette().highlight().color())
        drawing.paint(paper, ink, accent, self._tones, scale, flat=self._lined)

    def _drawn(
        self, width: int, height: int, scale: float, aside: Aside = (0.0, 0.0)
    ) -> Bytes | None:
        """Drawn so many device pixels large, one of the widget's pixels ``scale`` of them; so many of them aside."""
        drawing = self._ready()
        if drawing is None or width < 1 or height < 1:
            return None
        camera = replace(self.camera, mm=self.camera.mm / scale)
        try:
            self._hand_over(drawing, scale)
            return drawing.draw(camera, width, height, aside)
        except Exception as error:  # as above
            self._give_up(error)
            return None

    def _drawn_aside(self, aside: Aside) -> Bytes | None:
        """As large as it was drawn plainly."""
        assert self._image is not None  # noqa: S101 - what changes stops this until it is drawn again
        width, height = self._image.width(), self._image.height()
        return self._drawn(width, height, self.devicePixelRatioF(), aside)

    def _colours(self) -> tuple[QColor, QColor]:
        if self._lined:
            return QColor(Qt.GlobalColor.black), QColor(Qt.GlobalColor.white)
        return self.palette().text().color(), self.palette().base().color()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Show the picture, drawn anew if anything has changed, or say why there is none."""
        ratio = self.devicePixelRatioF()
        size = (round(self.width() * ratio), round(self.height() * ratio))
        if self._image is None or self._image.size().toTuple() != size:
            self._take(self._drawn(*size, ratio))
            if self._image is not None:
                self._smoothing.begin()
        painter = QPainter(self)
        try:
            if self._image is None:
                painter.fillRect(self.rect(), self.palette().base())
                painter.setPen(self.palette().text().color())
                flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
                painter.drawText(self.rect().adjusted(12, 12, -12, -12), flags, self.problem)
                return
            painter.drawImage(self.rect(), self._image)
            if self._named:
                self._write(painter, self.width(), self.height())
            if self._marked:
                placed = self.placed(np.array(list(self._marked.values())))
                names = list(self._marked)
                write_line(painter, self, placed[[names.index(one) for one in self._line]])
                write_marks(painter, self, names, placed, *self._colours())
            paint_focus(painter, self)
        finally:
            painter.end()

    def _write(self, painter: QPainter, width: float, height: float) -> None:
        """The names of the parts that are on the picture."""
        painter.setFont(self.font())
        paths = {name: one.part.path for name, one in self._parts.items()}
        named = named_places(paths, self._labels, self.camera, width, height, self._section)
        write_names(painter, list(named), width, height, *self._colours())

    def resizeEvent(self, _event: QResizeEvent) -> None:
        """Keep a fitted picture fitted."""
        self._fit_next = self._fit_next or self._fitted
        self._again()

    def changeEvent(self, event: QEvent) -> None:
        """Draw again when the system goes dark or light."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._again()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer."""
        if event.angleDelta().y():
            self.zoom(1.0015 ** event.angleDelta().y(), event.position())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold."""
        self._pressed = self._grip = event.position()
        self._moved = False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Turn while held; move with the right button or Shift."""
        if self._pressed is None:
            return
        self._moved = (
            self._moved or (event.position() - self._pressed).manhattanLength() > _CLICK_PX
        )
        if not self._moved:
            return
        by, self._grip = event.position() - self._grip, event.position()
        turned = event.buttons() & Qt.MouseButton.LeftButton
        if not turned or event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self._prepare()
            self.camera, self._fitted = self.camera.moved(by.x(), by.y()), False
            self._again()
        else:
            self.turn(by.x() * _DEG_FOR_PX, by.y() * _DEG_FOR_PX)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go; a click that moved nothing picks."""
        clicked = self._pressed is not None and not self._moved
        self._pressed = None
        if clicked and event.button() == Qt.MouseButton.LeftButton and not self.problem:
            self.clicked = event.position()
            name = self.part_at(self.clicked)
            self.part_picked.emit(self._parts[name].part.tube.name if name else "", name)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows turn, plus and minus zoom, F fits; 1, 2, 3 and 0 for side, above, front and free."""
        key = Qt.Key(event.key())
        if key in _KEYS:
            self.look_from(_KEYS[key])
        elif not turn_by_key(self, key):
            super().keyPressEvent(event)
