"""The lists of a frame: its tubes in fit-up order, its points, its stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QListWidgetItem, QWidget

from app.window.focus_frame import FocusedList
from app.window.shown_words import HAND_WORDS, STEP_WORDS, in_a_row, length_shown
from app.window.words import counted, joined, numerals, tr
from geometry.frame import Frame, Stock, Tube, hand_of, made_names
from geometry.lengths import format_mm
from geometry.path import Point
from geometry.place import Along, At, MirrorOf, OffsetFrom, Place, Swung
from geometry.section import RoundTube

_NAME = Qt.ItemDataRole.UserRole


class NamedList(FocusedList):
    """Names with a line of words each; one is chosen, or several where the list takes them.

    Signals:
        chosen: the name that was chosen by hand, "" for none.
        taken_out: Delete was pressed on these names.
        copied: the chosen rows are wanted on the clipboard.
        pasted: what is on the clipboard is wanted here.
    """

    chosen = Signal(str)
    taken_out = Signal(list)
    copied = Signal()
    pasted = Signal()

    def __init__(self, name: str, parent: QWidget | None = None, *, several: bool = False) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setWordWrap(True)
        self.setAlternatingRowColors(True)
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
        before, several, names = self.current, self.selected, self.names
        new = [name for name, _ in rows]
        if several == [before] and before not in new and len(new) == len(names):
            there = new[names.index(before)]
            if there not in names:
                # It has another name now, and is where it was.
                before, several = there, [there]
        self.blockSignals(True)
        if names == new:
            for row, (_, words) in enumerate(rows):
                item = self.item(row)
                # What stays is not laid out and painted anew.
                if item.text() != words:
                    item.setText(words)
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
            self.taken_out.emit(self.selected)
        else:
            super().keyPressEvent(event)


class TubeList(NamedList):
    """The tubes in the order in which they go into the jig; dragged, or moved with Alt and the arrows.

    Signals:
        moved: a tube's name, and its new place in the order, from 0.
    """

    moved = Signal(str, int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("tubes, in the order they go into the jig"), parent)
        self.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self.setToolTip(
            tr(
                "Each tube is cut to fit those above it. Drag one up or down, or move it with Alt and the arrow keys."
            )
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


def tube_rows(frame: Frame, findings: Mapping[str, str], *, inches: bool) -> list[tuple[str, str]]:
    """Each tube's name and what the list says of it.

    Args:
        frame: whose tubes.
        findings: how many there are of a tube, in words, by its name.
        inches: sizes in inches.
    """
    rows = []
    for number, tube in enumerate(frame.tubes, 1):
        called, made_of = [f"{number}  {tube.name}"], [_made_of(frame, tube, inches=inches)]
        if tube.handed:
            called[0] += ", " + tr("both hands")
        steps = {part: frame.progress.get(part) for part in made_names(tube)}
        if any(steps.values()):
            made = [
                f"{HAND_WORDS.get(hand_of(tube, part), '')} {STEP_WORDS[step]}".strip()
                for part, step in steps.items()
                if step
            ]
            called.append(joined(made))
        used = [HAND_WORDS.get(one.hand, "") for one in tube.as_bent if one.use]
        if used:
            came = tr("as it came")
            called.append(f"{joined(used)} {came}".strip())
        if tube.name in findings:
            made_of.append(findings[tube.name])
        rows.append((tube.name, f"{'; '.join(called)}\n{'; '.join(made_of)}"))
    return rows


def _made_of(frame: Frame, tube: Tube, *, inches: bool) -> str:
    words, count = stock_words(frame.stock[tube.stock], inches=inches), len(tube.radii)
    bends = counted(count, tr("{n} bend"), tr("{n} bends"))
    return f"{words}, {bends}" if count else words


def point_rows(frame: Frame, places: Mapping[str, Point], *, inches: bool) -> list[tuple[str, str]]:
    """Each point's name, where it is, and how it is set out."""
    rows = []
    for name, place in frame.points.items():
        at = places.get(name)
        where = _row(at, inches=inches) if at else tr("nowhere")
        how = place_words(place, inches=inches)
        rows.append((name, f"{name}\n{where}{f' ({how})' if how else ''}"))
    return rows


def stock_rows(frame: Frame, *, inches: bool) -> list[tuple[str, str]]:
    """Each stock's name, its section and steel."""
    return [
        (name, f"{name}\n{stock_words(stock, inches=inches)}, {stock.material}")
        for name, stock in frame.stock.items()
    ]


def tool_rows(frame: Frame, *, inches: bool) -> list[tuple[str, str]]:
    """Each bending tool's name, what it bends, and how often it was tried."""
    rows = []
    for name, tool in frame.tools.items():
        words = tr("{name}\nfor {od}, radius {radius}, {trials}").format(
            name=name,
            od=length_shown(tool.od, inches=inches),
            radius=length_shown(tool.radius, inches=inches),
            trials=counted(len(tool.trials), tr("{n} trial bend"), tr("{n} trial bends")),
        )
        rows.append((name, words))
    return rows


def stock_words(stock: Stock, *, inches: bool) -> str:
    """A section as it is called: OD x wall, or width x height x wall; inches with their unit."""
    section = stock.section
    sizes = (
        (section.od, section.wall)
        if isinstance(section, RoundTube)
        else (section.width, section.height, section.wall)
    )
    words = " x ".join(length_shown(size, inches=inches) for size in sizes)
    return f"{words} in" if inches else words


def place_words(place: Place, *, inches: bool) -> str:
    """How a point is set out; "" for plain coordinates."""
    match place:
        case OffsetFrom(base, offset):
            return tr("from {base} by {by}").format(base=base, by=_row(offset, inches=inches))
        case Swung(base, distance, angle):
            length, turn = length_shown(distance, inches=inches), numerals(format_mm(angle))
            words = tr("{distance} from {base} at {angle}")
            return words.format(distance=length, base=base, angle=f"{turn}°")
        case Along(tube, share, distance):
            if share is not None:
                percent = numerals(format_mm(share * 100))
                return tr("on {tube}, {percent} % along").format(tube=tube, percent=percent)
            length = length_shown(abs(distance or 0.0), inches=inches)
            if distance is not None and distance < 0:
                words = tr("on {tube}, {distance} from its finish")
            else:
                words = tr("on {tube}, {distance} from its start")
            return words.format(tube=tube, distance=length)
        case MirrorOf(base):
            return tr("mirror image of {base}").format(base=base)
        case At():
            return ""


def _row(values: Sequence[float], *, inches: bool) -> str:
    return in_a_row(length_shown(value, inches=inches) for value in values)
