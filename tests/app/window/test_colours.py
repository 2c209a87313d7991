"""Light or dark: chosen in the menu, and as it was left the next time."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from app.document.settings import load_window
from app.window.colours import can_be_chosen, colour

pytestmark = pytest.mark.skipif(
    not hasattr(QGuiApplication, "styleHints"), reason="this Qt follows the system alone"
)


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
    told = []
    QGuiApplication.styleHints().colorSchemeChanged.connect(told.append)
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


def test_print_goes_to_the_papers_from_the_frame(open_window):
    window = open_window("Frame")
    assert window.menus.print.isEnabled()
    assert window.menus.papers.isEnabled()
    window.menus.print.trigger()
    assert window.shown_page == "Paper"
    window.go_to("Start")
    assert not window.menus.print.isEnabled()
