"""A page that has one part's papers: counted, shown on the page Paper, saved and printed."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QLineEdit, QPushButton, QWidget

from app.document.settings import PaperChoices, load_correction
from app.jobs.writing import write_files
from app.window.background import Background
from app.window.folders import WHERE_WORDS, ask_folder, own_documents
from app.window.page_frame import words_label
from app.window.paper_line import PaperLine
from app.window.session import Papers, Session
from app.window.words import counted, sentence, tr
from geometry.errors import CopewrightError
from templates_out.correction import Correction
from templates_out.file_names import FileNames
from templates_out.sheet import Sheet

_COUNT_AFTER_MS = 400


@dataclass(frozen=True)
class PageWords:
    """What a page says of its part, in the person's language.

    Attributes:
        picture: the flat picture.
        space: the picture in space.
        last_good: of what the drawing is, where none can be made of what is typed.
        title: of its papers, with its ``{name}``.
    """

    picture: str
    space: str
    last_good: str
    title: str


class PaperedPage(QWidget):
    """What the pages with one part of their own do with its papers.

    A page says what it is about (``what`` on paper, ``said`` on the screen), and makes its ``sheets`` and ``files``.
    """

    key = what = "part"
    said: PageWords

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.result: Any = None
        self.counting, self.writing = Background(self), Background(self, every=True)
        self.writing.finished.connect(self._say)
        self.writing.failed.connect(self._say_failure)
        self.counting.finished.connect(self._show_count)
        self.counting.failed.connect(self._show_count)
        self._count_later = QTimer(self)
        self._count_later.setSingleShot(True)
        self._count_later.setInterval(_COUNT_AFTER_MS)
        self._count_later.timeout.connect(self._count)
        self.name = QLineEdit(tr("tube"), self)
        self.name.setAccessibleName(tr("name"))
        self.name.setToolTip(tr("What the tube is called on its papers"))
        self.state = words_label(self)
        self.save = QPushButton(tr("Save PDF and DXF …"), self)
        self.print = QPushButton(tr("Print …"), self)
        self.paper_line = PaperLine(self)

    def sheets(
        self,
        result: Any,
        choices: PaperChoices,
        correction: Correction,
    ) -> list[Sheet]:
        """What is printed of a result; called off the window's thread too."""
        raise TypeError(self._missing("what to print"))

    def files(
        self,
        result: Any,
        sheets: list[Sheet],
    ) -> tuple[dict[str, bytes], Iterable[str]]:
        """The files to save of a result, and names of earlier ones that they outdate."""
        raise TypeError(self._missing("what to save"))

    def _missing(self, what: str) -> str:
        return f"{type(self).__name__} does not say {what}"

    def _say(self, words: str) -> None:
        self.state.setText(words)

    def _say_failure(self, error: Exception) -> None:
        if isinstance(error, CopewrightError):
            self.state.setText(sentence(error))
            return
        logging.getLogger(__name__).error("page %s", self.key, exc_info=error)
        self.state.setText(
            tr("Something went wrong inside the program; it is in the log. Your numbers stay.")
        )

    def _count(self) -> None:
        if self.result is not None and self.save.isEnabled():
            choices, make = self.session.paper, self._making()
            self.counting.ask(lambda: len(make(load_correction(choices.printer, choices.sheet))))

    def _show_count(self, count: object) -> None:
        """Of the sheets, or an error: then it is not said."""
        self.paper_line.show_count(count if isinstance(count, int) else 0, self.session.paper)

    def _making(self) -> Callable[[Correction], list[Sheet]]:
        """Makes the sheets of what is shown now, whatever is typed in the meantime."""
        result, choices = self.result, self.session.paper
        return lambda correction: self.sheets(result, choices, correction)

    def _put_papers(self) -> None:
        """What the page Paper shows of this one."""
        result = self.result
        papers = Papers(
            f"{self.what} {self.name.text()}",
            self._title(),
            self._making(),
            lambda sheets: self.files(result, sheets)[0],
        )
        self.session.put_papers(self.key, papers)

    def _title(self) -> str:
        return self.said.title.format(name=self.name.text())

    def _save_asked(self) -> None:
        held, whose = (f"{self.key.lower()}.pdf", "numbers.json"), self.name.text()
        own = f"{FileNames().of(whose)}-papers"
        start, title = self.session.state.folder or own_documents(), WHERE_WORDS.format(name=own)
        folder = ask_folder(self, title, start, held, whose, own)
        if folder:
            self.session.change(folder=str(Path(folder).parent))
            self.save_to(Path(folder))

    def save_to(self, folder: Path) -> None:
        """Write the files, the same as the command's, into a folder."""
        self.state.setText(tr("Saving …"))
        result, choices, make = self.result, self.session.paper, self._making()

        def save() -> str:
            sheets = make(load_correction(choices.printer, choices.sheet))
            made, outdated = self.files(result, sheets)
            write_files(folder, made, outdated)
            count = counted(len(sheets), tr("{n} sheet"), tr("{n} sheets"))
            words = tr("Saved {files} in {folder}: {sheets} to print at 100 %.")
            return words.format(files=", ".join(made), folder=folder, sheets=count)

        self.writing.ask(save)

    def _print_asked(self) -> None:
        from app.window.printing import ask_printer, correction_for, send

        title, choices, make = f"{self.what} {self.name.text()}", self.session.paper, self._making()
        asked = ask_printer(self, choices, self._title())
        if asked is None:
            return
        printer, order = asked
        self.state.setText(tr("Printing …"))
        self.writing.ask(lambda: send(order, make(correction_for(choices, order)), title, printer))
