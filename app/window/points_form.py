"""Several points at once: moved, turned, mirrored or scaled."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFormLayout, QPushButton, QVBoxLayout, QWidget

from app.window.number_field import NumberField
from app.window.page_frame import StillCombo, words_label
from geometry.errors import CopewrightError
from geometry.frame import Frame
from geometry.places import Places
from geometry.point_moves import Change, mirrored_at, moved_by, scaled_by, turned_by
from geometry.tolerances import MAX_COORDINATE_MM as _MOST

_WAYS = {
    "move": "move them",
    "turn": "turn them",
    "mirror": "mirror them",
    "scale": "scale them",
}
_AXES = {"x": "x, forward", "y": "y, to the left", "z": "z, up"}
_ORIGIN = "the origin"
_INTRO = "What is done here is done to all the points that are chosen in the list; what hangs on them goes along."


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
            (self.way, "what is done to them"),
            (self.axis, "the axis"),
            (self.about, "the point that stays"),
        ):
            combo.setAccessibleName(said)
        for key, words in _WAYS.items():
            self.way.addItem(words, key)
        for key, words in _AXES.items():
            self.axis.addItem(words, key)
        tips = ("forward", "to the left", "up")
        self.steps = tuple(
            NumberField(f"by {axis}", 0.0, -_MOST, _MOST, tip=tip)
            for axis, tip in zip("xyz", tips, strict=True)
        )
        self.angle = NumberField(
            "angle", 90.0, -360, 360, kind="angle", tip="right-handed about the axis: from y to z, z to x, x to y"
        )  # fmt: skip
        self.at = NumberField(
            "plane at", 0.0, -_MOST, _MOST, tip="where the mirror stands along the axis; y at 0 is the centre-plane"
        )  # fmt: skip
        self.factor = NumberField(
            "percent", 100.0, 0, 100_000, kind="angle", above=True, tip="of every distance; 100 leaves all as it is"
        )  # fmt: skip
        self.do = QPushButton("Do it", self)
        self.problem = words_label(self)
        self.problem.hide()
        self._shown: dict[str, tuple[QWidget, ...]] = {
            "move": self.steps, "turn": (self.axis, self.about, self.angle), "mirror": (self.axis, self.at),
            "scale": (self.about, self.factor),
        }  # fmt: skip
        self.form = QFormLayout()
        self.form.addRow("", self.way)
        self.form.addRow("axis", self.axis)
        self.form.addRow("about", self.about)
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
        self.which.setText(f"{len(names)} points: {', '.join(names)}")
        chosen = self.about.currentText()
        self.about.clear()
        self.about.addItems([_ORIGIN, *frame.points])
        self.about.setCurrentIndex(max(self.about.findText(chosen), 0))
        for field in (*self.steps, self.at):
            field.set_inches(inches)
        self.problem.hide()

    def _show_rows(self) -> None:
        shown = self._shown[self.way.currentData()]
        for widget in (self.axis, self.about, *self.steps, self.angle, self.at, self.factor):
            self.form.setRowVisible(widget, widget in shown)

    def _change(self) -> Change:
        way, axis = self.way.currentData(), self.axis.currentData()
        if way == "move":
            x, y, z = (field.value for field in self.steps)
            return moved_by((x, y, z))
        if way == "mirror":
            return mirrored_at(axis, self.at.value)
        about = self.about.currentText()
        middle = (0.0, 0.0, 0.0) if about == _ORIGIN else Places(self._frame).point(about)
        if way == "turn":
            return turned_by(self.angle.value, axis, middle)
        return scaled_by(self.factor.value / 100, middle)

    def _tell(self) -> None:
        try:
            change = self._change()
        except CopewrightError as error:
            self.problem.setText(f"{error}.")
            self.problem.show()
            return
        self.problem.hide()
        word = {"move": "Move", "turn": "Turn", "mirror": "Mirror", "scale": "Scale"}
        self.changed.emit(f"{word[self.way.currentData()]} {len(self.names)} points", change)
