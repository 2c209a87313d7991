"""No text of any page is clipped or lies over other text, in any of its states and sizes."""

from __future__ import annotations

from itertools import combinations

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QComboBox,
    QLabel,
    QLineEdit,
    QListWidget,
    QScrollArea,
    QTabBar,
    QTableWidget,
    QWidget,
)

from app.document.samples import sample_frame
from app.window.came_back import CameBackDialog
from app.window.frame_column import KINDS
from app.window.result_table import ResultTable
from app.window.walk import STEPS
from tests.app.window.conftest import type_in

WITH_TEXT = (QAbstractButton, QComboBox, QLabel, QLineEdit, QListWidget, QTabBar, QTableWidget)


def leaves(window):
    """Visible widgets that show text, but for the parts of others."""
    found = [w for w in window.findChildren(QWidget) if isinstance(w, WITH_TEXT) and w.isVisible()]
    return [w for w in found if not any(o is not w and o.isAncestorOf(w) for o in found)]


def clipped(widget) -> str:
    """The text that a widget has no room for; empty where all is well."""
    metrics = widget.fontMetrics()
    if isinstance(widget, QLabel):
        if widget.wordWrap():
            short = widget.height() < widget.heightForWidth(widget.width()) - 1
        else:
            short = widget.width() < metrics.horizontalAdvance(widget.text())
        return widget.text() if short else ""
    if isinstance(widget, QComboBox):
        text = widget.currentText()
        return text if widget.width() < metrics.horizontalAdvance(text) + 30 else ""
    if isinstance(widget, QLineEdit):
        short = widget.width() < metrics.horizontalAdvance(widget.text()) + 8
        return widget.text() if short else ""
    if isinstance(widget, QAbstractButton):
        short = widget.width() < metrics.horizontalAdvance(widget.text())
        return widget.text() if short or widget.height() < metrics.height() else ""
    if isinstance(widget, QTabBar):
        return "tabs" if widget.width() < widget.sizeHint().width() else ""
    if isinstance(widget, QListWidget) and widget.wordWrap():
        # Its rows are as high as their words need; what it has no room for is scrolled.
        rows = [widget.visualItemRect(widget.item(row)) for row in range(widget.count())]
        flags = Qt.TextFlag.TextWordWrap
        low = [
            widget.item(row).text()
            for row, rect in enumerate(rows)
            if rect.height() + 1
            < metrics.boundingRect(
                0, 0, max(rect.width() - 6, 1), 9999, flags, widget.item(row).text()
            ).height()
        ]
        return " ".join(low)
    if isinstance(widget, QListWidget):
        return "list" if widget.sizeHintForColumn(0) > widget.viewport().width() else ""
    if isinstance(widget, ResultTable):
        # Its columns are as wide as their words; more than fits is scrolled.
        return ""
    wide = [
        widget.item(row, column).text()
        for row in range(widget.rowCount())
        for column in range(widget.columnCount())
        if widget.item(row, column)
        and metrics.horizontalAdvance(widget.item(row, column).text()) + 6
        > widget.columnWidth(column)
    ]
    return " ".join(wide)


def in_view(widget, window) -> QRect:
    """What can be seen of a widget, in the window's pixels."""
    rect = QRect(widget.mapTo(window, widget.rect().topLeft()), widget.size())
    parent = widget.parentWidget()
    while parent is not None and parent is not window:
        if isinstance(parent.parentWidget(), QScrollArea):
            view = parent.parentWidget()
            rect &= QRect(view.mapTo(window, view.rect().topLeft()), view.size())
        parent = parent.parentWidget()
    return rect


def check(window):
    widgets = leaves(window)
    for widget in widgets:
        assert not clipped(widget), f"{widget} clips {clipped(widget)!r}"
        rect = QRect(widget.mapTo(window, widget.rect().topLeft()), widget.size())
        assert rect.left() >= 0, widget
        assert rect.right() <= window.width(), f"{widget} is cut off at the right"
        parent = widget.parentWidget()
        while parent is not None and not isinstance(parent, QScrollArea):
            parent = parent.parentWidget()
        if parent is not None:
            view = parent.viewport()
            edge = view.mapTo(window, view.rect().topRight()).x()
            assert rect.right() <= edge, f"{widget} is cut off at the edge of its column"
    seen = [(widget, in_view(widget, window)) for widget in widgets]
    for (one, first), (two, second) in combinations(seen, 2):
        over = first & second
        assert over.width() <= 1 or over.height() <= 1, f"{one} and {two} lie over each other"


