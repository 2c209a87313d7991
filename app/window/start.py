"""Starts the window, and sees to it that an error never closes it."""

from __future__ import annotations

import logging
import sys
from types import TracebackType

from PySide6.QtCore import QMessageLogContext, QtMsgType, qInstallMessageHandler
from PySide6.QtWidgets import QApplication

from app.document.log import log_file, start_log
from app.window.main_window import MainWindow

_LOG = logging.getLogger("copewright")


def guard(window: MainWindow) -> None:
    """From now on an error that nobody expected is logged and said, and the window stays open."""

    def unexpected(
        kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        if issubclass(kind, KeyboardInterrupt):
            window.close()
            return
        _LOG.critical("unexpected", exc_info=(kind, error, trace))
        window.say(
            f"Something went wrong inside the program ({kind.__name__}). Your numbers stay; it is in "
            f"the log {log_file()}"
        )

    sys.excepthook = unexpected


def _from_qt(kind: QtMsgType, _context: QMessageLogContext, words: str) -> None:
    """Qt's own warnings go to the log, not to whatever screen the program was started from."""
    if kind in (QtMsgType.QtWarningMsg, QtMsgType.QtCriticalMsg, QtMsgType.QtFatalMsg):
        _LOG.warning("Qt: %s", words)


def run_window() -> int:
    """Open the window and stay until it is closed."""
    start_log()
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)  # noqa: S101 - nothing else makes one
    application.setApplicationName("Copewright")
    qInstallMessageHandler(_from_qt)
    window = MainWindow()
    guard(window)
    window.show()
    return application.exec()
