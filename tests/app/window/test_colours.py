"""Light or dark: chosen in the menu, seen at once, and as it was left the next time."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication

from app.document.settings import load_window
from app.window.colours import colour


@pytest.fixture(autouse=True)
def as_before():
    yield
    colour("system")


def chosen(window, words):
    (action,) = (
        one for one in window.findChildren(type(window.menus.inches)) if one.text() == words
    )
    action.trigger()
    return action


def shade(window):
    """How light the window's paper is, 0 to 255, as it is painted."""
    field = window.page("Joint").fields["angle"].edit
    return field.grab().toImage().pixelColor(field.width() - 8, field.height() // 2).lightness()


def test_it_is_chosen_seen_and_kept(qtbot, open_window):
    window = open_window("Joint")
    before = QApplication.palette()
    assert shade(window) > 200
    dark = chosen(window, "&Dark")
    assert dark.isChecked()
    qtbot.waitUntil(lambda: shade(window) < 60)
    assert QApplication.palette().text().color().lightness() > 200
    window.session.keep_now()
    assert load_window().colours == "dark"
    chosen(window, "&Light")
    qtbot.waitUntil(lambda: shade(window) > 200)
    assert QApplication.palette().text().color().lightness() < 60
    chosen(window, "As the &system")
    assert QApplication.palette().window() == before.window()
    window.session.keep_now()
    assert load_window().colours == "system"
    assert not dark.isChecked()


def test_the_next_window_is_as_the_last_was(qtbot, open_window):
    window = open_window("Joint")
    chosen(window, "&Dark")
    window.session.keep_now()
    colour("system")
    again = open_window("Joint")
    qtbot.waitUntil(lambda: shade(again) < 60)
