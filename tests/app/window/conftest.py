"""A window with settings of its own, driven as a person drives it."""

from __future__ import annotations

import gc

import pytest
from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QTableWidgetItem

from app.window.main_window import MainWindow
from app.window.words import set_country


@pytest.fixture(autouse=True)
def garbage():
    """As in the program: widgets are ended on the window's thread alone (see app.window.garbage)."""
    gc.disable()
    gc.freeze()
    yield
    gc.collect()
    gc.unfreeze()
    gc.enable()


@pytest.fixture(autouse=True)
def settings(tmp_path, monkeypatch):
    """Nobody's own settings are read or written."""
    monkeypatch.setenv("COPEWRIGHT_SETTINGS", str(tmp_path / "settings"))
    return tmp_path / "settings"


@pytest.fixture
def open_window(qtbot):
    """Opens windows, and closes what is still open."""
    windows = []

    def open_one(page: str = "Joint", path=None) -> MainWindow:
        window = MainWindow(path)
        # What a test leaves unsaved is asked for by nobody.
        qtbot.addWidget(window, before_close_func=give_up)
        windows.append(window)
        window.show()
        window.go_to(page)
        if hasattr(window.page(page), "result"):
            qtbot.waitUntil(lambda: window.page(page).result is not None)
        return window

    yield open_one
    for window in windows:
        give_up(window)
        window.close()


@pytest.fixture
def view(qtbot):
    """The free view of the motorcycle; files about other views have their own."""
    # The frame is cut when this is loaded, and most files do not need it.
    from tests.app.window.space_seen import opened

    return opened(qtbot)


@pytest.fixture
def stand_window(qtbot, open_window):
    """A window with the paddock stand on its page Frame."""
    window = open_window("Frame")
    window.actions_of_frame.open_sample("paddock-stand")
    solved(qtbot, window.frame)
    return window


@pytest.fixture
def country():
    """Puts the program into a country; afterwards it is where it was."""
    before = QLocale()
    yield lambda name: set_country(QLocale(name))
    set_country(before)


def solved(qtbot, page):
    """Until what the page of a frame shows is what is typed."""
    qtbot.waitUntil(lambda: page.result is not None and page.result.fitted.frame == page.frame)


def drawn(qtbot, page):
    """Until the details of what is chosen are drawn."""
    qtbot.waitUntil(lambda: not page.details.drawing.busy)


def give_up(window):
    window.actions_of_frame.ask_to_lose = lambda: "lose"


def type_in(qtbot, field, text):
    field.edit.selectAll()
    qtbot.keyClicks(field.edit, text)


def put(table, row, column, text):
    item = table.item(row, column)
    if item is None:
        table.setItem(row, column, QTableWidgetItem(text))
    else:
        item.setText(text)


def saved(qtbot, page, folder):
    """Save, and wait until it is said."""
    page.save_to(folder)
    qtbot.waitUntil(lambda: page.state.text() not in ("", "Saving …"))
    return page.state.text()
