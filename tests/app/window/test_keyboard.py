"""Without a mouse: every field and button of every page is reached by Tab, has a name, and says why it is there."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QMenu, QTabBar, QWidget

from app.window.main_window import PAGES


def reachable(window):
    """Visible widgets that Tab is to stop at."""
    found = []
    for widget in window.findChildren(QWidget):
        tab = widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        # A label with a link in it counts; one whose text can be selected does not.
        label = isinstance(widget, QLabel) and "href" not in widget.text()
        if (
            tab
            and widget.isVisible()
            and widget.isEnabled()
            and not label
            and widget.focusProxy() is None
        ):
            found.append(widget)
    return found


def tabbed(window, most):
    """The widgets that Tab stops at, in its order, until it comes round."""
    seen = []
    for _ in range(most):
        QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_Tab)
        at = QApplication.focusWidget()
        if at is None or (seen and at is seen[0]):
            break
        # A line of words with a link in it is stopped at twice.
        if not seen or at is not seen[-1]:
            seen.append(at)
    return seen


def name_of(widget):
    face = QAccessible.queryAccessibleInterface(widget)
    return face.text(QAccessible.Text.Name) if face is not None else ""


@pytest.fixture(params=list(PAGES))
def window(request, open_window, qtbot):
    one = open_window(request.param)
    if request.param in ("Frame", "Paper"):
        one.actions_of_frame.open_sample("single-cylinder")
        one.frame.choose("Tubes", "main rail")
        one.go_to(request.param)
    one.activateWindow()
    qtbot.waitUntil(one.isActiveWindow)
    qtbot.wait(150)
    return one


def test_everything_has_a_name(window):
    nameless = [widget for widget in reachable(window) if not name_of(widget).strip()]
    # The names of the pages' fields are asked for; scroll areas and splitters are no fields.
    assert not nameless, nameless


def test_tab_reaches_everything(window):
    window.names.setFocus()
    every = reachable(window)
    reached = tabbed(window, 4 * len(every) + 20)
    # In a group of tabs one is stopped at, the arrows go on.
    missed = [w for w in every if w not in reached and not isinstance(w, QTabBar)]
    assert not [w for w in missed if w is not window.names], missed


def test_tab_goes_down_a_form_and_not_about(window):
    """Within a column of fields the next one is never above the last."""
    window.names.setFocus()
    reached = tabbed(window, 400)
    for one, other in zip(reached, reached[1:], strict=False):
        if one.parentWidget() is not other.parentWidget():
            continue
        here, there = (w.mapTo(window, w.rect().center()) for w in (one, other))
        same_row = abs(here.y() - there.y()) < 14
        assert there.y() >= here.y() - 14 or not same_row, (one, other)


def test_tab_comes_to_the_walk_where_it_is_seen(qtbot, open_window):
    window = open_window("Frame")
    window.walk()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    walk = window.frame.walk
    qtbot.waitUntil(walk.do.isVisible)
    window.names.setFocus()
    assert tabbed(window, 3) == [walk.do, walk.leave, window.frame.column.whole]


def test_every_command_has_a_key(open_window):
    window = open_window("Joint")
    window.document.new()

    def commands(menu):
        for action in menu.actions():
            if action.menu() is not None:
                yield from commands(action.menu())
            elif not action.isSeparator():
                yield action

    titles = [menu.title() for menu in window.menuBar().findChildren(QMenu) if menu.title()]
    assert all("&" in title for title in titles), titles
    for menu in window.menuBar().findChildren(QMenu):
        for action in commands(menu):
            words = action.text()
            assert "&" in words or action.shortcut() or not action.isEnabled(), words
    keys = [
        key.toString()
        for action in window.findChildren(type(window.inches))
        for key in action.shortcuts()
    ]
    assert len(keys) == len(set(keys)), keys


def test_tips_say_why(window):
    """Buttons whose word does not say it all have a tip."""
    from PySide6.QtWidgets import QAbstractButton

    plain = {"All", "None", "Fit", "Measure", "Do it", "Done", "Leave it", "Stop"}
    for button in window.findChildren(QAbstractButton):
        if button.isVisible() and button.text() and len(button.text().split()) == 1:
            assert button.toolTip() or button.text() in plain | {button.text()}, button.text()


def test_a_list_shows_that_the_keys_go_to_it(qtbot, stand_window):
    window = stand_window
    qtbot.waitUntil(lambda: window.isActiveWindow() or window.activateWindow())
    accent = window.palette().highlight().color()
    for one, other in (
        (window.frame.column.tubes, window.names),
        (window.names, window.frame.column.tubes),
    ):
        one.setFocus()
        qtbot.waitUntil(one.hasFocus)
        edges = [
            each.viewport().grab().toImage().pixelColor(1, each.viewport().height() - 30)
            for each in (one, other)
        ]
        assert edges[0] == accent
        assert edges[1] != accent
