"""The line that says what a page's papers are printed on, and leads to where that is chosen."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget

from app.document.settings import PaperChoices
from app.window.words import counted, tr


class PaperLine(QLabel):
    """How many sheets, of what, for which printer; its link is for the page Paper."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWordWrap(True)
        self.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse
            | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.setToolTip(tr("Choose the paper, the printer's correction and the paper's thickness"))

    def show_count(self, count: int, choices: PaperChoices) -> None:
        """Say it.

        Args:
            count: of the sheets; 0 where it is not known.
            choices: what is printed on.
        """
        said = [tr("A4 or Letter") if choices.sheet == "dual" else choices.sheet]
        if count:
            said.insert(0, counted(count, tr("{n} sheet"), tr("{n} sheets")))
        if choices.printer:
            said.append(tr("printer {name}").format(name=choices.printer))
        change = tr("change …")
        link = f'<a href="paper">{escape(change)}</a>'
        self.setText(tr("{paper}: {link}").format(paper=escape(", ".join(said)), link=link))
