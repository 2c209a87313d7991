"""The lists of a frame: its tubes in fit-up order, its points, its stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QListWidgetItem, QWidget

from geometry.frame import Frame, Stock, Tube, made_names
from geometry.path import Point
from geometry.place import Along, At, MirrorOf, OffsetFrom, Place, Swung
from geometry.section import RoundTube
from geometry.units import format_mm, shown_inches

_NAME = Qt.ItemDataRole.UserRole


class NamedList(QListWidget):
    """Names with a line of words each; one is chosen, or several where the list takes them.

    Signals:
        chosen: the name that was chosen by hand, "" for none.
        taken_out: Delete was pressed on this name.
        copied: the chosen rows are wanted on the clipboard.
        pasted: what is on the clipboard is wanted here.
    """

    chosen = Signal(str)
    taken_out = Signal(str)
    copied = Signal()
    pasted = Signal()

    def __init__(self, name: str, parent: QWidget | None = None, *, several: bool = False) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setWordWrap(True)
        mode = QAbstractItemView.SelectionMode
        self.setSelectionMode(mode.ExtendedSelection if several else mode.SingleSelection)
        self.itemSelectionChanged.connect(lambda: self.chosen.emit(self.current))

    @property
    def names(self) -> list[str]:
        """All names, in order."""
        return [self.item(row).data(_NAME) for row in range(self.count())]

    @property
    def selected(self) -> list[str]:
        """The chosen names, in order."""
        return [
            str(self.item(row).data(_NAME))
            for row in range(self.count())
            if self.item(row).isSelected()
        ]

    @property
    def current(self) -> str:
        """The chosen name, of several the one that was chosen last; "" for none."""
        item = self.currentItem()
        return (
            str(item.data(_NAME)) if item and item.isSelected() else next(iter(self.selected), "")
        )

    def show_rows(self, rows: Sequence[tuple[str, str]]) -> None:
        """Names and what is said of each; the chosen one stays chosen where it is still there."""
        before, several = self.current, self.selected
        self.blockSignals(True)
        if self.names == [name for name, _ in rows]:
            for row, (_, words) in enumerate(rows):
                self.item(row).setText(words)
        else:
            self.clear()
            for name, words in rows:
                item = QListWidgetItem(words)
                item.setData(_NAME, name)
                self.addItem(item)
        self.blockSignals(False)
        if self.selected != several:
            self.choose(before, several)

    def choose(self, name: str, several: Sequence[str] = ()) -> None:
        """Choose a name without telling anybody, or several with it; "" chooses none."""
        self.blockSignals(True)
        rows = self.names
        self.clearSelection()
        self.setCurrentRow(rows.index(name) if name in rows else -1)
        for other in several:
            if other in rows:
                self.item(rows.index(other)).setSelected(True)
        self.blockSignals(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete takes the chosen one out; Escape chooses none; rows are copied and pasted as tables."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copied.emit()
        elif event.matches(QKeySequence.StandardKey.Paste):
            self.pasted.emit()
        elif event.key() == Qt.Key.Key_Escape and self.current:
            self.clearSelection()
        elif event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self.current:
            self.taken_out.emit(self.current)
        else:
            super().keyPressEvent(event)


class TubeList(NamedList):
    """The tubes in the order in which they go into the jig; dragged, or moved with Alt and the arrows.

    Signals:
        moved: a tube's name, and its new place in the order, from 0.
    """

    moved = Signal(str, int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("tubes, in the order they go into the jig", parent)
        self.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self.setToolTip(
            "Each tube is cut to fit those above it. Drag one up or down, or move it with Alt and the arrow keys."
        )
        self.model().rowsMoved.connect(self._rows_moved)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Alt and an arrow moves the chosen tube by one."""
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()), 0)
        if step and event.modifiers() & Qt.KeyboardModifier.AltModifier and self.current:
            to = self.currentRow() + step
            if 0 <= to < self.count():
                self.moved.emit(self.current, to)
            return
        super().keyPressEvent(event)

    def _rows_moved(
        self, _parent: QModelIndex, start: int, _end: int, _to_parent: QModelIndex, row: int
    ) -> None:
        to = row - 1 if row > start else row
        self.moved.emit(str(self.item(to).data(_NAME)), to)


def tube_rows(frame: Frame, findings: Mapping[str, int], *, inches: bool) -> list[tuple[str, str]]:
    """Each tube's name and what the list says of it.

    Args:
        frame: whose tubes.
        findings: how many there are of a tube, by its name.
        inches: sizes in inches.
    """
    rows = []
    for number, tube in enumerate(frame.tubes, 1):
        words = f"{number}  {tube.name}"
        words += ", both hands" * tube.handed
        made = [frame.progress.get(part) for part in made_names(tube)]
        words += f"; {' and '.join(step or 'nothing yet' for step in made)}" * any(made)
        words += f"\n{stock_words(frame.stock[tube.stock], inches=inches)}{_bends(tube)}"
        count = findings.get(tube.name, 0)
        words += f"; {count} to heed" if count else ""
        rows.append((tube.name, words))
    return rows


def _bends(tube: Tube) -> str:
    count = len(tube.radii)
    return f", {count} bend{'s' * (count != 1)}" if count else ""


def point_rows(frame: Frame, places: Mapping[str, Point], *, inches: bool) -> list[tuple[str, str]]:
    """Each point's name, where it is, and how it is set out."""
    rows = []
    for name, place in frame.points.items():
        at = places.get(name)
        where = ", ".join(_length(value, inches=inches) for value in at) if at else "nowhere"
        how = place_words(place, inches=inches)
        rows.append((name, f"{name}\n{where}{f' ({how})' if how else ''}"))
    return rows


def stock_rows(frame: Frame, *, inches: bool) -> list[tuple[str, str]]:
    """Each stock's name, its section and steel."""
    return [
        (name, f"{name}\n{stock_words(stock, inches=inches)}, {stock.material}")
        for name, stock in frame.stock.items()
    ]


def stock_words(stock: Stock, *, inches: bool) -> str:
    """A section as it is called: OD x wall, or width x height x wall."""
    section = stock.section
    sizes = (
        (section.od, section.wall)
        if isinstance(section, RoundTube)
        else (section.width, section.height, section.wall)
    )
    return " x ".join(_length(size, inches=inches) for size in sizes)


def place_words(place: Place, *, inches: bool) -> str:
    """How a point is set out; "" for plain coordinates."""
    match place:
        case OffsetFrom(base, offset):
            by = ", ".join(_length(value, inches=inches) for value in offset)
            return f"from {base} by {by}"
        case Swung(base, distance, angle):
            return f"{_length(distance, inches=inches)} from {base} at {format_mm(angle)}°"
        case Along(tube, share, distance):
            if share is not None:
                return f"on {tube}, {format_mm(share * 100)} % along"
            end = "finish" if distance is not None and distance < 0 else "start"
            return f"on {tube}, {_length(abs(distance or 0.0), inches=inches)} from its {end}"
        case MirrorOf(base):
            return f"mirror image of {base}"
        case At():
            return ""


def _length(value: float, *, inches: bool) -> str:
    return shown_inches(value) if inches else format_mm(value)
