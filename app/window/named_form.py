"""What the forms of a frame's tubes, points and stock share: a name, what is wrong, and telling a change once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QShowEvent
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from app.window.number_field import NumberField
from app.window.page_frame import words_label
from app.window.tab_order import tab_down
from app.window.words import reason, tr
from geometry.errors import CopewrightError


class NamedForm(QWidget):
    """A form of something that has a name; what is changed is told as a new one.

    Args:
        called: what a screen reader calls the line for the name, such as "name of the tube".

    Signals:
        edited: the change in words, and the thing as it is now.
        renamed: its name before and after.
        refused: what is typed cannot be; what an earlier part of it has made is to be taken back.
    """

    edited = Signal(str, object)
    renamed = Signal(str, str)
    refused = Signal()

    def __init__(self, called: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.named = ""
        self.shown: object = None
        self._filling = False
        self.refusing = False
        self.name = QLineEdit(self)
        self.name.setAccessibleName(called)
        self.name.editingFinished.connect(self._name_typed)
        self.problem, self.name_problem = words_label(self), words_label(self)
        self.problem.hide()
        self.name_problem.hide()
        self._naming = False
        self.name_rows = QWidget(self)
        self.name_rows.setFocusProxy(self.name)
        rows = QVBoxLayout(self.name_rows)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.name)
        rows.addWidget(self.name_problem)

    def showEvent(self, event: QShowEvent) -> None:
        """Only now is it known what stands where."""
        super().showEvent(event)
        tab_down(self)

    @contextmanager
    def quiet(self) -> Iterator[None]:
        """While fields are put right nothing is told."""
        before, self._filling = self._filling, True
        try:
            yield
        finally:
            self._filling = before

    @contextmanager
    def filling(self, name: str, shown: object) -> Iterator[None]:
        """While the fields are filled nothing is told.

        Args:
            name: of what is shown.
            shown: as it is.
        """
        with self.quiet():
            same = self.named == name
            self.named, self.shown = name, shown
            if not (same and self.name.hasFocus()):
                # Under the cursor what is typed stays.
                self.name.setText(name)
            self.problem.hide()
            self.name_problem.hide()
            if not same:
                # What was typed wrong was for another one.
                for field in self.findChildren(NumberField):
                    if not field.good:
                        field.put_back()
            yield
        # Some forms have more lines now, or fewer.
        tab_down(self)

    def tell(self, words: str, make: Callable[[], object]) -> None:
        """Tell what the fields make now; what they cannot make is said below them.

        Args:
            words: the change.
            make: makes the thing anew, or raises.
        """
        if self._filling:
            return
        try:
            made = make()
        except CopewrightError as error:
            # Of 15, where 10 is the most, the 1 was taken already.
            self.refusing = True
            self.refused.emit()
            self.refusing = False
            self.put_back()
            typed = [one for one in self.findChildren(NumberField) if one.edit.hasFocus()]
            for field in typed:
                # Said where it is typed: the foot of the form may be out of sight.
                field.take_back(error.words)
            if not typed:
                self.say(tr("{why}; what was there before still counts").format(why=reason(error)))
            return
        self.problem.hide()
        if made != self.shown:
            self.shown = made
            self.edited.emit(words, made)

    def put_back(self) -> None:
        """Fields that another one's words have filled show again what counts."""

    def say(self, words: str) -> None:
        """Say what is wrong: of the name beside it, else below the fields."""
        told = self.name_problem if self._naming else self.problem
        told.setText(words)
        told.show()

    def _name_typed(self) -> None:
        new = self.name.text().strip()
        if self._filling or new == self.named:
            return
        self.name_problem.hide()
        self._naming = True
        try:
            if new:
                self.renamed.emit(self.named, new)
            else:
                self.name.setText(self.named)
                self.say(tr("it needs a name; it stays {name}").format(name=self.named))
        finally:
            self._naming = False


class _LeaveUndo(QObject):
    """Keeps a line of text from taking undo and redo for itself."""

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Undo and redo go on to the window's menu."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            keys = QKeySequence.StandardKey
            if event.matches(keys.Undo) or event.matches(keys.Redo):
                event.ignore()
                return True
        return super().eventFilter(watched, event)


def leave_undo(form: QWidget) -> None:
    """In a form's lines undo means the last edit of the frame: what is typed in them is one."""
    for edit in form.findChildren(QLineEdit):
        edit.installEventFilter(_LeaveUndo(edit))


def put(field: NumberField, value: float) -> None:
    """A value into a field, unless it is there."""
    if field.value != value:
        field.set_value(value)
