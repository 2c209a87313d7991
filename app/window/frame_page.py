"""The page of a whole frame: its lists on the left, its views in the middle, what is chosen at the right."""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Callable

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.window.background import Background
from app.window.document import FrameDocument
from app.window.frame_lists import NamedList, TubeList, point_rows, stock_rows, tube_rows
from app.window.frame_view import FrameView
from app.window.page_frame import findings_count, findings_words, scrolled, words_label
from app.window.point_form import PointForm
from app.window.session import Session
from app.window.stock_form import StockForm
from app.window.tube_form import TubeForm
from geometry.edits import (
    free_name,
    move_tube,
    put_point,
    put_stock,
    put_tube,
    remove_point,
    remove_stock,
    remove_tube,
    rename_point,
    rename_stock,
    rename_tube,
)
from geometry.errors import CopewrightError
from geometry.frame import At, Frame, Stock, Tube, part_names
from geometry.path import Point
from geometry.places import Places
from geometry.point_moves import change_points, moved_by
from geometry.section import RoundTube
from templates_out.bend_view import FROM_ABOVE, FROM_FRONT, FROM_RIGHT
from templates_out.frame_result import FrameResult, solve_frame
from templates_out.frame_scene import scene

INTRO = (
    "Begin with the tube that you have: its stock. Then the points where tubes begin, end and bend, and the tubes in "
    "the order in which they go into the jig. Each tube's ends are cut to fit those above it."
)
_VIEWS = {"From the side": FROM_RIGHT, "From above": FROM_ABOVE, "From the front": FROM_FRONT}
_LISTS = ("Tubes", "Points", "Stock")


