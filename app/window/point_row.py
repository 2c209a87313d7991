"""A line for one point of a tube that is being added: chosen, clicked or typed."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QWidget

from app.window.page_frame import StillCombo
from app.window.words import tr
from geometry.point_text import mirror_of

# What is typed is the same in every language; a comma between whole numbers is never a decimal one.
_TIP = tr(
    "Type a point's name, or x, y, z such as {place}, or both: {both}; a mirror image is {mirror}; a place on a tube is "
    "{on}, {middle} or {high}; or click in a view (with Alt or Shift beside every tube)"
).format(
    place="0, -190, 45",
    both="roller: 0, -190, 45",
    mirror="left: mirror of right",
    on="on rail at 120",
    middle="on rail at 50 %",
    high="on rail at height 550",
)


class PointRow(StillCombo):
    """One point; what is typed may give it a name.

    Signals:
        renamed: what it was called, and what it is called now.

    Attributes:
        image_of: the line whose mirror image was meant when that was called otherwise; None for none.
    """

    renamed = Signal(str, str)

    def __init__(self, number: int, names: Iterable[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.addItems(list(names))
        self.setCurrentIndex(-1)
        self.setAccessibleName(tr("point {number} of the new tube").format(number=number))
        self.setToolTip(_TIP)
        edit = self.lineEdit()
        assert edit is not None  # noqa: S101 - it is editable
        edit.setPlaceholderText(tr("a point's name, or x, y, z"))
        self._called = ""
        self.image_of: PointRow | None = None
        self._follows = False
        self.editTextChanged.connect(self._typed)

    def _typed(self, text: str) -> None:
        name, colon, _ = text.partition(":")
        before, self._called = self._called, name.strip() if colon else ""
        if not self._follows:
            self.image_of = None
        if before and self._called and before != self._called:
            self.renamed.emit(before, self._called)

    def is_image_of(self, name: str) -> bool:
        """Whether what is typed is the mirror image of a point of this name."""
        return self.currentText().strip().casefold().endswith(mirror_of(name).casefold())

    def follow_name(self, old: str, new: str) -> None:
        """The line whose mirror image is meant is called otherwise."""
        text = self.currentText().strip()
        self._follows = True
        self.setEditText(f"{text[: len(text) - len(mirror_of(old))]}{mirror_of(new)}")
        self._follows = False
