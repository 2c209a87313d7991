"""Which tubes and ends of a frame are wanted on paper: a tree with a tick for each."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QTreeWidget, QTreeWidgetItem, QWidget

from app.window.colours import outline_ticks
from app.window.words import tr

_ON, _OFF = Qt.CheckState.Checked, Qt.CheckState.Unchecked
_WORDS = {"start": tr("start: wrap"), "finish": tr("finish: wrap"), "bend": tr("bend sheets")}
_FRONT_WORDS = tr("cover, findings, schedule, landings")


class EndsTree(QTreeWidget):
    """A tick at a tube is one at all that is made of it.

    Signals:
        changed: something else is wanted than before.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setHeaderHidden(True)
        outline_ticks(self)
        # Left and right are told apart by the end of a name.
        self.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.setAccessibleName(tr("tubes and ends to print"))
        self.setToolTip(tr("Take the ticks away from what you do not want on paper"))
        self._items: dict[tuple[str, str], QTreeWidgetItem] = {}
        self.itemChanged.connect(lambda *_: self.changed.emit())

    def show_choices(self, choices: Sequence[tuple[str, str]]) -> None:
        """Show what there is; what was not wanted stays so."""
        if list(choices) == list(self._items):
            return
        unwanted = set(self._items) - set(self.wanted)
        self.blockSignals(True)
        self.clear()
        self._items = {}
        parts: dict[str, QTreeWidgetItem] = {}
        for part, what in choices:
            if part and part not in parts:
                parts[part] = QTreeWidgetItem(self, [part])
                parts[part].setToolTip(0, part)
                flags = parts[part].flags()
                flags |= Qt.ItemFlag.ItemIsUserCheckable | Qt.ItemFlag.ItemIsAutoTristate
                parts[part].setFlags(flags)
            words = _WORDS.get(what, _FRONT_WORDS)
            item = QTreeWidgetItem(parts[part], [words]) if part else QTreeWidgetItem(self, [words])
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(0, _OFF if (part, what) in unwanted else _ON)
            self._items[part, what] = item
        self.blockSignals(False)

    def forget(self) -> None:
        """Another frame: all of it is wanted."""
        self._items = {}
        self.blockSignals(True)
        self.clear()
        self.blockSignals(False)

    @property
    def wanted(self) -> list[tuple[str, str]]:
        """What is ticked."""
        return [what for what, item in self._items.items() if item.checkState(0) == _ON]

    @property
    def chosen(self) -> list[tuple[str, str]] | None:
        """What is ticked; None where all is."""
        wanted = self.wanted
        return None if len(wanted) == len(self._items) else wanted

    @property
    def any_drawn(self) -> bool:
        """Something is ticked that there is a template of; of what is in front of the book there is none."""
        return any(part for part, _ in self.wanted)

    def tick_all(self, *, on: bool) -> None:
        """Want all, or nothing."""
        self.blockSignals(True)
        for item in self._items.values():
            item.setCheckState(0, _ON if on else _OFF)
        self.blockSignals(False)
        self.changed.emit()
