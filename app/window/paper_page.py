"""The page Paper: exactly the sheets that will print, of whatever there is; printed, or saved."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QFileDialog,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.document.settings import load_correction
from app.jobs.book import write_book
from app.jobs.writing import write_files
from app.window.background import Background
from app.window.ends_tree import EndsTree
from app.window.folders import ask_folder
from app.window.long_work import LongWork, Progress
from app.window.page_frame import COLUMN_PX, StillCombo, typed_column, words_label
from app.window.printer_form import PrinterForm
from app.window.session import Session
from app.window.sheets_view import SheetsView
from geometry.errors import CopewrightError
from geometry.frame import Frame
from templates_out.book import BOOK_SUBJECT, book_sheets, choices, dxf_files, laid_tubes
from templates_out.correction import Correction
from templates_out.frame_result import FrameResult, solve_frame
from templates_out.full_size import SUBJECT as FULL_SIZE_SUBJECT
from templates_out.full_size import full_size_papers, full_size_sheets, roll_pages
from templates_out.paper import paper
from templates_out.sheet import Sheet

INTRO = (
    "These are exactly the sheets that will print: choose what, which tubes and ends, and the sheet that your printer takes. "
    "Print at 100 % and measure both bars on each. No printer is quite true: measure yours once."
)
BOOK, FULL_SIZE, TEST = "book", "full-size", "test"
_WORDS = {
    BOOK: "the frame's book", FULL_SIZE: "full-size sheets of its bent tubes", "Joint": "the joint", "Bend": "the bent tube",
    TEST: "the printer's test sheet",
}  # fmt: skip
_TREE_PX = 150
AT_FULL_SCALE = "print at 100 %"
SUBJECTS = {BOOK: BOOK_SUBJECT, FULL_SIZE: FULL_SIZE_SUBJECT}
"""What the PDF says it is about; the same as the command's."""


@dataclass(frozen=True, eq=False)
class Made:
    """Sheets that are shown.

    Attributes:
        subject: what of, a key of the page's choice.
        title: for the printer, and in the PDF.
        stem: of its file.
        sheets: as they print.
        result: the frame, where they are of one.
    """

    subject: str
    title: str
    stem: str
    sheets: list[Sheet]
    result: FrameResult | None = None