@pytest.mark.parametrize("size", [(1024, 700), (1600, 1000), (1920, 1080)])
@pytest.mark.parametrize("inches", [False, True])
@pytest.mark.parametrize("name", ["Start", "Joint", "Bend", "Paper"])
def test_no_text_is_clipped_or_lies_over_another(qtbot, open_window, name, inches, size):
    window = open_window(name)
    window.inches.setChecked(inches)
    window.resize(*size)
    qtbot.wait(50)
    check(window)
    if name in ("Start", "Paper"):
        return
    page = window.page(name)
    for key in list(page.fields)[:3]:
        type_in(qtbot, page.fields[key], "six apples")
    qtbot.wait(50)
    check(window)
    for index in range(2):
        page.findChildren(QTabBar)[0].setCurrentIndex(index)
        check(window)


CHOSEN = [
    ("Tubes", ""), ("Tubes", "main rail"), ("Tubes", "backbone"), ("Points", "rail knee"), ("Points", "seat stay low"),
    ("Stock", "rail"),
]  # fmt: skip


@pytest.mark.parametrize("size", [(1024, 700), (1600, 1000), (1920, 1080)])
@pytest.mark.parametrize("inches", [False, True])
def test_the_page_of_a_frame(qtbot, open_window, inches, size):
    window = open_window("Frame")
    window.actions_of_frame.open_sample("single-cylinder")
    page = window.frame
    window.inches.setChecked(inches)
    window.resize(*size)
    qtbot.waitUntil(lambda: page.result is not None and page.result.fitted.frame == page.frame)
    for kind, name in CHOSEN:
        names = page.column.lists[KINDS.index(kind)].names
        page.choose(kind, name if name in names or not name else names[0])
        qtbot.wait(60)
        check(window)
    for index in range(page.details.tabs.count()):
        page.details.tabs.setCurrentIndex(index)
        check(window)
    for index in range(page.views.tabs.count()):
        page.views.tabs.setCurrentIndex(index)
        page.views.half.setChecked(True)
        qtbot.wait(20)
        check(window)
    page.column.tabs.setCurrentIndex(0)
    page.column.add.click()
    qtbot.wait(20)
    check(window)
    page.forms.new.name.setText("headstock")
    page.forms.new._look()
    qtbot.wait(20)
    check(window)
    page.choose("Points", "")
    for row in range(4):
        page.column.points.item(row).setSelected(True)
    qtbot.wait(20)
    assert page.forms.points.isVisible()
    for index in range(page.forms.points.way.count()):
        page.forms.points.way.setCurrentIndex(index)
        check(window)


@pytest.mark.parametrize("size", [(1024, 700), (1920, 1080)])
def test_the_walk_and_the_sheets(qtbot, open_window, size):
    window = open_window("Frame")
    window.resize(*size)
    window.walk()
    qtbot.waitUntil(window.frame.walk.isVisible)
    for _ in range(len(STEPS)):
        qtbot.wait(30)
        check(window)
        window.frame.walk.do.click()
    qtbot.wait(30)
    check(window)
    window.go_to("Paper")
    qtbot.waitUntil(lambda: window.paper.made is not None, timeout=10_000)
    qtbot.wait(30)
    check(window)


@pytest.mark.parametrize("inches", [False, True])
def test_what_came_back(qtbot, inches):
    frame = sample_frame("single-cylinder")
    dialog = CameBackDialog(frame, frame.tube("main rail"), "left", inches=inches)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.wait(30)
    check(dialog)


def test_a_clipped_text_is_found(qtbot, open_window):
    window = open_window()
    window.joint.save.setFixedWidth(40)
    qtbot.wait(20)
    with pytest.raises(AssertionError, match="clips"):
        check(window)
