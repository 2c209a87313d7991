"""The main window's menus, each command with its key."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

_Key = QKeySequence.StandardKey | str
_OWN_PAPERS = ("Joint", "Bend")


class Menus:
    """File, Edit, View and Help.

    Attributes:
        papers: saves what the page on top has on paper.
        print: prints it.
        inches: lengths in inches.
        in_frame: commands that concern the frame's page alone.
    """

    def __init__(self, window: MainWindow, pages: list[str]) -> None:
        self._window = window
        actions = window.actions_of_frame
        bar = window.menuBar()
        file = bar.addMenu("&File")
        for one in (actions.new, actions.open, actions.samples, actions.recent, None, actions.save, actions.save_as):  # fmt: skip
            if one is None:
                file.addSeparator()
            elif isinstance(one, QMenu):
                file.addMenu(one)
            else:
                file.addAction(one)
        file.addSeparator()
        self._add(file, "&Import points and tubes …", None, window.import_tables)
        self._add(file, "Save the &tables …", None, window.export_tables)
        file.addSeparator()
        self.papers = self._add(file, "Save the &papers …", None, lambda: window.press("save"))
        self.print = self._add(
            file, "&Print …", QKeySequence.StandardKey.Print, lambda: window.press("print")
        )
        file.addSeparator()
        self._add(file, "&Quit", QKeySequence.StandardKey.Quit, window.close)
        edit = bar.addMenu("&Edit")
        edit.addAction(actions.undo)
        edit.addAction(actions.redo)
        edit.addSeparator()
        self.copy_table = self._add(
            edit, "&Copy the list as a table", "Ctrl+Shift+C", lambda: window.frame.copy_rows()
        )
        self.paste_table = self._add(
            edit, "&Paste a table", "Ctrl+Shift+V", lambda: window.frame.paste_rows()
        )
        view = bar.addMenu("&View")
        self.inches = QAction("Lengths in &inches", window, checkable=True)
        self.inches.setChecked(window.session.inches)
        self.inches.toggled.connect(lambda on: window.session.change(inches=on))
        window.session.inches_changed.connect(self.inches.setChecked)
        view.addAction(self.inches)
        view.addSeparator()
        for number, name in enumerate(pages, 1):
            self._add(view, f"&{number} {name}", f"Ctrl+{number}", partial(window.go_to, name))
        told = bar.addMenu("&Help")
        self._add(
            told, "&What this page is for", QKeySequence.StandardKey.HelpContents, window.explain
        )
        self._add(told, "A &first frame, step by step", None, window.walk)
        told.addSeparator()
        self._add(told, "The &log …", None, window.show_log)
        self._add(told, "&About Copewright", None, window.about)

    def _add(self, menu: QMenu, words: str, key: _Key | None, do: Callable[[], object]) -> QAction:
        action = QAction(words, self._window)
        if key is not None:
            action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda _=False: do())
        menu.addAction(action)
        return action

    def follow(self, name: str) -> None:
        """Save means what the page on top makes: its papers, or the frame.

        Args:
            name: of the page.
        """
        papers = name in _OWN_PAPERS
        save = QKeySequence(QKeySequence.StandardKey.Save)
        none = QKeySequence()
        frame = self._window.actions_of_frame.save
        first, second = (frame, self.papers) if papers else (self.papers, frame)
        first.setShortcut(none)
        second.setShortcut(save)
        for action in (self.copy_table, self.paste_table):
            action.setEnabled(name == "Frame")
        for action, button in ((self.papers, "save"), (self.print, "print")):
            action.setEnabled(hasattr(self._window.current(), button))
