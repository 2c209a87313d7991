"""Starts the window."""

from __future__ import annotations

import sys

from PySide6.QtWidgets import QApplication

from app.window.main_window import MainWindow


def run_window() -> int:
    """Open the window and stay until it is closed."""
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)  # noqa: S101 - nothing else makes one
    application.setApplicationName("Copewright")
    window = MainWindow()
    window.show()
    return application.exec()
