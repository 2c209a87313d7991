"""When something goes wrong inside the program: the work is kept, it is said, and the window goes on."""

from __future__ import annotations

import logging
import traceback
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication, QMessageBox, QPushButton

from app.document.log import log_file
from geometry.errors import CopewrightError

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

_LOG = logging.getLogger("copewright")


class Trouble(QMessageBox):
    """Says what went wrong once at a time; it never stops the window.

    Attributes:
        log: opens the log.
        copy: copies what happened, to be sent to somebody.
    """

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._told = ""
        self.setIcon(QMessageBox.Icon.Warning)
        self.setWindowTitle("Copewright")
        self.setModal(False)
        role = QMessageBox.ButtonRole
        self.log = QPushButton("Show the log")
        self.copy = QPushButton("Copy what happened")
        self.addButton(self.log, role.ActionRole)
        self.addButton(self.copy, role.ActionRole)
        self.on = self.addButton("Go on", role.AcceptRole)
        self.setDefaultButton(self.on)
        # A box closes at every button; these two leave it open.
        for button in (self.log, self.copy):
            button.clicked.disconnect()
        self.log.clicked.connect(window.show_log)
        self.copy.clicked.connect(lambda: QApplication.clipboard().setText(self._told))

    def tell(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """Log it, keep the frame aside, and say it unless something is being said already."""
        _LOG.critical("unexpected", exc_info=(kind, error, trace))
        self._told = "".join(traceback.format_exception(kind, error, trace))
        kept = "Your work is kept."
        try:
            self._window.document.keep_now()
            self._window.session.keep_now()
        except (CopewrightError, OSError):
            kept = "Save your work now."
        words = f"Something went wrong inside the program ({kind.__name__}). {kept} You can go on."
        self._window.say(words)
        if not self.isVisible():
            self.setText(words)
            self.setInformativeText(f"What happened is in the log {log_file()}")
            self.show()
