"""What is done with a frame's file, and undo and redo: the actions of its menus, and the questions that they ask."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QFileDialog, QMenu, QMessageBox, QWidget

from app.document.recovery import Unsaved, forget, unsaved_frames
from app.window.document import FrameDocument
from app.window.session import Session

Answer = Literal["save", "lose", "stay"]
Rescue = Literal["take", "drop", "later"]
_FILTER = "Frames (*.frame);;All files (*)"


class DocumentActions(QObject):
    """New, open, save, undo and redo; nothing that was made is lost without a question.

    Attributes:
        ask_to_lose: asks what becomes of changes that no file has.
        ask_to_overwrite: asks whether a file that somebody else has changed is to be written over.
        ask_to_restore: asks whether to go on with what an earlier window did not save.
        choose_to_open: asks for a file; None for none.
        choose_to_save: asks for a place; None for none.
    """

    def __init__(self, document: FrameDocument, session: Session, window: QWidget) -> None:
        super().__init__(window)
        self.document, self._session, self._window = document, session, window
        self.ask_to_lose: Callable[[], Answer] = self._ask_to_lose
        self.ask_to_overwrite: Callable[[], bool] = self._ask_to_overwrite
        self.ask_to_restore: Callable[[Unsaved], Rescue] = self._ask_to_restore
        self.choose_to_open: Callable[[], Path | None] = self._choose_to_open
        self.choose_to_save: Callable[[], Path | None] = self._choose_to_save
        key = QKeySequence.StandardKey
        self.new = self._action("&New frame", key.New, self._new)
        self.open = self._action("&Open a frame …", key.Open, self._open)
        self.save = self._action("&Save the frame", key.Save, self.save_now)
        self.save_as = self._action("Save the frame &as …", key.SaveAs, self._save_as)
        self.undo = self._action("&Undo", key.Undo, document.undo)
        self.redo = self._action("&Redo", key.Redo, document.redo)
        self.recent = QMenu("&Recent frames", window)
        self.recent.aboutToShow.connect(self._fill_recent)
        document.changed.connect(self._follow)
        document.file_changed.connect(self._follow)
        self._follow()

    def _action(
        self, words: str, key: QKeySequence.StandardKey, do: Callable[[], object]
    ) -> QAction:
        action = QAction(words, self)
        action.setShortcut(key)
        action.triggered.connect(lambda _=False: do())
        return action

    def _follow(self) -> None:
        """Undo and redo say what they would undo and do again."""
        history = self.document.history
        for action, word, said in (
            (self.undo, "&Undo", history.undo_words),
            (self.redo, "&Redo", history.redo_words),
        ):
            action.setEnabled(bool(said))
            action.setText(f"{word}: {said}" if said else word)

    def may_let_go(self) -> bool:
        """Before the frame makes way for another: what no file has is saved, or given up on purpose."""
        if not self.document.history.changed:
            return True
        answer = self.ask_to_lose()
        if answer == "save":
            return self.save_now()
        return answer == "lose"

    def save_now(self) -> bool:
        """To its file; one of no file asks for one, and one that somebody else has changed is asked about."""
        if self.document.path is None:
            return self._save_as()
        if self.document.changed_on_disk() and not self.ask_to_overwrite():
            return False
        return self.document.save()

    def offer_unsaved(self) -> bool:
        """Ask once about each frame that an earlier window did not save, the newest first; true if one is restored."""
        for unsaved in unsaved_frames():
            answer = self.ask_to_restore(unsaved)
            if answer == "take":
                self.document.restore(unsaved)
                return True
            if answer == "drop":
                forget(unsaved.key)
        return False

    def open_file(self, path: Path) -> bool:
        """Open a file, if what is there may go."""
        return self.may_let_go() and self.document.open(path)

    def _new(self) -> None:
        if self.may_let_go():
            self.document.new()

    def _open(self) -> None:
        path = self.choose_to_open()
        if path is not None:
            self.open_file(path)

    def _save_as(self) -> bool:
        path = self.choose_to_save()
        if path is None:
            return False
        return self.document.save(path if path.suffix else path.with_suffix(".frame"))

    def _fill_recent(self) -> None:
        self.recent.clear()
        for name in self._session.state.recent:
            action = self.recent.addAction(Path(name).name)
            action.setToolTip(name)
            action.triggered.connect(lambda _=False, name=name: self.open_file(Path(name)))
        if self.recent.isEmpty():
            self.recent.addAction("none yet").setEnabled(False)

    def _ask_to_lose(self) -> Answer:
        box = QMessageBox(self._window)
        box.setIcon(QMessageBox.Icon.Warning)
        box.setText(f"{self.document.title.removesuffix(' *')} has changes that are in no file.")
        keep = box.addButton("Save them", QMessageBox.ButtonRole.AcceptRole)
        lose = box.addButton("Lose them", QMessageBox.ButtonRole.DestructiveRole)
        box.addButton("Go on working", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(keep)
        box.exec()
        return (
            "save"
            if box.clickedButton() is keep
            else "lose"
            if box.clickedButton() is lose
            else "stay"
        )

    def _ask_to_overwrite(self) -> bool:
        box = QMessageBox(self._window)
        box.setIcon(QMessageBox.Icon.Warning)
        box.setText(f"{self.document.path} was changed by somebody else since it was opened here.")
        over = box.addButton("Write over it", QMessageBox.ButtonRole.DestructiveRole)
        leave = box.addButton("Leave it as it is", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(leave)
        box.exec()
        return box.clickedButton() is over

    def _ask_to_restore(self, unsaved: Unsaved) -> Rescue:
        where = f" from {Path(unsaved.path).name}" if unsaved.path else ""
        box = QMessageBox(self._window)
        box.setIcon(QMessageBox.Icon.Question)
        box.setText(
            f"The frame {unsaved.frame.name!r}{where} was not saved when the program ended."
        )
        take = box.addButton("Go on with it", QMessageBox.ButtonRole.AcceptRole)
        drop = box.addButton("Throw it away", QMessageBox.ButtonRole.DestructiveRole)
        box.addButton("Ask me next time", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(take)
        box.exec()
        return (
            "take"
            if box.clickedButton() is take
            else "drop"
            if box.clickedButton() is drop
            else "later"
        )

    def _choose_to_open(self) -> Path | None:
        name, _ = QFileDialog.getOpenFileName(self._window, "Open a frame", self._folder(), _FILTER)
        return Path(name) if name else None

    def _choose_to_save(self) -> Path | None:
        start = str(Path(self._folder()) / f"{self.document.frame.name}.frame")
        name, _ = QFileDialog.getSaveFileName(self._window, "Save the frame", start, _FILTER)
        return Path(name) if name else None

    def _folder(self) -> str:
        recent = self._session.state.recent
        return str(Path(recent[0]).parent) if recent else ""
