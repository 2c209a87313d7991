"""The frame itself, as a form: its name, what must be kept to, and what its drawings say of themselves."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtWidgets import QFormLayout, QLineEdit, QVBoxLayout, QWidget

from app.window.named_form import NamedForm, put
from app.window.number_field import NumberField
from app.window.page_frame import StillCombo, words_label
from app.window.words import tr
from geometry.frame import Frame
from geometry.title import PROJECTIONS, TOLERANCE_CLASSES, TitleFacts
from geometry.tolerances import MAX_SIZE_MM

_FACTS = {
    "owner": (tr("owner"), tr("whose drawings they are")),
    "number": (tr("job number"), tr("each drawing adds its own part, such as TR-7-02L")),
    "revision": (tr("revision"), tr("such as A")),
    "date": (tr("date of issue"), tr("such as 2026-05-01")),
    "drawn_by": (tr("drawn by"), ""),
    "approved_by": (tr("approved by"), ""),
}
_PROJECTION = {
    "first": tr("first angle (as in Europe)"),
    "third": tr("third angle (as in America)"),
}
_CLASSES = {
    "A": tr("class A, the finest"), "B": tr("class B, as usual"), "C": tr("class C, coarser"),
    "D": tr("class D, the coarsest"),
}  # fmt: skip
_TITLE = tr(
    "What the title blocks of the bend drawings say; empty lines are left to be filled in by hand."
)


class FrameForm(NamedForm):
    """A frame's own facts."""

    def __init__(self, intro: str, parent: QWidget | None = None) -> None:
        super().__init__(tr("name of the frame"), parent)
        self.least_wall = NumberField(
            tr("least wall at a bend"), 0.0, 0, MAX_SIZE_MM,
            tip=tr("the findings say where a bend's outside comes thinner; 0 for any"),
        )  # fmt: skip
        self.facts = {key: QLineEdit(self) for key in _FACTS}
        self.projection, self.tolerance = StillCombo(self), StillCombo(self)
        for way in PROJECTIONS:
            self.projection.addItem(_PROJECTION[way], way)
        for one in TOLERANCE_CLASSES:
            self.tolerance.addItem(_CLASSES[one], one)
        self.tolerance.setToolTip(
            tr("How true the bender has to be where the drawing says nothing else: ISO 13920")
        )
        form = QFormLayout()
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.addRow(tr("name"), self.name_rows)
        titles = QFormLayout()
        titles.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        for key, (label, tip) in _FACTS.items():
            self.facts[key].setAccessibleName(label)
            self.facts[key].setToolTip(tip)
            titles.addRow(label, self.facts[key])
            self.facts[key].editingFinished.connect(self._changed)
        for label, combo in ((tr("views in"), self.projection), (tr("tolerance"), self.tolerance)):
            combo.setAccessibleName(label)
            titles.addRow(label, combo)
            combo.activated.connect(lambda _: self._changed())
        self.least_wall.value_changed.connect(lambda _: self._changed())
        rows = QVBoxLayout(self)
        rows.addWidget(words_label(self, intro))
        rows.addLayout(form)
        rows.addWidget(self.least_wall)
        rows.addWidget(words_label(self, _TITLE))
        rows.addLayout(titles)
        rows.addWidget(self.problem)
        rows.addStretch(1)

    def show_frame(self, frame: Frame, *, inches: bool) -> None:
        """Show a frame's own facts."""
        with self.filling(frame.name, frame):
            self.least_wall.set_inches(inches)
            put(self.least_wall, frame.least_wall)
            for key, edit in self.facts.items():
                if edit.text() != getattr(frame.drawing, key) and not edit.hasFocus():
                    edit.setText(getattr(frame.drawing, key))
            self.projection.setCurrentIndex(self.projection.findData(frame.drawing.projection))
            self.tolerance.setCurrentIndex(self.tolerance.findData(frame.drawing.tolerance))

    def _changed(self) -> None:
        frame = self.shown
        if isinstance(frame, Frame):
            self.tell(tr("What the drawings say"), lambda: self._said(frame))

    def _said(self, frame: Frame) -> Frame:
        """The frame with what the form says."""
        words = {key: edit.text().strip() for key, edit in self.facts.items()}
        tolerance = TOLERANCE_CLASSES[self.tolerance.currentIndex()]
        drawing = TitleFacts(**words, projection=self.projection.currentData(), tolerance=tolerance)
        return replace(frame, least_wall=self.least_wall.value, drawing=drawing)