class FramePage(QWidget):
    """A frame: pick in a list or in a view, change it in its form or drag its points."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.document = FrameDocument(session, self)
        self.result: FrameResult | None = None
        self.background = Background(self)
        self.tubes, self.points, self.stock = TubeList(), NamedList("points"), NamedList("stock")
        self.lists = QTabWidget()
        self.lists.setAccessibleName("lists")
        for title, one in zip(_LISTS, (self.tubes, self.points, self.stock), strict=True):
            self.lists.addTab(one, title)
        self.add = QPushButton("Add a tube")
        self.take_out = QPushButton("Take out")
        self.views = {title: FrameView(title) for title in _VIEWS}
        self.view_tabs = QTabWidget()
        self.view_tabs.setAccessibleName("views")
        self.view_tabs.setDocumentMode(True)
        for title, view in self.views.items():
            self.view_tabs.addTab(view, title)
        self.tube_form, self.point_form, self.stock_form = TubeForm(), PointForm(), StockForm()
        self.forms = QStackedWidget()
        self.intro = words_label(self, INTRO)
        self.intro.setAlignment(Qt.AlignmentFlag.AlignTop)
        for form in (self.intro, self.tube_form, self.point_form, self.stock_form):
            self.forms.addWidget(scrolled(form))
        self.state, self.findings = words_label(self), words_label(self)
        self.findings.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._lay_out()
        self._connect()
        self._refresh()

    def _lay_out(self) -> None:
        left, buttons = QVBoxLayout(), QHBoxLayout()
        buttons.addWidget(self.add)
        buttons.addWidget(self.take_out)
        left.addWidget(self.lists, 1)
        left.addLayout(buttons)
        left.addWidget(self.state)
        column = QWidget()
        column.setLayout(left)
        column.setMinimumWidth(230)
        right = QSplitter(Qt.Orientation.Vertical)
        right.addWidget(self.forms)
        right.addWidget(scrolled(self.findings))
        right.setSizes([420, 200])
        whole = QSplitter(Qt.Orientation.Horizontal, self)
        for widget in (column, self.view_tabs, right):
            whole.addWidget(widget)
        whole.setStretchFactor(1, 1)
        whole.setSizes([240, 520, 290])
        for splitter in (right, whole):
            splitter.setChildrenCollapsible(False)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(8, 8, 8, 8)
        outer.addWidget(whole)

    def _connect(self) -> None:
        self.document.changed.connect(self._refresh)
        self.document.said.connect(self.state.setText)
        self.session.inches_changed.connect(lambda _: self._refresh())
        self.background.finished.connect(self._show_result)
        self.background.failed.connect(self._show_error)
        for kind, one in zip(_LISTS, (self.tubes, self.points, self.stock), strict=True):
            one.chosen.connect(lambda name, kind=kind: self.choose(kind, name))
            one.taken_out.connect(lambda name, kind=kind: self._take_out(kind, name))
        self.tubes.moved.connect(self._move_tube)
        self.lists.currentChanged.connect(lambda _: self._list_shown())
        self.add.clicked.connect(self._add)
        self.take_out.clicked.connect(lambda: self._take_out(self.kind, self._list.current))
        for view in self.views.values():
            view.part_picked.connect(lambda tube, _part: self.choose("Tubes", tube))
            view.point_picked.connect(lambda name: self.choose("Points", name))
            view.point_dragged.connect(self._drag)
        self.tube_form.edited.connect(
            lambda words, tube: self._do(words, lambda f: put_tube(f, tube))
        )
        self.tube_form.renamed.connect(
            lambda old, new: self._rename("Tubes", rename_tube, old, new)
        )
        self.point_form.edited.connect(
            lambda words, place: self._do(
                words, lambda f: put_point(f, self.point_form.named, place)
            )
        )
        self.point_form.renamed.connect(
            lambda old, new: self._rename("Points", rename_point, old, new)
        )
        self.stock_form.edited.connect(
            lambda words, stock: self._do(
                words, lambda f: put_stock(f, self.stock_form.named, stock)
            )
        )
        self.stock_form.renamed.connect(
            lambda old, new: self._rename("Stock", rename_stock, old, new)
        )

    @property
    def frame(self) -> Frame:
        """As it is now."""
        return self.document.frame

    @property
    def kind(self) -> str:
        """The list in view: "Tubes", "Points" or "Stock"."""
        return _LISTS[self.lists.currentIndex()]

    @property
    def _list(self) -> NamedList:
        return (self.tubes, self.points, self.stock)[self.lists.currentIndex()]

    def choose(self, kind: str, name: str) -> None:
        """Choose a tube, a point or a stock, in its list, its form and the views."""
        self.lists.blockSignals(True)
        self.lists.setCurrentIndex(_LISTS.index(kind))
        self.lists.blockSignals(False)
        self._list.choose(name)
        self._list_shown()

    def _list_shown(self) -> None:
        """The form and the views follow the list that is in view."""
        kind, name, inches = self.kind, self._list.current, self.session.inches
        self.add.setText(
            {"Tubes": "Add a tube", "Points": "Add a point", "Stock": "Add a stock"}[kind]
        )
        self.take_out.setEnabled(bool(name))
        for view in self.views.values():
            view.choose(name if kind == "Tubes" else "", name if kind == "Points" else "")
        if not name:
            self.forms.setCurrentIndex(0)
        elif kind == "Tubes":
            self.tube_form.show_tube(self.frame, self.frame.tube(name), inches=inches)
            self.forms.setCurrentIndex(1)
        elif kind == "Points":
            self.point_form.show_point(
                self.frame, name, self._places().get(name, (0.0, 0.0, 0.0)), inches=inches
            )
            self.forms.setCurrentIndex(2)
        else:
            self.stock_form.show_stock(name, self.frame.stock[name], inches=inches)
            self.forms.setCurrentIndex(3)

    def _places(self) -> dict[str, Point]:
        """Where the points are; those that are nowhere are left out."""
        places, found = Places(self.frame), {}
        for name in self.frame.points:
            try:
                found[name] = places.point(name)
            except CopewrightError:
                continue
        return found

    def _refresh(self) -> None:
        """The lists at once, the rest when it is solved."""
        frame, inches = self.frame, self.session.inches
        self._show_tubes()
        self.points.show_rows(point_rows(frame, self._places(), inches=inches))
        self.stock.show_rows(stock_rows(frame, inches=inches))
        self._list_shown()
        self.background.ask(lambda: solve_frame(frame))

    def _show_tubes(self) -> None:
        """The tubes, and how many findings each has as far as is known."""
        tubes = {part: tube.name for tube in self.frame.tubes for part in part_names(tube)}
        counts = Counter(
            tubes.get(f.where.split(",")[0], "")
            for f in (self.result.findings if self.result else ())
            if f.level != "note"
        )
        self.tubes.show_rows(tube_rows(self.frame, counts, inches=self.session.inches))

    def _show_result(self, result: FrameResult) -> None:
        self.result = result
        self._show_tubes()
        places = self._places()
        for title, view in self.views.items():
            view.set_scene(scene(result.fitted, places, _VIEWS[title]), places)
        self.findings.setText(findings_words(result.findings))
        parts = len(result.fitted.parts)
        self.state.setText(f"{parts} part{'s' * (parts != 1)}, {findings_count(result.findings)}")

    def _show_error(self, error: Exception) -> None:
        if isinstance(error, CopewrightError):
            self.state.setText(f"{error}. The views are of the last frame that could be made.")
            return
        logging.getLogger(__name__).error("the frame page", exc_info=error)
        self.state.setText(
            "Something went wrong inside the program; it is in the log. Your frame stays."
        )

    def _do(self, words: str, change: Callable[[Frame], Frame], *, merge: bool = False) -> bool:
        done = self.document.do(words, change, merge=merge)
        if not done:
            # The forms go back to what is.
            self._list_shown()
        return done

    def _rename(
        self, kind: str, rename: Callable[[Frame, str, str], Frame], old: str, new: str
    ) -> None:
        if self._do(f"Rename {old}", lambda frame: rename(frame, old, new)):
            self.choose(kind, new)

    def _move_tube(self, name: str, to: int) -> None:
        if not self._do(f"Move {name} in the order", lambda frame: move_tube(frame, name, to)):
            self._show_tubes()
        self.choose("Tubes", name)

    def _drag(self, name: str, at: Point, _done: bool) -> None:
        step = np.array(at) - np.array(self._places()[name])
        by: Point = (float(step[0]), float(step[1]), float(step[2]))
        if max(abs(value) for value in by) < 1e-9:
            return
        self._do(
            f"Move point {name}",
            lambda frame: change_points(frame, [name], moved_by(by)),
            merge=True,
        )

    def _take_out(self, kind: str, name: str) -> None:
        remove = {"Tubes": remove_tube, "Points": remove_point, "Stock": remove_stock}[kind]
        if name:
            self._do(f"Take out {name}", lambda frame: remove(frame, name))

    def _add(self) -> None:
        """A new one of the list in view, chosen at once."""
        frame, kind = self.frame, self.kind
        if kind == "Stock":
            name = free_name("tube", frame.stock)
            stock = (
                Stock(RoundTube(25.4, 1.6)) if self.session.inches else Stock(RoundTube(25.0, 2.0))
            )
            done = self._do(f"Add stock {name}", lambda f: put_stock(f, name, stock))
        elif kind == "Points":
            name = free_name("point", frame.points)
            done = self._do(f"Add point {name}", lambda f: put_point(f, name, At(0.0, 0.0, 0.0)))
        else:
            name = free_name("tube", [tube.name for tube in frame.tubes])
            ends = list(frame.points)[-2:]
            if not frame.stock or len(ends) < 2:
                self.state.setText("A tube needs a stock and two points; add them first.")
                return
            made = Tube(name, list(frame.stock)[-1], (ends[0], ends[1]))
            done = self._do(f"Add {name}", lambda f: put_tube(f, made))
        if done:
            self.choose(kind, name)
