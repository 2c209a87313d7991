"""What is done with a frame's file, and undo and redo: the actions of its menus, and the questions that they ask."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeVar

from PySide6.QtCore import QEventLoop, QObject, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QApplication,
    QFileDialog,
    QLineEdit,
    QMenu,
    QMessageBox,
    QWidget,
)

from app.window.folders import own_documents, own_suffix
from app.window.session import Session
from app.window.words import tr
from templates_out.file_names import FileNames

if TYPE_CHECKING:
    from app.document.recovery import Unsaved
    from app.window.document import FrameDocument
    from geometry.frame import Units

Answer = Literal["save", "lose", "stay"]
Rescue = Literal["take", "drop", "later"]
_Chosen = TypeVar("_Chosen")
_FRAMES, _ALL_FILES = tr("Frames"), tr("All files")
_FILTER = f"{_FRAMES} (*.frame);;{_ALL_FILES} (*)"


class DocumentActions(QObject):
    """New, open, save, undo and redo; nothing that was made is lost without a question.

    Attributes:
        ask_to_lose: asks what becomes of changes that no file has.
        ask_to_overwrite: asks whether a file that somebody else has changed is to be written over.
        ask_to_reread: asks whether to take what somebody else has made of the file.
        ask_to_restore: asks whether to go on with what an earlier window did not save.
        choose_to_open: asks for a file; None for none.
        choose_to_save: asks for a place; None for none.

    Signals:
        taken: another frame was begun or opened by the person.
        said: words for the window's foot.
    """

    taken = Signal()
    said = Signal(str)

    def __init__(self, session: Session, window: QWidget) -> None:
        super().__init__(window)
        self._session, self._window = session, window
        self.ask_to_lose: Callable[[], Answer] = self._ask_to_lose
        self.ask_to_overwrite: Callable[[], bool] = self._ask_to_overwrite
        self.ask_to_reread: Callable[[], bool] = self._ask_to_reread
        self.ask_to_restore: Callable[[Unsaved], Rescue] = self._ask_to_restore
        self.choose_to_open: Callable[[], Path | None] = self._choose_to_open
        self.choose_to_save: Callable[[], Path | None] = self._choose_to_save
        self._in_sight = True
        key = QKeySequence.StandardKey
        self.new = self._action(tr("&New frame"), key.New, self.begin)
        self.open = self._action(tr("&Open a frame …"), key.Open, self.open_asked)
        self.save = self._action(tr("&Save the frame"), key.Save, self.save_now)
        self.save_as = self._action(tr("Save the frame &as …"), key.SaveAs, self._save_as)
        self.undo = self._action(tr("&Undo"), key.Undo, lambda: self.document.undo())
        self.redo = self._action(tr("&Redo"), key.Redo, lambda: self.document.redo())
        self.samples = QMenu(tr("Open a sa&mple"), window)
        self.samples.aboutToShow.connect(self._fill_samples)
        self.recent = QMenu(tr("&Recent frames"), window)
        self.recent.aboutToShow.connect(self._fill_recent)
        # On some desktops redo has one of its two usual keys only.
        keys = {*self.redo.shortcuts(), QKeySequence("Ctrl+Y"), QKeySequence("Ctrl+Shift+Z")}
        self.redo.setShortcuts(sorted(keys, key=QKeySequence.toString))
        self.undo.setEnabled(False)
        self.redo.setEnabled(False)
        session.document_made.connect(self._attach)

    @property
    def document(self) -> FrameDocument:
        """The frame that is worked on."""
        return self._session.document

    def _attach(self) -> None:
        self.document.changed.connect(self._follow)
        self.document.file_changed.connect(self._follow)
        self._follow()

    def _action(
        self, words: str, key: QKeySequence.StandardKey, do: Callable[[], object]
    ) -> QAction:
        action = QAction(words, self)
        action.setShortcuts(key)
        action.triggered.connect(lambda _=False: do())
        return action

    def _follow(self) -> None:
        """Undo and redo say what they would undo and do again."""
        history = self.document.history
        for action, words, alone, edit in (
            (self.undo, tr("&Undo: {edit}"), tr("&Undo"), history.undo_words),
            (self.redo, tr("&Redo: {edit}"), tr("&Redo"), history.redo_words),
        ):
            action.setEnabled(bool(edit) and self._in_sight)
            action.setText(words.format(edit=edit) if edit else alone)

    def show_effects(self, *, in_sight: bool) -> None:
        """The page on top shows what undo and redo do to the frame; else they do nothing."""
        self._in_sight = in_sight
        if self._session.has_document:
            self._follow()

    def may_let_go(self) -> bool:
        """Before the frame makes way for another: what no file has is saved, or given up on purpose."""
        end_typing()
        if not self.document.history.changed:
            return True
        answer = self.ask_to_lose()
        if answer == "save":
            return self.save_now()
        return answer == "lose"

    def save_now(self) -> bool:
        """To its file; one of no file asks for one, and one that somebody else has changed is asked about."""
        end_typing()
        if self.document.path is None:
            return self._save_as()
        changed = self.document.changed_on_disk() and not self.document.gone
        if changed and not self.ask_to_overwrite():
            return False
        return self._save_to(self.document.path)

    def offer_unsaved(self) -> bool:
        """Ask once about each frame that an earlier window did not save, the newest first; true if one is restored."""
        from app.document.recovery import forget, unsaved_frames

        for unsaved in unsaved_frames():
            answer = self.ask_to_restore(unsaved)
            if answer == "take":
                # The question goes from the screen before the frame's page is loaded.
                flags = QEventLoop.ProcessEventsFlag
                QApplication.processEvents(flags.ExcludeUserInputEvents)
                self.document.restore(unsaved)
                return True
            if answer == "drop":
                forget(unsaved.key)
        return False

    def open_file(self, path: Path) -> bool:
        """Open a file, if what is there may go."""
        done = self.may_let_go() and self.document.open(path)
        return self._told(done)

    def open_sample(self, key: str) -> bool:
        """Open a sample, if what is there may go; it has no file until it is saved."""
        from app.document.samples import sample_frame

        done = self.may_let_go()
        if done:
            self.document.begin_with(sample_frame(key))
        return self._told(done)

    def begin(self, units: Units | None = None) -> bool:
        """Begin an empty frame, if what is there may go; in the unit that the window shows, or another one."""
        done = self.may_let_go()
        if done:
            self.document.new(units)
        return self._told(done)

    def look_at_disk(self) -> None:
        """Where somebody else has changed the file, ask once for each change whose it is to be."""
        if not (self._session.has_document and self.document.newly_changed_on_disk()):
            return
        path = self.document.path
        assert path is not None  # noqa: S101 - it is a file that was changed
        if self.document.gone:
            self.document.keep_own()
            words = tr("{file} is no longer there; save the frame to have it in a file again.")
            self.said.emit(words.format(file=path))
        elif self.ask_to_reread():
            self.document.open(path)
        else:
            self.document.keep_own()

    def _told(self, done: bool) -> bool:
        if done:
            self.taken.emit()
        return done

    def open_asked(self) -> bool:
        """Open the file that the person chooses."""
        path = self.choose_to_open()
        return path is not None and self.open_file(path)

    def _save_as(self) -> bool:
        end_typing()
        chosen = self.choose_to_save()
        path = own_suffix(self._window, chosen, ".frame") if chosen is not None else None
        return path is not None and self._save_to(path)

    def _save_to(self, path: Path) -> bool:
        done = self.document.save(path)
        if done:
            self.said.emit(tr("Saved {file}.").format(file=path))
        return done

    def _fill_recent(self) -> None:
        self.recent.clear()
        for name in self._session.state.recent:
            action = self.recent.addAction(Path(name).name)
            action.setToolTip(name)
            action.triggered.connect(lambda _=False, name=name: self.open_file(Path(name)))
        if self.recent.isEmpty():
            self.recent.addAction(tr("none yet")).setEnabled(False)

    def _fill_samples(self) -> None:
        from app.document.samples import samples

        if self.samples.isEmpty():
            for one in samples():
                action = self.samples.addAction(one.title)
                action.setToolTip(one.words)
                action.triggered.connect(lambda _=False, key=one.key: self.open_sample(key))

    def _ask(self, words: str, answers: Mapping[_Chosen, str], safe: _Chosen) -> _Chosen:
        """Ask in a box; the answer that is chosen.

        Args:
            words: the question.
            answers: each with the words on its button.
            safe: the one that Enter chooses; the last of all is what closing the box means.
        """
        box = QMessageBox(QMessageBox.Icon.Warning, "Copewright", words, parent=self._window)
        *_, last = answers
        role = QMessageBox.ButtonRole
        buttons = {
            answer: box.addButton(said, role.RejectRole if answer == last else role.AcceptRole)
            for answer, said in answers.items()
        }
        box.setDefaultButton(buttons[safe])
        box.exec()
        clicked = box.clickedButton()
        return next((answer for answer, button in buttons.items() if button is clicked), last)

    def _ask_to_lose(self) -> Answer:
        title = self.document.title.removesuffix(" *")
        answers: dict[Answer, str] = {
            "save": tr("Save them"),
            "lose": tr("Lose them"),
            "stay": tr("Go on working"),
        }
        words = tr("{frame} has changes that are not saved yet.").format(frame=title)
        return self._ask(words, answers, "save")

    def _ask_to_overwrite(self) -> bool:
        answers = {True: tr("Write over it"), False: tr("Leave it as it is")}
        return self._ask(self._changed_words(), answers, safe=False)

    def _changed_words(self) -> str:
        words = tr("{file} was changed by somebody else since it was opened here.")
        return words.format(file=self.document.path)

    def _ask_to_reread(self) -> bool:
        words, lost = self._changed_words(), self.document.history.changed
        if lost:
            words = " ".join((words, tr("What you changed since then is lost with that.")))
        answers = {True: tr("Read it again"), False: tr("Keep what is here")}
        return self._ask(words, answers, safe=not lost)

    def _ask_to_restore(self, unsaved: Unsaved) -> Rescue:
        words = (
            tr("The frame '{name}' from {file} was not saved when the program ended.")
            if unsaved.path
            else tr("The frame '{name}' was not saved when the program ended.")
        ).format(name=unsaved.frame.name, file=Path(unsaved.path).name)
        answers: dict[Rescue, str] = {
            "take": tr("Go on with it"),
            "drop": tr("Throw it away"),
            "later": tr("Ask me next time"),
        }
        return self._ask(words, answers, "take")

    def _choose_to_open(self) -> Path | None:
        title = tr("Open a frame")
        name, _ = QFileDialog.getOpenFileName(self._window, title, self._folder(), _FILTER)
        return Path(name) if name else None

    def _choose_to_save(self) -> Path | None:
        # A frame may be called what no file can.
        start = str(Path(self._folder()) / f"{FileNames().of(self.document.frame.name)}.frame")
        name, _ = QFileDialog.getSaveFileName(self._window, tr("Save the frame"), start, _FILTER)
        return Path(name) if name else None

    def _folder(self) -> str:
        recent = self._session.state.recent
        return str(Path(recent[0]).parent) if recent else own_documents()


def end_typing() -> None:
    """What is typed in a line counts, although the cursor is still in it."""
    line = QApplication.focusWidget()
    if isinstance(line, QLineEdit):
        line.editingFinished.emit()
