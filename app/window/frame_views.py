"""A frame's views behind each other: in space, from the side, from above, from the front."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtGui import QAction, QImage
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QMenu,
    QPushButton,
    QTabWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.window.axes_mark import AxesMark
from app.window.colours import TickBox
from app.window.folders import own_documents, own_suffix
from app.window.frame_view import FrameView
from app.window.number_field import NumberField
from app.window.session import Session
from app.window.shown_words import made_words
from app.window.space_view import SpaceView
from app.window.words import tr
from geometry.arrays import Floats
from geometry.fitup import Fitted, solve
from geometry.frame import STEPS, Frame
from geometry.path import Point
from geometry.places import known_places
from geometry.point_moves import dragged_with
from geometry.snapping import straights
from geometry.solid_mesh import solid_meshes
from geometry.tolerances import MAX_COORDINATE_MM
from templates_out.bend_view import FROM_ABOVE, FROM_FRONT, FROM_RIGHT
from templates_out.frame_scene import Scene, places_along, scene

FLAT = {"Side": FROM_RIGHT, "Above": FROM_ABOVE, "Front": FROM_FRONT}
IN_SPACE = "In space"
_TITLES = {
    IN_SPACE: tr("In space"), "Side": tr("Side"), "Above": tr("Above"), "Front": tr("Front")
}  # fmt: skip
_NAMES = {
    "Side": tr("the frame, side"), "Above": tr("the frame, above"), "Front": tr("the frame, front")
}  # fmt: skip
_PICTURE_TIMES = 3
_STEEP_DEG = 60.0
_NEAR_PX = 8.0
_NO_TUBE: tuple[dict[str, Point], list[str]] = ({}, [])


@dataclass(frozen=True, eq=False)
class Seen:
    """A frame as it is seen.

    Attributes:
        fitted: its parts, cut.
        places: where its points are, mm.
        title: of the view that the scene is for.
        scene: as that view shows it; None in space.
    """

    fitted: Fitted
    places: Mapping[str, Point]
    title: str
    scene: Scene | None = None


class FrameViews(QWidget):
    """The views; picking and dragging in any of them is told the same way.

    Only the view in front is drawn anew; the others are when they come to the front.

    Signals:
        part_picked: the tube and the part clicked on; both "" for a click beside everything.
        point_picked: the point clicked on.
        point_dragged: the point, where it is dragged to (mm), and whether it is let go there.
        drag_left: the point that was dragged is to go back.
        place_picked: a place that was clicked on, mm, the axis that the view looks along, and the part that lies there
            ("" for none).
        said: words for the person, such as a measured length.
    """

    part_picked = Signal(str, str)
    point_picked = Signal(str)
    point_dragged = Signal(str, object, bool)
    drag_left = Signal()
    place_picked = Signal(object, str, str)
    said = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._seen: Seen | None = None
        self._points: tuple[str, ...] = ()
        self._asking, self._coming = False, _NO_TUBE
        self.start_folder: Callable[[], str] = own_documents
        self._unfitted: set[str] = set()
        self._stale: set[str] = set()
        self.space = SpaceView(tr("the frame in space"))
        self.axes = AxesMark(self.space, self.space.axes)
        self.flat = {title: FrameView(_NAMES[title]) for title in FLAT}
        self.tabs = QTabWidget()
        self.tabs.setAccessibleName(tr("views"))
        self.tabs.setDocumentMode(True)
        for title, view in {IN_SPACE: self.space, **self.flat}.items():
            self.tabs.addTab(view, _TITLES[title])
        self.names = TickBox(tr("names"))
        self.names.setToolTip(tr("Write each tube's name beside it, and how far it is made"))
        self.look = QToolButton()
        self.look.setText(tr("Look"))
        self.look.setAccessibleName(tr("how the frame is looked at"))
        self.look.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        menu = QMenu(self.look)
        menu.setToolTipsVisible(True)
        self.perspective = _choice(
            menu,
            tr("Perspective"),
            tr("What is farther away looks smaller, as the eye sees it"),
        )
        self.lines = _choice(
            menu,
            tr("Lines only"),
            tr("Black lines on white, what is hidden left out: to be printed"),
        )
        self.half = _choice(
            menu, tr("Cut open"), tr("Leave out what is to the left of a plane along the frame")
        )
        self.keep = menu.addAction(tr("Save this picture …"))
        self.look.setMenu(menu)
        self.section = NumberField(
            tr("left of"), 0.0, -MAX_COORDINATE_MM, MAX_COORDINATE_MM,
            tip=tr("distance of the plane from the centre-plane, plus to the left; what is beyond it is left out"),
        )  # fmt: skip
        self.measure, self.fit = QPushButton(tr("Measure")), QPushButton(tr("Fit"))
        self.measure.setCheckable(True)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        tools = QHBoxLayout()
        tools.setContentsMargins(4, 2, 4, 0)
        for tool in (self.names, self.look, self.section):
            tools.addWidget(tool)
        tools.addStretch(1)
        for button in (self.measure, self.fit):
            tools.addWidget(button)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(2)
        rows.addWidget(self.tabs, 1)
        rows.addLayout(tools)

    def _connect(self) -> None:
        self.space.part_picked.connect(self._space_picked)
        for view in self.flat.values():
            view.part_picked.connect(self.part_picked)
            view.point_picked.connect(self.point_picked)
            view.point_dragged.connect(self.point_dragged)
            view.drag_left.connect(self.drag_left)
            view.place_picked.connect(self.place_picked)
            view.measured.connect(self.said)
            self.measure.toggled.connect(view.set_measuring)
            self.names.toggled.connect(view.show_names)
        self.names.toggled.connect(self.space.names)
        self.perspective.toggled.connect(self.space.perspective)
        self.lines.toggled.connect(self.space.lines_only)
        self.half.toggled.connect(self._look_into_it)
        self.keep.triggered.connect(self._keep_asked)
        self.section.value_changed.connect(lambda _: self._cut_open())
        self.fit.clicked.connect(lambda: self.view.fit())
        self.tabs.currentChanged.connect(lambda _: self._come_forward())
        self._cut_open()
        self._come_forward()

    def remember(self, session: Session) -> None:
        """Names and perspective as they were left; they are kept as they are changed."""
        for choice, kept in ((self.names, "names"), (self.perspective, "perspective")):
            choice.setChecked(getattr(session.state, kept))
            choice.toggled.connect(lambda on, kept=kept: session.change(**{kept: on}))

    @property
    def view(self) -> SpaceView | FrameView:
        """The view in front."""
        return self.flat.get(self.title, self.space)

    @property
    def title(self) -> str:
        """The title of the view in front: ``IN_SPACE`` or one of ``FLAT``, in whatever language the tab has it."""
        return (IN_SPACE, *FLAT)[self.tabs.currentIndex()]

    def seer(self, frame: Frame, places: Mapping[str, Point]) -> Callable[[], Seen]:
        """Cuts a frame and draws it as the view in front shows it; to be called off the window's thread."""
        title = self.title

        def see() -> Seen:
            fitted = solve(frame)
            if title != IN_SPACE:
                return Seen(fitted, places, title, scene(fitted, places, FLAT[title]))
            # Kept by value: the view in space finds them made.
            solid_meshes(fitted.parts)
            return Seen(fitted, places, title)

        return see

    @property
    def shown(self) -> str:
        """The axes that the view in front shows, such as "xz"."""
        return self.flat[self.title].shown if self.title in FLAT else "xyz"

    def fit_next(self) -> None:
        """The next frame that is shown is shown whole."""
        self._unfitted = {IN_SPACE, *FLAT}

    def show_seen(self, seen: Seen) -> None:
        """Show a frame as it was seen."""
        self._seen = seen
        self._stale = {IN_SPACE, *FLAT}
        self._draw()

    def sketch(self, frame: Frame, places: Mapping[str, Point]) -> None:
        """Until a frame is cut: its points where they are, and the tubes through those that have moved as lines."""
        before = self._seen.places if self._seen else {}
        moved = {name for name, at in places.items() if before.get(name) != at}
        lines = [
            [places[point] for point in tube.path]
            for tube in frame.tubes
            if moved & set(tube.path) and all(point in places for point in tube.path)
        ]
        if self.title in FLAT:
            self.flat[self.title].sketch(places, lines)

    def choose(self, tube: str = "", *points: str) -> None:
        """Show a tube, or points, in the accent."""
        self.space.choose(tube)
        self._points = points
        self._mark_points()
        for view in self.flat.values():
            view.choose(tube, *points)

    def _mark_points(self) -> None:
        places = self._seen.places if self._seen else {}
        if self._asking:
            # The tube to come may go through points that are not in the frame yet.
            coming, line = self._coming
            self.space.mark({**places, **coming}, line)
            return
        self.space.mark({name: places[name] for name in self._points if name in places})

    def set_inches(self, inches: bool) -> None:
        """Say and read lengths in inches."""
        self.section.set_inches(inches)
        for view in self.flat.values():
            view.set_inches(inches)

    def ask_for_places(self, on: bool) -> None:
        """A click beside everything is a place that is wanted."""
        if self._asking and not on:
            # Points of a tube that was left are nowhere.
            self._stale |= set(FLAT)
        self._asking, self._coming = on, _NO_TUBE
        for view in self.flat.values():
            view.ask(on)
        self._draw()
        self._mark_points()

    def _nearest(self, places: Sequence[Point] | Floats, within: float = math.inf) -> int | None:
        """Which place is nearest to the pixel clicked on in space, no farther off than so many; None for none."""
        if not len(places):
            return None
        off = self.space.placed(np.array(places))[:, :2] - self.space.clicked.toTuple()
        away = np.hypot(off[:, 0], off[:, 1])
        found = int(np.argmin(away))
        return found if away[found] <= within else None

    def _space_picked(self, tube: str, part: str) -> None:
        """A click in space; where a place is asked for, a point, or the place on a tube that lies under it."""
        if not self._asking or self._seen is None:
            self.part_picked.emit(tube, part)
            return
        near = self._nearest(list(self._seen.places.values()), _NEAR_PX)
        if near is not None:
            self.point_picked.emit(list(self._seen.places)[near])
            return
        one = next((one for one in self._seen.fitted.parts if one.part.name == part), None)
        if one is None:
            self.said.emit(tr("In space click on a tube or a point; in the other views anywhere."))
            return
        along = places_along(one.part.path)
        found = self._nearest(along)
        assert found is not None  # noqa: S101 - there are some
        self.place_picked.emit(tuple(along[found].tolist()), "", part)

    def sketch_tube(self, frame: Frame, path: Sequence[str]) -> None:
        """A tube to come, as a line through its points."""
        places = known_places(frame)
        known = [point for point in path if point in places]
        line = [places[point] for point in known]
        for view in self.flat.values():
            view.sketch(places, [line])
        self._coming = {name: places[name] for name in known}, known
        self._mark_points()

    def _come_forward(self) -> None:
        space = self.view is self.space
        for action in (self.perspective, self.lines, self.half):
            action.setEnabled(space)
        self.section.setVisible(space and self.half.isChecked())
        self.measure.setVisible(not space)
        self._draw()

    def _draw(self) -> None:
        """The view in front, if it is not of this frame yet."""
        title, seen = self.title, self._seen
        if seen is None or title not in self._stale:
            return
        self._stale.discard(title)
        fitted = seen.fitted
        words = made_words(fitted)
        progress = fitted.frame.progress
        tones = {name: STEPS.index(step) + 1 for name, step in progress.items()}
        if title == IN_SPACE:
            self.space.set_frame(fitted.parts, words, tones)
            self._mark_points()
        else:
            view = self.flat[title]
            drawn = seen.scene if seen.title == title else None
            drawn = drawn or scene(fitted, seen.places, FLAT[title])
            view.set_scene(drawn, seen.places, words, tones)
            view.lines = straights(fitted)
            view.followers = partial(self._going_along, fitted.frame)
        if title in self._unfitted and fitted.parts:
            self._unfitted.discard(title)
            self.view.fit()

    def _going_along(self, frame: Frame, name: str) -> tuple[frozenset[str], frozenset[str]]:
        """The points and parts that go along when a point is dragged; with one that is chosen, all those that are."""
        return dragged_with(frame, name, self._points if name in self._points else ())

    def _keep_asked(self) -> None:
        kinds = tr("Pictures") + " (*.png)"
        title = tr("Save this picture")
        name, _ = QFileDialog.getSaveFileName(self, title, self.start_folder(), kinds)
        path = own_suffix(self, Path(name), ".png") if name else None
        if path is not None:
            self.keep_picture(path)

    def keep_picture(self, path: Path) -> None:
        """Save the view in front as a picture, finer than it is on screen."""
        size = self.view.size() * _PICTURE_TIMES
        if self.view is self.space:
            picture = self.space.picture(size.width(), size.height())
        else:
            picture = QImage(size, QImage.Format.Format_RGB32)
            picture.setDevicePixelRatio(_PICTURE_TIMES)
            self.view.render(picture)
        if picture.isNull():
            self.said.emit(self.space.problem)
            return
        done = picture.save(str(path))
        words = tr("Saved {file}.") if done else tr("{file} cannot be saved; choose another place.")
        self.said.emit(words.format(file=path))

    def _look_into_it(self, on: bool) -> None:
        """What is left of the plane is left out: it is seen from there."""
        self._cut_open()
        turn, tilt = self.space.camera.turn_deg, self.space.camera.tilt_deg
        # From above or below either half is seen as well.
        if on and math.sin(math.radians(turn)) <= 0.0 and abs(tilt) < _STEEP_DEG:
            self.space.turn(2 * turn, 0.0)

    def _cut_open(self) -> None:
        on = self.half.isChecked()
        self.section.setVisible(on and self.view is self.space)
        self.space.section(self.section.value if on else None)


def _choice(menu: QMenu, words: str, tip: str) -> QAction:
    action = menu.addAction(words)
    action.setCheckable(True)
    action.setToolTip(tip)
    return action
