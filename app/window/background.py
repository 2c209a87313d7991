"""Work off the window's thread: the newest counts, older results are dropped, errors come back."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal


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

    Signals:
        finished: the newest result.
        failed: the newest error.
    """

    finished = Signal(object)
    failed = Signal(object)

    def __init__(self, parent: QObject | None = None, *, every: bool = False) -> None:
        super().__init__(parent)
        self._every = every
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._newest = 0
        self._answer = _Answer(self)
        self._answer.done.connect(self._receive)

    def ask(self, work: Callable[[], Any]) -> None:
        """Do this; unless every answer counts, whatever was asked before no longer matters."""
        if not self._every:
            self.drop()
        self._pool.start(_Task(self._newest, work, self._answer))

    def drop(self) -> None:
        """Whatever was asked before no longer matters."""
        self._newest += 1
        self._pool.clear()

    def wait(self) -> None:
        """Until nothing is running, for closing."""
        if not self._every:
            self._pool.clear()
        self._pool.waitForDone()

    def _receive(self, number: int, result: object, error: object) -> None:
        if number != self._newest and not self._every:
            return
        if error is not None:
            self.failed.emit(error)
        else:
            self.finished.emit(result)
