"""Work off the window's thread: the newest counts, older results are dropped, errors come back."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QRunnable, QThreadPool, QTimer, Signal

_BREATH_MS = 30


class _Answer(QObject):
    done = Signal(int, object, object)


class _Task(QRunnable):
    def __init__(self, number: int, work: Callable[[], Any], answer: _Answer) -> None:
        super().__init__()
        self._number, self._work, self._answer = number, work, answer

    def run(self) -> None:
        """Work, and send the result or the error."""
        result, error = None, None
        try:
            result = self._work()
        except Exception as problem:
            error = problem
        # A window that was closed in the meantime has nobody left to tell.
        with contextlib.suppress(RuntimeError):
            self._answer.done.emit(self._number, result, error)


class Background(QObject):
    """Runs one kind of work, one after the other; of several only the last one's answer is told, or each.

    Args:
        parent: whose it is.
        every: each answer counts.
        patient: it begins when the window has painted what is to be painted now, which it would hold up.

    Signals:
        finished: the newest result.
        failed: the newest error.
    """

    finished = Signal(object)
    failed = Signal(object)

    def __init__(
        self, parent: QObject | None = None, *, every: bool = False, patient: bool = False
    ) -> None:
        super().__init__(parent)
        self._every, self._patient = every, patient
        self._waiting: list[_Task] = []
        self._begin = QTimer(self)
        self._begin.setSingleShot(True)
        self._begin.timeout.connect(self._start)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._newest = self._open = 0
        self._answer = _Answer(self)
        self._answer.done.connect(self._receive)

    def ask(self, work: Callable[[], Any]) -> None:
        """Do this; unless every answer counts, whatever was asked before no longer matters."""
        if not self._every:
            self.drop()
        self._open += 1
        self._waiting.append(_Task(self._newest, work, self._answer))
        if self._patient:
            self._begin.start(0)
        else:
            self._start()

    def _start(self) -> None:
        tasks, self._waiting = self._waiting, []
        for task in tasks:
            self._pool.start(task)

    def drop(self) -> None:
        """Whatever was asked before no longer matters."""
        self._newest += 1
        self._open = 0
        self._waiting = []
        self._pool.clear()

    @property
    def busy(self) -> bool:
        """Something that was asked for is not told yet."""
        return self._open > 0

    def wait(self) -> None:
        """Until nothing is running, for closing; an answer that came too late is not told."""
        if self._every:
            self._start()
        else:
            self.drop()
        self._pool.waitForDone()

    def _receive(self, number: int, result: object, error: object) -> None:
        if number != self._newest and not self._every:
            return
        self._open -= 1
        if error is not None:
            self.failed.emit(error)
        else:
            self.finished.emit(result)


class Following(QObject):
    """Work that follows something that moves: each answer is told, and what is asked meanwhile waits, the last alone.

    Where a ``Background`` would drop every answer that comes late, and show nothing until all is at rest. Between two
    answers the window's thread has time to itself, so that what moves is drawn as well.

    Signals:
        finished: a result.
        failed: an error.
    """

    finished = Signal(object)
    failed = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._work = Background(self)
        self._next: Callable[[], Any] | None = None
        self._breath = QTimer(self)
        self._breath.setSingleShot(True)
        self._breath.setInterval(_BREATH_MS)
        self._breath.timeout.connect(self._go_on)
        self._work.finished.connect(lambda result: self._told(self.finished, result))
        self._work.failed.connect(lambda error: self._told(self.failed, error))

    @property
    def busy(self) -> bool:
        """Something that was asked for is not told yet."""
        return self._work.busy or self._next is not None

    def ask(self, work: Callable[[], Any]) -> None:
        """Do this, as soon as what is being done is done."""
        if self._work.busy or self._breath.isActive():
            self._next = work
        else:
            self._work.ask(work)

    def drop(self) -> None:
        """Whatever was asked before no longer matters."""
        self._next = None
        self._work.drop()

    def _told(self, signal: Any, result: object) -> None:
        if self._next is not None:
            self._breath.start()
        signal.emit(result)

    def _go_on(self) -> None:
        work, self._next = self._next, None
        if work is not None:
            self._work.ask(work)

    def wait(self) -> None:
        """Until nothing is running, for closing."""
        self._next = None
        self._work.wait()
