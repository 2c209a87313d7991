"""The frame that is worked on: its history, its file, and what is kept of it in case the program dies."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.document.frame_file import frame_bytes, open_frame, save_frame
from app.document.history import History, opened
from app.document.recovery import Recovery, Unsaved, fingerprint, forget
from app.window.words import reason, sentence, tr
from geometry.errors import CopewrightError
from geometry.frame import Frame, Units

if TYPE_CHECKING:
    from app.window.session import Session

_KEEP_EVERY_MS = 3000
_MOST_RECENT = 8


class FrameDocument(QObject):
    """One frame, only ever replaced by the next; every edit has a name and can be undone.

    What no file has yet is kept aside within seconds of the edit, and offered after a crash.

    Signals:
        changed: another frame is the current one.
        replaced: another frame altogether was begun or opened; told before ``changed``.
        file_changed: it has another file, or was saved.
        said: words for the window's foot.
        refused: why an edit cannot be done.
    """

    changed = Signal()
    replaced = Signal()
    file_changed = Signal()
    said = Signal(str)
    refused = Signal(str)

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._history = History(Frame(units="in" if session.inches else "mm"))
        self._recovery = Recovery()
        self._on_disk: bytes | None = None
        self._seen: bytes | None = None
        self.path: Path | None = None
        session.inches_changed.connect(self._follow_unit)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_KEEP_EVERY_MS)
        self._timer.timeout.connect(self.keep_now)

    @property
    def frame(self) -> Frame:
        """As it is now."""
        return self._history.frame

    @property
    def history(self) -> History:
        """What can be undone and done again."""
        return self._history

    @property
    def title(self) -> str:
        """The file's name, or the frame's where it has none; with a star where there is something to save."""
        name = self.path.name if self.path else self.frame.name
        return f"{name}{' *' * self._history.changed}"

    def do(
        self,
        words: str,
        change: Callable[[Frame], Frame],
        *,
        merge: bool = False,
        after: History | None = None,
    ) -> bool:
        """Make an edit; what cannot be done is said and changes nothing.

        Args:
            words: its name, such as "Move point knee".
            change: the frame to the next one.
            merge: it goes on with the last edit of the same name.
            after: made anew from here, as each move of a drag is; None for after all that was done.

        Returns:
            Whether it could be done.
        """
        before = after or self._history
        try:
            frame = change(before.frame)
        except CopewrightError as error:
            self.refused.emit(sentence(error))
            return False
        self._become(before.changed_to(frame, words, merge=merge))
        return True

    def go_back(self, before: History) -> None:
        """As if nothing had been done since."""
        self._become(before)

    def undo(self) -> None:
        """Take the last edit back."""
        self._become(self._history.undone())

    def redo(self) -> None:
        """Make the edit again that was taken back last."""
        self._become(self._history.redone())

    def new(self, units: Units | None = None) -> None:
        """Begin with an empty frame of no file, in the unit that the window shows, or another one."""
        self._take(History(Frame(units=units or self._unit)), None, None)

    def begin_with(self, frame: Frame) -> None:
        """Begin with a frame that has no file yet and need not be saved, such as a sample."""
        self._take(opened(frame), None, None)

    def open(self, path: Path) -> bool:
        """The frame in a file, in place of this one; False where it cannot be read, which is said."""
        try:
            frame = open_frame(path)
            data = path.read_bytes()
        except (CopewrightError, OSError) as error:
            if path == self.path:
                # What is here is in no file any more.
                self.keep_own()
            self.said.emit(sentence(error))
            return False
        self._take(opened(frame), path, data)
        self._remember(path)
        return True

    def restore(self, unsaved: Unsaved) -> None:
        """Go on with what an earlier window did not save."""
        path = Path(unsaved.path) if unsaved.path else None
        before, data = None, None
        if path is not None:
            try:
                before, data = open_frame(path), path.read_bytes()
            except (CopewrightError, OSError):
                # Its file is gone or broken: the work is not.
                before = None
        self._take(History(unsaved.frame, saved=before), path, data)
        if unsaved.disk and fingerprint(data) != unsaved.disk:
            # Somebody else has changed the file since: it is not to be written over unasked.
            self._on_disk = self._seen = b""
        if self.keep_now():
            forget(unsaved.key)

    def save(self, path: Path | None = None) -> bool:
        """Write the frame to its file, or to another one that is its file from then on; False where it cannot be."""
        where = path or self.path
        if where is None:
            return False
        try:
            save_frame(where, self.frame)
        except CopewrightError as error:
            self.said.emit(sentence(error))
            return False
        self._history = self._history.kept()
        self.path, self._on_disk = where, frame_bytes(self.frame)
        self._settled()
        self._remember(where)
        self.file_changed.emit()
        # Whatever was wrong before.
        self.said.emit("")
        return True

    def changed_on_disk(self) -> bool:
        """Somebody else has changed the file, or taken it away, since it was read or saved here."""
        return self._on_disk is not None and self._there() != self._on_disk

    @property
    def gone(self) -> bool:
        """Its file is no longer there."""
        if self.path is None:
            return False
        try:
            self.path.stat()
        except (FileNotFoundError, NotADirectoryError):
            return True
        except OSError:
            # A folder that may not be looked into, a drive that does not answer: nobody knows.
            return False
        return False

    def newly_changed_on_disk(self) -> bool:
        """The same, told once for each change."""
        now = self._there()
        new = self._on_disk is not None and now not in (self._on_disk, self._seen)
        self._seen = now
        return new

    def _there(self) -> bytes:
        """What is in the file now; nothing where it is gone."""
        try:
            return self.path.read_bytes() if self.path else b""
        except OSError:
            return b""

    def keep_own(self) -> None:
        """The file is another's now, or broken: what is here counts as unsaved from now on."""
        self._become(self._history.unkept())

    def keep_now(self) -> bool:
        """Keep what is not saved for after a crash; whether it is safe."""
        self._timer.stop()
        if not self._history.changed:
            self._recovery.drop()
            return True
        try:
            self._recovery.keep(self.frame, str(self.path) if self.path else "", self._on_disk)
        except CopewrightError as error:
            logging.getLogger(__name__).warning("unsaved frame not kept: %s", error)
            self.said.emit(tr("{problem}. Save the frame yourself.").format(problem=reason(error)))
            return False
        return True

    def let_go(self) -> None:
        """The person leaves it: what is unsaved is not wanted."""
        self._settled()

    @property
    def _unit(self) -> Units:
        return "in" if self._session.inches else "mm"

    def _follow_unit(self, inches: bool) -> None:
        """The window shows another unit: so does the frame, from now on."""
        unit = self._unit
        if self.frame.units != unit:
            words = tr("Lengths in inches") if inches else tr("Lengths in mm")
            self.do(words, lambda f: replace(f, units=unit))

    def _show_unit(self) -> None:
        """The window shows the frame's unit."""
        self._session.change(inches=self.frame.units == "in")

    def _settled(self) -> None:
        self._timer.stop()
        self._recovery.drop()

    def _take(self, history: History, path: Path | None, data: bytes | None) -> None:
        self._settled()
        self._history, self.path, self._on_disk, self._seen = history, path, data, data
        self._show_unit()
        self.replaced.emit()
        self.changed.emit()
        self.file_changed.emit()

    def _become(self, history: History) -> None:
        if history is self._history:
            return
        before, self._history = self._history, history
        if not self._timer.isActive():
            self._timer.start()
        self._show_unit()
        self.changed.emit()
        if before.changed != history.changed:
            self.file_changed.emit()

    def _remember(self, path: Path) -> None:
        recent = [str(path.resolve()), *self._session.state.recent]
        self._session.change(recent=tuple(dict.fromkeys(recent))[:_MOST_RECENT])
