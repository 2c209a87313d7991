"""What is chosen on the page of a frame, as a form: one of many behind each other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtWidgets import QLineEdit, QScrollArea, QStackedWidget, QWidget

from app.window.frame_edits import FrameEdits
from app.window.frame_form import FrameForm
from app.window.named_form import NamedForm, leave_undo
from app.window.new_tube import NewTube
from app.window.page_frame import COLUMN_PX, scrolled
from app.window.point_form import PointForm
from app.window.points_form import PointsForm
from app.window.stock_form import StockForm
from app.window.tool_form import ToolForm
from app.window.tube_form import TubeForm
from geometry.edits import put_point, put_stock, put_tool, put_tube
from geometry.frame import Frame
from geometry.path import Point

Put = Callable[[Frame, str, Any], Frame]
"""Puts something of a name into a frame."""


class FrameForms(QStackedWidget):
    """The forms of the frame itself, a tube, a point, several points, a stock, a bending tool, and a tube to come."""

    def __init__(self, intro: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.frame = FrameForm(intro)
        self.tube, self.point, self.stock, self.tool = (
            TubeForm(),
            PointForm(),
            StockForm(),
            ToolForm(),
        )
        self.points, self.new = PointsForm(), NewTube()
        self._chosen: tuple[str, ...] = ()
        self._named: tuple[NamedForm, ...] = (
            self.frame, self.tube, self.point, self.stock, self.tool,
        )  # fmt: skip
        self._places: dict[QWidget, int] = {
            form: self.addWidget(scrolled(form)) for form in (*self._named, self.points, self.new)
        }
        for form in self._named:
            leave_undo(form)
        self.setMinimumWidth(COLUMN_PX)

    def edit_by(self, edits: FrameEdits) -> None:
        """What is typed in the forms is done by these."""
        self.new.made.connect(edits.add_made)
        self.points.changed.connect(
            lambda words, change: edits.change_points(words, self.points.names, change)
        )
        self.tube.marked.connect(lambda part, step: edits.mark(part, step or None))
        self.frame.edited.connect(lambda words, frame: edits.typed(words, lambda _: frame))
        self.frame.renamed.connect(edits.rename_frame)
        self.tube.edited.connect(lambda words, one: edits.typed(words, lambda f: put_tube(f, one)))
        put: dict[NamedForm, Put] = {
            self.point: put_point, self.stock: put_stock, self.tool: put_tool,
        }  # fmt: skip
        for form, change in put.items():
            form.edited.connect(
                lambda words, one, form=form, change=change: edits.typed(
                    words, lambda f: change(f, form.named, one)
                )
            )
        for form, kind in (
            (self.tube, "Tubes"), (self.point, "Points"), (self.stock, "Stock"), (self.tool, "Tools"),
        ):  # fmt: skip
            form.renamed.connect(lambda old, new, kind=kind: edits.rename(kind, old, new))
            form.refused.connect(edits.take_back)

    def bring_into_view(self, field: QWidget | None) -> None:
        """Scroll to a field of the form in front, and give it the keys."""
        scroll = self.currentWidget()
        if field is not None and isinstance(scroll, QScrollArea):
            field.setFocus()
            if isinstance(field, QLineEdit):
                field.selectAll()
            scroll.ensureWidgetVisible(field)

    def bring(self, form: QWidget) -> None:
        """Bring a form to the front."""
        self.setCurrentIndex(self._places[form])

    @property
    def front(self) -> QWidget:
        """The form in front."""
        return next(form for form, place in self._places.items() if place == self.currentIndex())

    def show_chosen(
        self, frame: Frame, kind: str, names: Sequence[str], at: Point, *, inches: bool
    ) -> None:
        """Show what is chosen.

        Args:
            frame: whose it is.
            kind: the list that it is chosen in.
            names: of what is chosen; none for the frame itself.
            at: where the point is, for a single one, mm.
            inches: lengths in inches.
        """
        another, self._chosen = (kind, *names) != self._chosen, (kind, *names)
        front = self.front
        if isinstance(front, NamedForm) and front.refusing:
            # It says why, and keeps what is typed.
            front.shown = _thing(frame, kind, names)
            return
        if not names:
            self.frame.show_frame(frame, inches=inches)
            self.bring(self.frame)
        elif kind == "Tubes":
            self.tube.show_tube(frame, frame.tube(names[0]), inches=inches)
            self.bring(self.tube)
        elif kind == "Points" and len(names) > 1:
            self.points.show_points(frame, names, inches=inches)
            self.bring(self.points)
        elif kind == "Points":
            self.point.show_point(frame, names[0], at, inches=inches)
            self.bring(self.point)
        elif kind == "Stock":
            self.stock.show_stock(names[0], frame.stock[names[0]], inches=inches)
            self.bring(self.stock)
        else:
            self.tool.show_tool(names[0], frame.tools[names[0]], inches=inches)
            self.bring(self.tool)
        scroll = self.currentWidget()
        if another and isinstance(scroll, QScrollArea):
            # The form of another thing is read from its top.
            scroll.verticalScrollBar().setValue(0)

    def name_it(self) -> None:
        """The cursor into the name of what is in front: it was just made."""
        form = self.front
        if isinstance(form, NamedForm):
            form.name.setFocus()
            form.name.selectAll()


def _thing(frame: Frame, kind: str, names: Sequence[str]) -> object:
    """What is chosen, as the frame has it."""
    if not names:
        return frame
    if kind == "Tubes":
        return frame.tube(names[0])
    return {"Points": frame.points, "Stock": frame.stock, "Tools": frame.tools}[kind][names[0]]
