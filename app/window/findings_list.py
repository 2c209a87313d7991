"""The findings of a frame: how many, what and why, and the way to the place that each speaks of."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from geometry.findings import Finding
from geometry.frame import Frame, made_names

_WHAT = Qt.ItemDataRole.UserRole
_NOTHING = "Nothing to stop at."


class FindingsList(QListWidget):
    """Each finding on a few lines; one click goes to the place that it speaks of.

    Signals:
        jumped: the finding that was chosen.
    """

    jumped = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("findings")
        self.setWordWrap(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setToolTip("A click goes to the tube that it speaks of")
        self.itemClicked.connect(self._chosen)
        self.itemActivated.connect(self._chosen)

    def show_findings(self, findings: Sequence[Finding]) -> None:
        """Show these, in their order."""
        self.clear()
        for one in findings:
            item = QListWidgetItem(f"{one.level.capitalize()}, {one.where}: {one.what} {one.do}")
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
        width = self.viewport().width() - 12
        metrics = self.fontMetrics()
        flags = int(Qt.TextFlag.TextWordWrap | Qt.TextFlag.TextWrapAnywhere)
        for row in range(self.count()):
            item = self.item(row)
            box = metrics.boundingRect(0, 0, max(width, 60), 10_000, flags, item.text())
            item.setSizeHint(QSize(max(width, 60), box.height() + 10))

    def _chosen(self, item: QListWidgetItem) -> None:
        finding = item.data(_WHAT)
        if finding is not None:
            self.jumped.emit(finding)


def place_of(finding: Finding, frame: Frame) -> tuple[str, str, str]:
    """What a finding speaks of: a tube and a part of it, or a point; "" where it is none."""
    where = finding.where.split(",")[0].removeprefix("tube ").strip("'")
    for tube in frame.tubes:
        if where in {tube.name, *made_names(tube)}:
            return tube.name, where if where in made_names(tube) else "", ""
    point = finding.where.removeprefix("point ").strip("'")
    return "", "", point if point in frame.points else ""