class PaperPage(QWidget):
    """What is printed on the left, its sheets on the right."""

    key = "Paper"
    help_words = INTRO

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.made: Made | None = None
        self.subject = StillCombo(self)
        self.subject.setAccessibleName("what is printed")
        self.tree = EndsTree(self)
        self.tree.setFixedHeight(_TREE_PX)
        self.all, self.none = QPushButton("All", self), QPushButton("None", self)
        self.form = PrinterForm(session, self)
        self.view = SheetsView(self)
        self.count, self.state = words_label(self), words_label(self)
        self.work = LongWork(self)
        self.print, self.save = QPushButton("Print …", self), QPushButton("Save PDF …", self)
        self.dxf, self.book = QPushButton("Save DXF …", self), QPushButton("Save the book …", self)
        self.book.setToolTip("All there is of the frame in one folder: PDF, DXF, tables, numbers")
        self.with_full_size = QCheckBox("with full-size sheets", self)
        self.making, self.writing = Background(self), Background(self, every=True)
        self._lay_out()
        self._connect()
        self._fill_subjects()

    def _lay_out(self) -> None:
        rows = QVBoxLayout()
        rows.addWidget(words_label(self, INTRO))
        what = QFormLayout()
        what.addRow("print", self.subject)
        rows.addLayout(what)
        self.ends = QWidget(self)
        ends = QVBoxLayout(self.ends)
        ends.setContentsMargins(0, 0, 0, 0)
        both = QHBoxLayout()
        both.addWidget(self.all)
        both.addWidget(self.none)
        ends.addWidget(self.tree)
        ends.addLayout(both)
        rows.addWidget(self.ends)
        rows.addWidget(self.form)
        foot, buttons = QVBoxLayout(), QGridLayout()
        for number, button in enumerate((self.print, self.save, self.dxf, self.book)):
            buttons.addWidget(button, number // 2, number % 2)
        foot.addWidget(self.count)
        foot.addWidget(self.state)
        foot.addWidget(self.work)
        foot.addWidget(self.with_full_size)
        foot.addLayout(buttons)
        whole = QSplitter(self)
        whole.addWidget(typed_column(rows, foot))
        whole.addWidget(self.view)
        whole.setStretchFactor(1, 1)
        whole.setSizes([COLUMN_PX, 600])
        whole.setChildrenCollapsible(False)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(8, 8, 8, 8)
        outer.addWidget(whole)

    def _connect(self) -> None:
        self.subject.currentIndexChanged.connect(lambda _: self._make())
        self.tree.changed.connect(self._make)
        self.all.clicked.connect(lambda: self.tree.tick_all(on=True))
        self.none.clicked.connect(lambda: self.tree.tick_all(on=False))
        self.form.said.connect(self.state.setText)
        self.form.test_wanted.connect(lambda: self.choose(TEST))
        self.session.paper_changed.connect(self._make)
        self.session.papers_changed.connect(self._papers_changed)
        self.session.document.changed.connect(self._document_changed)
        self.session.inches_changed.connect(self.view.large.set_inches)
        self.view.large.set_inches(self.session.inches)
        self.view.large.measured.connect(self.state.setText)
        self.view.chosen.connect(self._count)
        self.making.finished.connect(self._show)
        self.making.failed.connect(self._fail_making)
        self.writing.finished.connect(self.state.setText)
        self.work.finished.connect(self.state.setText)
        for work in (self.writing, self.work):
            work.failed.connect(self._say_failure)
        self.print.clicked.connect(self._print_asked)
        self.save.clicked.connect(self._save_asked)
        self.dxf.clicked.connect(lambda: self._in_folder(self.save_dxf_to))
        self.book.clicked.connect(lambda: self._in_folder(self.save_book_to))

    def showEvent(self, event: QShowEvent) -> None:
        """What was worked on last is what is printed."""
        super().showEvent(event)
        subject = self.session.subject
        self._fill_subjects()
        wanted = BOOK if subject == "Frame" else subject
        if self.subject.currentData() != TEST and self.subject.findData(wanted) >= 0:
            self.choose(wanted)
        self._make()

    # What is printed.

    def choose(self, subject: str) -> None:
        """Choose what is printed, by its key."""
        self.subject.setCurrentIndex(max(self.subject.findData(subject), 0))

    def _fill_subjects(self) -> None:
        """What there is to print."""
        frame = self.session.document.frame
        there = [BOOK] * bool(frame.tubes) + [FULL_SIZE] * any(tube.radii for tube in frame.tubes)
        there += [key for key in ("Joint", "Bend") if key in self.session.papers] + [TEST]
        if there == [self.subject.itemData(index) for index in range(self.subject.count())]:
            return
        before = self.subject.currentData()
        self.subject.blockSignals(True)
        self.subject.clear()
        for key in there:
            self.subject.addItem(_WORDS[key], key)
        self.subject.setCurrentIndex(max(self.subject.findData(before), 0))
        self.subject.blockSignals(False)

    def _papers_changed(self, page: str) -> None:
        self._fill_subjects()
        if self.subject.currentData() == page:
            self._make()

    def _document_changed(self) -> None:
        self._fill_subjects()
        if self.subject.currentData() in (BOOK, FULL_SIZE):
            self._make()

    def _make(self) -> None:
        """Make the sheets anew, off the window's thread, if anybody looks at them."""
        subject = self.subject.currentData()
        self.ends.setVisible(subject == BOOK)
        self.form.measure(on=subject == TEST)
        self.dxf.setEnabled(subject not in (TEST, FULL_SIZE))
        self.book.setEnabled(subject in (BOOK, FULL_SIZE))
        self.with_full_size.setVisible(subject in (BOOK, FULL_SIZE))
        if not self.isVisible():
            return
        try:
            make = self._maker(subject, self.form.correction())
        except CopewrightError as error:
            self._fail_making(error)
            return
        self.making.ask(make)

    def _maker(self, subject: str, correction: Correction) -> Callable[[], Made]:
        """Makes the sheets of a subject as it is now, for a printer's correction."""
        choice, frame = self.session.paper, self.session.document.frame
        sheet, chosen = paper(choice.sheet), self.tree.chosen
        if subject == TEST:
            sheets = self.form.test_sheets(correction)
            return lambda: Made(TEST, "Printer test sheet", "test-sheet", sheets)
        if subject in self.session.papers:
            papers = self.session.papers[subject]
            return lambda: Made(subject, papers.title, subject.lower(), papers.make(correction))
        if subject == FULL_SIZE:
            return lambda: _full_size(frame, choice.sheet, correction)

        def make() -> Made:
            result = solve_frame(frame)
            sheets = book_sheets(result, sheet, choice.thickness, correction, chosen)
            return Made(BOOK, f"Frame: {frame.name}", "book", sheets, result)

        return make

    def _show(self, made: Made) -> None:
        self.made = made
        if made.subject == BOOK and made.result is not None:
            self.tree.show_choices(choices(made.result))
        self.view.show_sheets(made.sheets)
        self._count()

    def _count(self) -> None:
        """How many sheets there are, and how many are chosen."""
        if self.made is None:
            return
        whole, chosen = len(self.made.sheets), len(self.view.wanted)
        some = f"{chosen} of {whole} sheets chosen" if chosen != whole else ""
        self.count.setText(some or f"{whole} sheet{'s' * (whole != 1)}, to print at 100 %")
        for button in (self.print, self.save):
            button.setEnabled(bool(whole))

    def _fail_making(self, error: Exception) -> None:
        self.made = None
        self.view.show_sheets([])
        self._say_failure(error)

    def _say_failure(self, error: Exception) -> None:
        if isinstance(error, CopewrightError):
            self.state.setText(f"{str(error)[:1].upper()}{str(error)[1:]}.")
        else:
            logging.getLogger(__name__).error("page Paper", exc_info=error)
            self.state.setText("Something went wrong inside the program; it is in the log.")

    # What is done with it.

    def _folder(self) -> str:
        return self.session.state.folder

    def _save_asked(self) -> None:
        if self.made is None:
            return
        start = str(Path(self._folder()) / f"{self.made.stem}.pdf")
        name, _ = QFileDialog.getSaveFileName(self, "Save these sheets", start, "PDF (*.pdf)")
        if name:
            self.session.change(folder=str(Path(name).parent))
            self.save_to(Path(name))

    def save_to(self, path: Path) -> None:
        """Write the sheets that are chosen as a PDF."""
        from templates_out.pdf import pdf_bytes

        if self.made is None:
            return
        title, sheets, subject = self.made.title, self.view.wanted, SUBJECTS.get(self.made.subject)
        place = path if path.suffix else path.with_suffix(".pdf")

        def save() -> str:
            write_files(
                place.parent, {place.name: pdf_bytes(sheets, title, subject or AT_FULL_SCALE)}
            )
            return f"Saved {place}: print it at 100 %, and measure both bars."

        self.writing.ask(save)

    def _in_folder(self, save: Callable[[Path], None]) -> None:
        held, whose = ("book.pdf", "numbers.json", "dxf"), self.made.title if self.made else ""
        folder = ask_folder(self, "Folder for the papers", self._folder(), held, whose)
        if folder:
            self.session.change(folder=folder)
            save(Path(folder))

    def save_dxf_to(self, folder: Path) -> None:
        """Write the DXF files of what is chosen."""
        made, chosen = self.made, self.tree.chosen
        if made is None:
            return
        papers = self.session.papers.get(made.subject)

        def save(progress: Progress) -> str:
            if made.result is not None:
                files = dxf_files(made.result, chosen, progress)
            else:
                assert papers is not None  # noqa: S101 - only these two have DXF
                every = papers.files(made.sheets)
                files = {name: data for name, data in every.items() if name.endswith(".dxf")}
            write_files(folder, files)
            return f"Saved {len(files)} DXF file{'s' * (len(files) != 1)} in {folder}."

        self.work.ask(save)

    def save_book_to(self, folder: Path) -> None:
        """Write the whole book, the same as the command's."""
        choice, frame = self.session.paper, self.session.document.frame
        sheet, full_size = paper(choice.sheet), self.with_full_size.isChecked()

        def save(progress: Progress) -> str:
            progress(0, 0, "the frame")
            correction = load_correction(choice.printer, choice.sheet)
            result = solve_frame(frame)
            laid = full_size_papers(laid_tubes(result), sheet, correction) if full_size else None
            printed = (sheet, choice.thickness, correction)
            told = write_book(result, folder, printed, progress, laid)
            left_out = [line for line in told.lines if line.startswith("not solved")]
            return ". ".join([f"Saved the book in {folder}", *left_out])

        self.work.ask(save)

    def _print_asked(self) -> None:
        from app.window.printing import ask_printer, correction_for, send

        if self.made is None:
            return
        title, choice, made = self.made.title, self.session.paper, self.made
        every = len(self.view.wanted) == len(made.sheets)
        numbers = {sheet.label for sheet in self.view.wanted}
        asked = ask_printer(self, choice, title)
        if asked is None:
            return
        printer, order = asked
        try:
            correction = correction_for(choice, order)
        except CopewrightError as error:
            self._say_failure(error)
            return
        if (
            made.subject == TEST
            and order.printer
            and not choice.own
            and order.printer != choice.printer
        ):
            # What is measured on it is that printer's.
            self.form.name_printer(order.printer)
        make = self._maker(made.subject, correction)

        def work() -> str:
            sheets = [sheet for sheet in make().sheets if every or sheet.label in numbers]
            return send(order, sheets, title, printer)

        self.state.setText("Printing …")
        self.writing.ask(work)

    def close_down(self) -> None:
        """Let running work end; what takes long is stopped."""
        for work in (self.making, self.writing, self.work):
            work.wait()


def _full_size(frame: Frame, sheet: str, correction: Correction) -> Made:
    """The full-size sheets of a frame's bent tubes; on a roll each in one piece."""
    result = solve_frame(frame)
    laid = laid_tubes(result)
    sheets = (
        roll_pages(laid, correction)
        if sheet == "roll"
        else full_size_sheets(laid, paper(sheet), correction)
    )
    return Made(FULL_SIZE, f"Full size: {frame.name}", "full-size", sheets, result)
