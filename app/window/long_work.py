"""Work that takes long: it says how far it is, and can be stopped."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QVBoxLayout, QWidget

from app.window.background import Background
from app.window.page_frame import words_label
from app.window.words import tr
from geometry.errors import CopewrightError
from templates_out.progress import Progress


class Stopped(CopewrightError):
    """The person has stopped the work."""


class LongWork(QWidget):
    """A bar with a button, and above it what is being done; in view while something runs.

    Signals:
        finished: what the work gave.
        failed: its error; ``Stopped`` where it was stopped.
        running: whether something runs, when that changes.
    """

    finished = Signal(object)
    failed = Signal(object)
    running = Signal(bool)
    _progressed = Signal(int, int, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bar = QProgressBar(self)
        self.bar.setAccessibleName(tr("progress"))
        self.stop = QPushButton(tr("Stop"), self)
        self.now = words_label(self)
        rows, row = QVBoxLayout(self), QHBoxLayout()
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.now)
        rows.addLayout(row)
        row.addWidget(self.bar, 1)
        row.addWidget(self.stop)
        self._stopped = threading.Event()
        self.background = Background(self)
        for told, tell in (
            (self.background.finished, self.finished),
            (self.background.failed, self.failed),
        ):
            told.connect(self.hide)
            told.connect(lambda _: self.now.setText(""))
            told.connect(lambda _: self.running.emit(False))
            told.connect(tell)
        self._progressed.connect(self._show)
        self.stop.clicked.connect(lambda: self._stopped.set())
        self.hide()

    @property
    def busy(self) -> bool:
        """Something runs."""
        return self.background.busy

    def ask(self, work: Callable[[Progress], object], stopped: str = "") -> None:
        """Do it; while something runs nothing else is begun.

        Args:
            work: is given what to tell its progress to, and what raises ``Stopped`` when it is to stop.
            stopped: what is said then; else that nothing was written.
        """
        if self.busy:
            return
        # Each has its own: one that was stopped stays so, whatever is begun after it.
        stop = self._stopped = threading.Event()
        said = stopped or tr("stopped; nothing was written")
        self.bar.setRange(0, 0)
        self.show()
        self.background.ask(lambda: work(partial(self._tell, stop, said)))
        self.running.emit(True)

    def _tell(self, stop: threading.Event, said: str, done: int, whole: int, what: str) -> None:
        """Called off the window's thread."""
        if stop.is_set():
            raise Stopped(said)
        self._progressed.emit(done, whole, what)

    def _show(self, done: int, whole: int, what: str) -> None:
        # Of a whole that is not known yet no share is shown: the bar only moves.
        self.bar.setRange(0, whole)
        self.bar.setValue(done)
        if not whole:
            self.now.setText(what)
        elif not what:
            self.now.setText(tr("{done} of {whole} done").format(done=done, whole=whole))
        else:
            words = tr("{done} of {whole} done, now {what}")
            self.now.setText(words.format(done=done, whole=whole, what=what))

    def wait(self) -> None:
        """Until it has ended, for closing; what is begun is written whole."""
        self.background.wait()
