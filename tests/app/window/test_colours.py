"""Light or dark: chosen in the menu, and as it was left the next time."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from app.document.settings import load_window
from app.window.colours import can_be_chosen, colour


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


def test_it_is_chosen_and_kept(open_window):
    if not can_be_chosen():
        pytest.skip("Qt before 6.8 follows the system alone")
    window = open_window()
    dark = chosen(window, "&Dark")
    assert dark.isChecked()
    window.session.keep_now()
    assert load_window().colours == "dark"
    assert QGuiApplication.styleHints().colorScheme() in (
        Qt.ColorScheme.Dark,
        Qt.ColorScheme.Unknown,
    )
    chosen(window, "As the &system")
    window.session.keep_now()
    assert load_window().colours == "system"
    assert not dark.isChecked()
