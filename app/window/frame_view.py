"""A frame in one flat view: pick a tube or a point with a click, drag a point to where it is meant."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QWidget

from app.window.axes_mark import paint_axes
from app.window.drawing_view import DrawingView
from app.window.name_room import free_place
from app.window.shown_words import in_a_row, length_shown, place_shown
from app.window.words import spoken, tr
from geometry.arrays import Floats
from geometry.lengths import MM_PER_INCH
from geometry.path import Point
from geometry.snapping import Snap, snapped
from templates_out.drawing import Drawing, Line, Pen
from templates_out.frame_scene import Scene

_GRIP_PX = 9.0
_SNAP_PX = 8.0
_DOT_PX = 3.5
_AXES = "xyz"
_SAME_MM = 1e-6
_FREELY = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ShiftModifier
"""With either held a point rests on nothing; some desktops keep Alt for themselves."""
_GRID_MM, _GRID_INCH_MM = 1.0, MM_PER_INCH / 16
_SOON_MS = 40
_EMPTY = 0.4
"""Pixels of a mm where there is nothing yet."""
_FULL_STEP = 0.12
_NAME_AT = (50, 35, 65, 20, 80, 8, 92)
"""Where along a part its name may stand, percent."""


class FrameView(DrawingView):
    """A frame seen from the side, from above or from the front.

    Signals:
        part_picked: the tube and the part clicked on; both "" for a click beside everything.
        point_picked: the point clicked on.
        point_dragged: the point, where it is dragged to (mm), and whether it is let go there.
        drag_left: the point that was dragged is to go back to where it was.
        place_picked: while places are asked for, the place clicked on beside all points, mm, and the axis that the
            view looks along, whose value it does not tell.
    """

    part_picked = Signal(str, str)
    point_picked = Signal(str)
    point_dragged = Signal(str, object, bool)
    drag_left = Signal()
    place_picked = Signal(object, str, str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(name, parent, captioned=True)
        self.scene: Scene | None = None
        self.grid = _GRID_MM
        self.followers: Callable[[str], tuple[frozenset[str], frozenset[str]]] = lambda _: (
            frozenset(), frozenset(),
        )  # fmt: skip
        self.lines: Mapping[str, list[tuple[Point, Point]]] = {}
        self.asking = False
        self.named = False
        self._words: Mapping[str, str] = {}
        self._made: Mapping[str, int] = {}
        self._places: Mapping[str, Point] = {}
        self._sketched: list[Floats] = []
        self._tube = ""
        self._chosen: frozenset[str] = frozenset()
        self._dragged: str | None = None
        self._pressed: QPointF | None = None
        self._moved = False
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_SOON_MS)
        self._soon.timeout.connect(self.update)

    def set_inches(self, inches: bool) -> None:
        """Say lengths in inches, and drag by sixteenths of one."""
        super().set_inches(inches)
        self.grid = _GRID_INCH_MM if inches else _GRID_MM

    def set_scene(
        self,
        scene: Scene,
        places: Mapping[str, Point],
        words: Mapping[str, str] = MappingProxyType({}),
        made: Mapping[str, int] = MappingProxyType({}),
    ) -> None:
        """Show a frame.

        Args:
            scene: as this view sees it.
            places: where its points are, mm, for what is dragged.
            words: what each part is called, where it is not its name.
            made: how far each part is made, 0 to 4: the farther, the fuller it is drawn.
        """
        self.scene, self._places, self._words, self._made = scene, places, words, made
        self._sketched = []
        self._soon.stop()
        # While a point is dragged the view stays: else a pixel would mean other millimetres at each step.
        fitted, self._fitted = self._fitted, self._fitted and self._dragged is None
        self.set_drawing(
            Drawing(tuple(item for part in scene.parts for item in part.drawing.items))
        )
        self._fitted = fitted
        self._show_chosen()

    def fit(self) -> None:
        """Show all of the frame, and all of its points; of an empty one what is round the origin, most of it above."""
        drawing = self.drawing
        if self.scene is not None and self.scene.points:
            dots = [Line(at, at, Pen("NOTES", 0.0)) for at in self.scene.points.values()]
            self.drawing = Drawing((*(drawing.items if drawing else ()), *dots))
        elif self.scene is not None and not self.scene.parts:
            self._scale, self._origin = _EMPTY, QPointF(self.width() / 2, 0.8 * self.height())
        super().fit()
        self.drawing = drawing

    def place_measured(self, pixel: QPointF) -> QPointF:
        """A click near a point measures from the point."""
        place = self.at(pixel)
        if self.scene is None:
            return place
        near = self.scene.point_at((place.x(), place.y()), _GRIP_PX / self._scale)
        return QPointF(*self.scene.points[near]) if near else place

    def sketch(self, places: Mapping[str, Point], lines: Sequence[Sequence[Point]]) -> None:
        """Until the next scene: where the points are now, and lines (mm) that tubes have been moved to."""
        if self.scene is None:
            return
        view = self.scene.view
        seen = view.flat(np.array(list(places.values())).reshape(-1, 3))
        points = {name: (float(x), float(y)) for name, (x, y) in zip(places, seen, strict=True)}
        self.scene, self._places = replace(self.scene, points=points), places
        self._sketched = [view.flat(np.array(line)) for line in lines]
        pixels = [self.pixel(QPointF(*at)) for line in self._sketched for at in line.tolist()]
        whole = all(self.rect().contains(pixel.toPoint()) for pixel in pixels)
        if self._fitted and self._dragged is None and not whole:
            self.fit()
        if self._dragged is not None:
            self.update()
        elif not self._soon.isActive():
            # Most are cut sooner, and then painted once.
            self._soon.start()

    def choose(self, tube: str = "", *points: str) -> None:
        """Show a tube, or points, in the accent."""
        if (tube, frozenset(points)) != (self._tube, self._chosen):
            self._tube, self._chosen = tube, frozenset(points)
            self._show_chosen()

    def show_names(self, on: bool) -> None:
        """Write each part's name beside it, or no longer."""
        self.named = on
        self.update()

    def _show_chosen(self) -> None:
        if self.scene is None:
            return
        parts = [part for part in self.scene.parts if part.tube == self._tube]
        strokes = Drawing(tuple(item for part in parts for item in part.drawing.items))
        self.point_at(strokes if parts else None, self.caption if self._dragged else "")

    @property
    def shown(self) -> str:
        """The axes that the view shows, such as "xz"."""
        assert self.scene is not None  # noqa: S101 - asked only where there is one
        view = self.scene.view
        return "".join(
            axis for number, axis in enumerate(_AXES) if abs(view.right[number]) + abs(view.up[number]) > 0.5
        )  # fmt: skip

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take a point to drag it; else what a view does."""
        self._pressed, self._moved = event.position(), False
        if (
            self.scene is not None
            and not self.measuring
            and event.button() == Qt.MouseButton.LeftButton
        ):
            place = self.at(event.position())
            self._dragged = self.scene.point_at((place.x(), place.y()), _GRIP_PX / self._scale)
            if self._dragged:
                return
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag a point, or the view; over a point the pointer says that it can be taken."""
        if self._pressed is not None:
            by = event.position() - self._pressed
            self._moved = self._moved or abs(by.x()) + abs(by.y()) > 4
        if self._dragged is None:
            if self.scene is not None and not self.measuring and self._pressed is None:
                self._hover(event.position(), free=bool(event.modifiers() & _FREELY))
            super().mouseMoveEvent(event)
        elif self._moved:
            self._drag(event, done=False)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let a point go where it rests; a click that moved nothing picks."""
        dragged, moved, clicked = self._dragged, self._moved, self._pressed is not None
        if dragged and moved:
            self._drag(event, done=True)
        self._dragged, self._pressed, self._moved = None, None, False
        self.caption = ""
        self._show_chosen()
        if dragged and not moved:
            self.point_picked.emit(dragged)
        elif clicked and not moved and self.scene is not None and not self.measuring:
            place = self.at(event.position())
            if self.asking:
                self._pick_place(event.position(), free=bool(event.modifiers() & _FREELY))
                super().mouseReleaseEvent(event)
                return
            part = self.scene.part_at((place.x(), place.y()), 3.0 / self._scale)
            self.part_picked.emit(part.tube if part else "", part.name if part else "")
        super().mouseReleaseEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape lets go of a point as if it had never been taken; the rest is as in every view."""
        if event.key() != Qt.Key.Key_Escape or self._dragged is None:
            super().keyPressEvent(event)
            return
        self._leave()

    def _leave(self) -> None:
        """No point is dragged any more, as if none had been taken."""
        self._dragged = self._pressed = None
        self.caption = ""
        self.drag_left.emit()
        self._show_chosen()

    def _rest(self, pixel: QPointF, was: Point, name: str, *, free: bool) -> Snap:
        """Where a point that is at a pixel comes to rest; across the view it stays where it was."""
        assert self.scene is not None  # noqa: S101 - asked only where there is one
        view, place = self.scene.view, self.at(pixel)
        across = (np.array(was) @ view.sight) * view.sight
        to = place.x() * view.right + place.y() * view.up + across
        x, y, z = (float(value) for value in to)
        along, tubes = self.followers(name) if name else (frozenset(), frozenset())
        others = {o: at for o, at in self._places.items() if o != name and o not in along}
        lines = {tube: line for tube, line in self.lines.items() if tube not in tubes}
        if free:
            return snapped((x, y, z), self.shown, {}, 0.0, 0.0)
        within = _SNAP_PX / self._scale
        return snapped((x, y, z), self.shown, others, within, self.grid, lines)

    def _hover(self, pixel: QPointF, *, free: bool) -> None:
        """Whether the pointer is over a point; while a place is asked for, which one a click gives."""
        assert self.scene is not None  # noqa: S101 - called only where there is one
        place = self.at(pixel)
        over = self.scene.point_at((place.x(), place.y()), _GRIP_PX / self._scale)
        self.setCursor(Qt.CursorShape.SizeAllCursor if over else Qt.CursorShape.ArrowCursor)
        if not self.asking:
            return
        part = "" if free else self._part_under(pixel)
        if over or part:
            self.caption = over or tr("on {tube}").format(tube=part)
        else:
            rest = self._rest(pixel, (0.0, 0.0, 0.0), "", free=free)
            seen = zip("xyz", rest.at, strict=True)
            shown = (
                f"{a} {length_shown(v, inches=self._inches)}" for a, v in seen if a in self.shown
            )
            self.caption = in_a_row(shown) + (f" ({spoken(rest.words)})" if rest.words else "")
        self.update()

    def ask(self, on: bool) -> None:
        """Places are asked for, or no longer."""
        self.asking = on
        if not on and self._dragged is None:
            self.caption = ""
            self.update()

    def leaveEvent(self, event: QEvent) -> None:
        """No place is under the pointer any more."""
        if self.asking:
            self.caption = ""
            self.update()
        super().leaveEvent(event)

    def _part_under(self, pixel: QPointF) -> str:
        assert self.scene is not None  # noqa: S101 - asked only where there is one
        place = self.at(pixel)
        part = self.scene.part_at((place.x(), place.y()), 0.0)
        return part.name if part else ""

    def _pick_place(self, pixel: QPointF, *, free: bool) -> None:
        """On a tube a click is meant for that; with Alt or Shift it is a place of its own."""
        part = "" if free else self._part_under(pixel)
        on_it = self._rest(pixel, (0.0, 0.0, 0.0), "", free=free or bool(part))
        (along,) = set(_AXES) - set(self.shown)
        self.place_picked.emit(on_it.at, along, part)

    def _drag(self, event: QMouseEvent, *, done: bool) -> None:
        """Where the point is now; with Alt it rests on nothing."""
        name, free = self._dragged or "", bool(event.modifiers() & _FREELY)
        if name not in self._places:
            # Undone under the pointer.
            self._leave()
            return
        was = self._places[name]
        rest = self._rest(event.position(), was, name, free=free)
        self.point_dragged.emit(name, rest.at, done)
        # Where it is now: one on a tube slides along that.
        now = self._places.get(name, was)
        at = rest.at if now == was else now
        self.caption = f"{name}: {place_shown(at, inches=self._inches)}"
        if rest.words and math.dist(at, rest.at) < _SAME_MM:
            self.caption += f" ({spoken(rest.words)})"
        self.update()

    def _paint(self, painter: QPainter) -> None:
        super()._paint(painter)
        if self.scene is None:
            return
        self._fill_made(painter)
        painter.setPen(QPen(self.palette().highlight().color(), 2.0, Qt.PenStyle.DashLine))
        for line in self._sketched:
            painter.drawPolyline([self.pixel(QPointF(x, y)) for x, y in line.tolist()])
        if self.named:
            self._write_names(painter)
        painter.setPen(self.palette().text().color())
        for name, box in self._squares().items():
            painter.setBrush(
                self.palette().highlight() if name in self._chosen else self.palette().base()
            )
            painter.drawRect(box)
        if not self.caption:
            ink, view = self.palette().text().color(), self.scene.view
            paint_axes(painter, QRectF(self.rect()), view.right, view.up, ink)

    def _squares(self) -> dict[str, QRectF]:
        """Where the points are painted, by name."""
        assert self.scene is not None  # noqa: S101 - painted only where there is one
        squares = {}
        for name, (x, y) in self.scene.points.items():
            pixel = self.pixel(QPointF(x, y))
            size = _DOT_PX * (1.6 if name in self._chosen else 1.0)
            squares[name] = QRectF(pixel.x() - size, pixel.y() - size, 2 * size, 2 * size)
        return squares

    def _fill_made(self, painter: QPainter) -> None:
        """What is made is drawn full, the farther the darker."""
        assert self.scene is not None  # noqa: S101 - painted only where there is one
        for part in self.scene.parts:
            step = self._made.get(part.name, 0)
            if not step:
                continue
            ink = self.palette().text().color()
            ink.setAlphaF(_FULL_STEP * step)
            pen = QPen(ink, 2 * part.reach * self._scale)
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            places = [self.pixel(QPointF(x, y)) for x, y in part.middle.tolist()]
            reach = part.reach * self._scale
            if max(math.dist(one.toTuple(), places[0].toTuple()) for one in places) < reach:
                # Seen from its end.
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(ink)
                painter.drawEllipse(places[0], reach, reach)
                continue
            painter.setPen(pen)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawPolyline(places)

    def _write_names(self, painter: QPainter) -> None:
        """Each part's name on it, where there is room; nearer, there is more."""
        assert self.scene is not None  # noqa: S101 - painted only where there is one
        # Not under the points either, which could not be taken where a name lies.
        taken, room = list(self._squares().values()), QRectF(self.rect())
        metrics = QFontMetricsF(self.font())
        plate = QColor(self.palette().base().color())
        plate.setAlphaF(0.8)
        for part in self.scene.parts:
            words = self._words.get(part.name, part.name)
            box = metrics.boundingRect(words).adjusted(-3, -1, 3, 1)
            shares = (len(part.middle) * place // 100 for place in _NAME_AT)
            places = (part.middle[number].tolist() for number in shares)
            spots = [self.pixel(QPointF(x, y)) for x, y in places]
            free = free_place(box, spots, taken, room)
            if free is None:
                continue
            taken.append(free)
            painter.fillRect(free, plate)
            painter.setPen(self.palette().text().color())
            painter.drawText(free, Qt.AlignmentFlag.AlignCenter, words)
