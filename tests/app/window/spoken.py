"""All that a window shows or says, and which of it is still in English."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QCommandLinkButton,
    QLabel,
    QLineEdit,
    QListWidget,
    QMenu,
    QMessageBox,
    QProgressBar,
    QTabBar,
    QTableWidget,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

from geometry.material import MATERIALS
from templates_out.paper import PAPERS

KEYS = ("Ins", "Del", "Ctrl+D")
UNITS = ("mm", "in", "kg", "x", "y", "z", "16swg", "16bwg", "PDF", "DXF", "CSV", "Copewright")
_WIDGETS = ("toolTip", "statusTip", "whatsThis", "accessibleName", "accessibleDescription")
_OF_QT = ("qt_", "ScrollLeftButton", "ScrollRightButton")


class Spoken:
    """What the person sees and hears, and what of it is not for the window to translate.

    Attributes:
        seen: each text, and where.
        sentences: that stay English: titles of printed sheets.
        names: the person's own, and those of things.
    """

    def __init__(self) -> None:
        self.seen: dict[str, str] = {}
        self.sentences: set[str] = set()
        self.names: set[str] = {*UNITS, *MATERIALS, *PAPERS}
        # Keys have the names that Qt gives them in the person's language.
        native = QKeySequence.SequenceFormat.NativeText
        self.names |= {QKeySequence(key).toString(native) for key in KEYS}

    def take(self, text: str, where: str) -> None:
        if text and text not in self.seen:
            self.seen[text] = where

    def look(self, where: str) -> None:
        """Take all that is on the screen now."""
        for top in QApplication.topLevelWidgets():
            for widget in [top, *top.findChildren(QWidget)]:
                if not of_qt(widget):
                    for text in texts(widget):
                        self.take(text, f"{where}: {type(widget).__name__}")

    def left(self) -> dict[str, str]:
        """The texts with words that are in English and need not be, and where they were seen."""
        known = sorted(self.sentences | self.names, key=len, reverse=True)
        every = re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, known))})(?!\w)")
        found = {}
        for text, where in self.seen.items():
            rest = html.unescape(re.sub(r"<[^<>]*>", " ", text)).replace("\u200b", "")
            rest = every.sub(" ", rest.replace("&", ""))
            if re.search("[A-Za-z]", rest):
                found[text] = f"{where}: {' '.join(rest.split())}"
        return found


def of_qt(widget: QWidget) -> bool:
    """Its words are Qt's own."""
    if widget.objectName().startswith(_OF_QT):
        return True
    while widget is not None:
        if isinstance(widget, QPrintDialog):
            return True
        widget = widget.parentWidget()
    return False


def texts(widget: QWidget) -> Iterable[str]:
    """All that a widget shows or says."""
    for name in _WIDGETS:
        yield getattr(widget, name)()
    if widget.isWindow():
        yield widget.windowTitle()
    yield getattr(widget, "caption", "") if isinstance(getattr(widget, "caption", ""), str) else ""
    for action in widget.actions():
        yield from action_texts(action)
    if isinstance(widget, QMessageBox):
        yield from (widget.text(), widget.informativeText())
    if isinstance(widget, QLabel | QAbstractButton | QProgressBar):
        yield widget.text()
    if isinstance(widget, QCommandLinkButton):
        yield widget.description()
    if isinstance(widget, QLineEdit):
        yield from (widget.text(), widget.placeholderText())
    if isinstance(widget, QMenu):
        yield widget.title()
    if isinstance(widget, QTabBar):
        for index in range(widget.count()):
            yield from (widget.tabText(index), widget.tabToolTip(index))
    if isinstance(widget, QComboBox):
        yield from (widget.itemText(index) for index in range(widget.count()))
    if isinstance(widget, QListWidget):
        for row in range(widget.count()):
            yield from (widget.item(row).text(), widget.item(row).toolTip())
    if isinstance(widget, QTreeWidget):
        yield from tree_texts(widget.invisibleRootItem())
    if isinstance(widget, QTableWidget) and type(widget).__name__ != "ResultTable":
        heads = (widget.horizontalHeaderItem(column) for column in range(widget.columnCount()))
        yield from (head.text() for head in heads if head)
        rows, columns = range(widget.rowCount()), range(widget.columnCount())
        cells = (widget.item(row, column) for row in rows for column in columns)
        yield from (cell.text() for cell in cells if cell)


def action_texts(action: QAction) -> Iterable[str]:
    yield from (action.text(), action.toolTip(), action.statusTip())
    menu = action.menu()
    if isinstance(menu, QMenu):
        menu.aboutToShow.emit()
        for one in menu.actions():
            yield from action_texts(one)


def tree_texts(item: QTreeWidgetItem) -> Iterable[str]:
    for number in range(item.childCount()):
        child = item.child(number)
        yield from (child.text(0), child.toolTip(0))
        yield from tree_texts(child)
