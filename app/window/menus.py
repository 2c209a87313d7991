"""The main window's menus, each command with its key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu

from app.window.colours import COLOURS, colour
from app.window.words import tr

if TYPE_CHECKING:
    from app.document.settings import Colours
    from app.window.main_window import MainWindow
    from app.window.session import Session

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

    def __init__(self, window: MainWindow, pages: Mapping[str, str]) -> None:
        self._window = window
        actions = window.actions_of_frame
        bar = window.menuBar()
        file = bar.addMenu(tr("&File"))
        for one in (actions.new, actions.open, actions.samples, actions.recent, None, actions.save, actions.save_as):  # fmt: skip
            if one is None:
                file.addSeparator()
            elif isinstance(one, QMenu):
                file.addMenu(one)
            else:
                file.addAction(one)
        file.addSeparator()
        self._add(file, tr("&Import points and tubes …"), None, window.import_tables)
        self._add(file, tr("Save the &tables …"), None, window.export_tables)
        file.addSeparator()
        self.papers = self._add(file, tr("Sa&ve the papers …"), None, lambda: window.press("save"))
        self.print = self._add(
            file, tr("&Print …"), QKeySequence.StandardKey.Print, lambda: window.press("print")
        )
        file.addSeparator()
        self._add(file, tr("&Quit"), QKeySequence.StandardKey.Quit, window.close)
        edit = bar.addMenu(tr("&Edit"))
        edit.addAction(actions.undo)
        edit.addAction(actions.redo)
        edit.addSeparator()
        self.copy_table = self._add(
            edit,
            tr("&Copy the list as a table"),
            "Ctrl+Shift+C",
            lambda: window.frame.copy_rows(every=True),
        )
        self.paste_table = self._add(
            edit, tr("&Paste a table"), "Ctrl+Shift+V", lambda: window.frame.paste_rows()
        )
        view = bar.addMenu(tr("&View"))
        self.inches = QAction(tr("Lengths in &inches"), window, checkable=True)
        self.inches.setChecked(window.session.inches)
        self.inches.toggled.connect(lambda on: window.session.change(inches=on))
        window.session.inches_changed.connect(self.inches.setChecked)
        view.addAction(self.inches)
        self._add_colours(view.addMenu(tr("&Colours")))
        view.addSeparator()
        for number, (name, shown) in enumerate(pages.items(), 1):
            self._add(view, f"&{number} {shown}", f"Ctrl+{number}", partial(window.go_by_key, name))
        told = bar.addMenu(tr("&Help"))
        self._add(
            told,
            tr("&What this page is for"),
            QKeySequence.StandardKey.HelpContents,
            window.explain,
        )
        self._add(told, tr("A &first frame, step by step"), None, window.walk)
        self._add(told, tr("Words of the &trade"), None, window.show_words)
        told.addSeparator()
        self._add(told, tr("The &log …"), None, window.show_log)
        self._add(told, tr("&About Copewright"), None, window.about)

    def _add_colours(self, menu: QMenu) -> None:
        """Light or dark, whatever the system is."""
        session, group = self._window.session, QActionGroup(self._window)
        for colours, words in COLOURS.items():
            action = self._add(menu, words, None, partial(_colour, session, colours))
            action.setCheckable(True)
            action.setChecked(session.state.colours == colours)
            group.addAction(action)

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
            # A frame's papers are on the page Paper: from the frame it goes there.
            action.setEnabled(name == "Frame" or hasattr(self._window.current(), button))


def _colour(session: Session, chosen: Colours) -> None:
    session.change(colours=chosen)
    colour(chosen)
