"""Several points at once: moved, turned, mirrored or scaled."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFormLayout, QPushButton, QVBoxLayout, QWidget

from app.window.number_field import NumberField
from app.window.page_frame import StillCombo, words_label
from app.window.tab_order import tab_down
from app.window.words import sentence, tr
from geometry.errors import CopewrightError
from geometry.frame import Frame
from geometry.places import Places
from geometry.point_moves import Change, mirrored_at, moved_by, scaled_by, turned_by
from geometry.tolerances import MAX_COORDINATE_MM as _MOST

_WAYS = {
    "move": tr("move them"),
    "turn": tr("turn them"),
    "mirror": tr("mirror them"),
    "scale": tr("scale them"),
}
_DONE = {
    "move": tr("Move {n} points"),
    "turn": tr("Turn {n} points"),
    "mirror": tr("Mirror {n} points"),
    "scale": tr("Scale {n} points"),
}
_AXES = {"x": tr("x, forward"), "y": tr("y, to the left"), "z": tr("z, up")}
_STEPS = (
    (tr("by x"), tr("forward")),
    (tr("by y"), tr("to the left")),
    (tr("by z"), tr("up")),
)
_ORIGIN = ""
"""In place of a point's name, which has at least one letter."""
_INTRO = tr(
    "What is done here is done to all the points that are chosen in the list; what hangs on them goes along."
)


class PointsForm(QWidget):
    """What is to be done to the chosen points; it is done at a press of the button.

    Signals:
        changed: what is done, in words, and how it changes their places.
    """

    changed = Signal(str, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._frame = Frame()
        self.names: tuple[str, ...] = ()
        self.which = words_label(self)
        self.way, self.axis, self.about = (StillCombo(self) for _ in range(3))
        for combo, said in (
            (self.way, tr("what is done to them")),
            (self.axis, tr("the axis")),
            (self.about, tr("the point that stays")),
        ):
            combo.setAccessibleName(said)
        for key, words in _WAYS.items():
            self.way.addItem(words, key)
        for key, words in _AXES.items():
            self.axis.addItem(words, key)
        self.steps = tuple(NumberField(label, 0.0, -_MOST, _MOST, tip=tip) for label, tip in _STEPS)
        self.angle = NumberField(
            tr("angle"), 90.0, -360, 360, kind="angle",
            tip=tr("right-handed about the axis: from y to z, z to x, x to y"),
        )  # fmt: skip
        self.at = NumberField(
            tr("plane at"), 0.0, -_MOST, _MOST,
            tip=tr("where the mirror stands along the axis; y at 0 is the centre-plane"),
        )  # fmt: skip
        self.factor = NumberField(
            tr("percent"), 100.0, 0, 100_000, kind="percent", above=True,
            tip=tr("of every distance; 100 leaves all as it is"),
        )  # fmt: skip
        self.do = QPushButton(tr("Do it"), self)
        self.problem = words_label(self)
        self.problem.hide()
        self._shown: dict[str, tuple[QWidget, ...]] = {
            "move": self.steps, "turn": (self.axis, self.about, self.angle), "mirror": (self.axis, self.at),
            "scale": (self.about, self.factor),
        }  # fmt: skip
        self.form = QFormLayout()
        self.form.addRow("", self.way)
        self.form.addRow(tr("axis"), self.axis)
        self.form.addRow(tr("about"), self.about)
        for field in (*self.steps, self.angle, self.at, self.factor):
            self.form.addRow(field)
        rows = QVBoxLayout(self)
        rows.addWidget(words_label(self, _INTRO))
        rows.addWidget(self.which)
        rows.addLayout(self.form)
        rows.addWidget(self.do)
        rows.addWidget(self.problem)
        rows.addStretch(1)
        self.way.currentIndexChanged.connect(lambda _: self._show_rows())
        self.do.clicked.connect(self._tell)
        self._show_rows()

    def show_points(self, frame: Frame, names: Sequence[str], *, inches: bool) -> None:
        """Show what can be done to some points of a frame."""
        self._frame, self.names = frame, tuple(names)
        words = tr("{n} points: {names}").format(n=len(names), names=", ".join(names))
        self.which.setText(words)
        chosen = self.about.currentData()
        self.about.clear()
        self.about.addItem(tr("the origin"), _ORIGIN)
        for name in frame.points:
            self.about.addItem(name, name)
        self.about.setCurrentIndex(max(self.about.findData(chosen), 0))
        for field in (*self.steps, self.at):
            field.set_inches(inches)
        self.problem.hide()

    def _show_rows(self) -> None:
        shown = self._shown[self.way.currentData()]
        for widget in (self.axis, self.about, *self.steps, self.angle, self.at, self.factor):
            self.form.setRowVisible(widget, widget in shown)
        tab_down(self)

    def showEvent(self, event: QShowEvent) -> None:
        """Only now is it known what stands where."""
        super().showEvent(event)
        tab_down(self)

    def _change(self) -> Change:
        way, axis = self.way.currentData(), self.axis.currentData()
        if way == "move":
            x, y, z = (field.value for field in self.steps)
            return moved_by((x, y, z))
        if way == "mirror":
            return mirrored_at(axis, self.at.value)
        about = self.about.currentData()
        middle = (0.0, 0.0, 0.0) if about == _ORIGIN else Places(self._frame).point(about)
        if way == "turn":
            return turned_by(self.angle.value, axis, middle)
        return scaled_by(self.factor.value / 100, middle)

    def _tell(self) -> None:
        try:
            change = self._change()
        except CopewrightError as error:
            self.problem.setText(sentence(error))
            self.problem.show()
            return
        self.problem.hide()
        self.changed.emit(_DONE[self.way.currentData()].format(n=len(self.names)), change)
