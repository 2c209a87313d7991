"""When something goes wrong inside the program: the work is kept, it is said, and the window goes on."""

from __future__ import annotations

import logging
import traceback
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication, QMessageBox, QPushButton

from app.document.log import log_file
from app.window.words import tr
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
        self.log = QPushButton(tr("Show the log"))
        self.copy = QPushButton(tr("Copy what happened"))
        self.addButton(self.log, role.ActionRole)
        self.addButton(self.copy, role.ActionRole)
        self.on = self.addButton(tr("Go on"), role.AcceptRole)
        self.setDefaultButton(self.on)
        self.setEscapeButton(self.on)
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
        words = tr(
            "Something went wrong inside the program ({error}). Your work is kept. You can go on."
        )
        try:
            self._window.document.keep_now()
            self._window.session.keep_now()
        except (CopewrightError, OSError):
            words = tr(
                "Something went wrong inside the program ({error}). Save your work now. You can go on."
            )
        words = words.format(error=kind.__name__)
        self._window.say(words)
        if not self.isVisible():
            self.setText(words)
            self.setInformativeText(
                tr("What happened is in the log {file}").format(file=log_file())
            )
            self.show()
