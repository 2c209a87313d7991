"""Starts the window, and sees to it that an error never closes it."""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtCore import QMessageLogContext, QtMsgType, qInstallMessageHandler
from PySide6.QtWidgets import QApplication

from app.document.log import start_log
from app.window.garbage import Garbage
from app.window.words import load_language

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

SWITCH_SECONDS = 0.00003
"""How long work off the window's thread may keep it waiting at each of many turns; Python's own is 0.005."""
_LOG = logging.getLogger("copewright")


def guard(window: MainWindow) -> None:
    """From now on an error that nobody expected is logged and said, the work is kept, and the window stays open."""
    from app.window.trouble import Trouble

    trouble = Trouble(window)

    def unexpected(
        kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        if issubclass(kind, KeyboardInterrupt):
            window.close()
            return
        trouble.tell(kind, error, trace)

    sys.excepthook = unexpected


def _from_qt(kind: QtMsgType, _context: QMessageLogContext, words: str) -> None:
    """Qt's own warnings go to the log, not to whatever screen the program was started from."""
    if kind in (QtMsgType.QtWarningMsg, QtMsgType.QtCriticalMsg, QtMsgType.QtFatalMsg):
        _LOG.warning("Qt: %s", words)


def run_window(
    path: Path | None = None, make: Callable[[Path | None], MainWindow] | None = None
) -> int:
    """Open the window and stay until it is closed.

    Args:
        path: a frame's file to be opened in it.
        make: makes the window; for tests.
    """
    start_log()
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)  # noqa: S101 - nothing else makes one
    application.setApplicationName("Copewright")
    qInstallMessageHandler(_from_qt)
    load_language(application)
    sys.setswitchinterval(SWITCH_SECONDS)
    garbage = Garbage(application)
    if make is None:
        # Words of a page are put into the person's language when it is loaded: not before the language is.
        from app.window.main_window import MainWindow

        make = MainWindow
    window = make(path)
    guard(window)
    window.show()
    code = application.exec()
    garbage.deleteLater()
    return code
