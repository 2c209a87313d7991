"""The findings of a frame: how many, what and why, and the way to the place that each speaks of."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent, QTextLayout, QTextOption
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyle, QWidget

from app.window.focus_frame import FocusedList
from app.window.page_frame import finding_words
from app.window.words import tr
from geometry.findings import Finding, Level
from geometry.frame import Frame, made_names

_WHAT = Qt.ItemDataRole.UserRole
_NOTHING = tr("Nothing to stop at.")
_SIGNS: dict[Level, QStyle.StandardPixmap] = {
    "error": QStyle.StandardPixmap.SP_MessageBoxCritical,
    "warning": QStyle.StandardPixmap.SP_MessageBoxWarning,
    "note": QStyle.StandardPixmap.SP_MessageBoxInformation,
}
_SIGN_PX = 16


class FindingsList(FocusedList):
    """Each finding on a few lines; one click goes to the place that it speaks of.

    Signals:
        jumped: the finding that was chosen.
    """

    jumped = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("findings"))
        self.setWordWrap(True)
        # One that is higher than its room can be read to its end.
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setToolTip(tr("A click goes to the tube that it speaks of"))
        self.setIconSize(QSize(_SIGN_PX, _SIGN_PX))
        self._rows: list[Finding] | None = None
        self._clicked = False
        self._held: tuple[str, ...] | None = None
        self.itemClicked.connect(self._chosen)
        self.itemActivated.connect(self._chosen)

    def show_findings(self, findings: Sequence[Finding], first: Sequence[str] = ()) -> None:
        """Show these, in their order; those that speak of the parts of the chosen tube before the others."""
        if self._clicked:
            self._held, self._clicked = tuple(first), False
        if (
            self._rows is not None
            and self._held == tuple(first)
            and set(self._rows) == set(findings)
        ):
            # What was clicked on stays under the pointer.
            return
        self._held = None
        rows = sorted(findings, key=lambda one: not one.speaks_of(first))
        if rows == self._rows:
            return
        self._rows = rows
        self.clear()
        for one in rows:
            item = QListWidgetItem(finding_words(one))
            item.setIcon(self.style().standardIcon(_SIGNS[one.level]))
            item.setData(_WHAT, one)
            self.addItem(item)
        if not findings:
            item = QListWidgetItem(_NOTHING)
            item.setFlags(Qt.ItemFlag.NoItemFlags)
            self.addItem(item)
        self._fit_rows()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The words are broken anew."""
        super().resizeEvent(event)
        self._fit_rows()

    def _fit_rows(self) -> None:
        """Each row as high as its words need at this width."""
        width = max(self.viewport().width() - 12, 60)
        for row in range(self.count()):
            item = self.item(row)
            room = width if item.icon().isNull() else width - _SIGN_PX - 8
            item.setSizeHint(QSize(width, self._height_of(item.text(), room) + 10))

    def _height_of(self, words: str, width: int) -> int:
        """Of words broken as the list breaks them: between words, and within one that is longer than a line."""
        layout = QTextLayout(words, self.font())
        option = QTextOption()
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        layout.setTextOption(option)
        height = 0.0
        layout.beginLayout()
        while (line := layout.createLine()).isValid():
            line.setLineWidth(width)
            height += line.height()
        layout.endLayout()
        return math.ceil(height)

    def _chosen(self, item: QListWidgetItem) -> None:
        finding = item.data(_WHAT)
        if finding is not None:
            self._clicked = True
            self.jumped.emit(finding)


def place_within(finding: Finding, part: str) -> str:
    """Which place of its part a finding speaks of: "start", "finish", "bend 2", "bends 1, 2", …; "" for all of it."""
    return finding.where.removeprefix(f"{part}, ") if finding.where.startswith(f"{part}, ") else ""


def place_of(finding: Finding, frame: Frame) -> tuple[str, str, str]:
    """What a finding speaks of: a tube and a part of it, or a point; "" where it is none."""
    owners = {part: tube.name for tube in frame.tubes for part in (tube.name, *made_names(tube))}
    found = finding.speaks_of(owners)
    if found:
        whole = found[0] not in made_names(frame.tube(owners[found[0]]))
        return owners[found[0]], "" if whole else found[0], ""
    points = finding.speaks_of(frame.points)
    return "", "", points[0] if points else ""
