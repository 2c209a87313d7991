"""The page Paper: exactly the sheets that will print, of whatever there is; printed, or saved."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.window.background import Background
from app.window.colours import TickBox
from app.window.ends_tree import EndsTree
from app.window.folders import WHERE_WORDS, ask_folder, own_documents, own_suffix
from app.window.long_work import LongWork
from app.window.page_frame import COLUMN_PX, StillCombo, typed_column, words_label
from app.window.paper_jobs import (
    BOOK,
    FULL_SIZE,
    JOB_WORDS,
    TEST,
    Made,
    book_job,
    full_size_job,
    jobs_of,
    page_job,
    printer_test_job,
)
from app.window.paper_saving import book_saving, dxf_saving, pdf_saving
from app.window.printer_form import PrinterForm
from app.window.session import Session
from app.window.sheets_view import SheetsView
from app.window.which_sheets import WhichSheets
from app.window.words import sentence, tr
from geometry.errors import CopewrightError
from templates_out.book import choices
from templates_out.correction import Correction
from templates_out.file_names import FileNames
from templates_out.progress import Progress

INTRO = tr(
    "These are exactly the sheets that will print: choose what, which tubes and ends, and the sheet that your printer takes. "
    "Print at 100 % and measure both bars on each. No printer is quite true: measure yours once."
)
_NOTHING_TICKED = tr("Nothing is ticked: tick above the tubes and ends that you want on paper.")
_TREE_PX = 180


class PaperPage(QWidget):
    """What is printed on the left, its sheets on the right."""

    key = "Paper"
    help_words = INTRO

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.made: Made | None = None
        self._own_choice = ""
        self._then: tuple[str, Callable[[Made], None]] | None = None
        self.subject = StillCombo(self)
        self.subject.setAccessibleName(tr("what is printed"))
        self.tree = EndsTree(self)
        self.tree.setFixedHeight(_TREE_PX)
        self.all, self.none = QPushButton(tr("All"), self), QPushButton(tr("None"), self)
        self.form = PrinterForm(session, self)
        self.view = SheetsView(self)
        self.which, self.state = WhichSheets(self.view, self), words_label(self)
        self.work = LongWork(self)
        self.print, self.save = (
            QPushButton(tr("Print …"), self),
            QPushButton(tr("Save these as PDF …"), self),
        )
        self.dxf = QPushButton(tr("Save DXF …"), self)
        self.book = QPushButton(tr("Save the whole book …"), self)
        self.save.setToolTip(tr("One file: the sheets that are chosen on the right, as they stand"))
        self.dxf.setToolTip(
            tr(
                "For a cutter or another drawing program: a file for each template; cover and tables have none"
            )
        )
        self.book.setToolTip(tr(
            "All there is of the frame, in a folder of its own: the book and what is ticked below as PDF, DXF, tables, numbers"
        ))  # fmt: skip
        self.with_full_size = TickBox(tr("the whole book with full-size sheets"), self)
        self.with_full_size.setToolTip(tr(
            "A second PDF in the same folder, to lay the bent tubes on; to save or print it alone choose it at the top"
        ))  # fmt: skip
        self.making = Background(self)
        self._lay_out()
        self._connect()
        self._fill_subjects()

    def _lay_out(self) -> None:
        rows = QVBoxLayout()
        rows.addWidget(words_label(self, INTRO))
        what = QFormLayout()
        what.addRow(tr("print"), self.subject)
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
        foot.addWidget(self.which)
        foot.addWidget(self.state)
        foot.addWidget(self.work)
        foot.addLayout(buttons)
        foot.addWidget(self.with_full_size)
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
        self.with_full_size.setChecked(self.session.state.full_size)
        self.with_full_size.toggled.connect(lambda on: self.session.change(full_size=on))
        self.subject.currentIndexChanged.connect(lambda _: self._make())
        self.tree.changed.connect(self._make)
        self.all.clicked.connect(lambda: self.tree.tick_all(on=True))
        self.none.clicked.connect(lambda: self.tree.tick_all(on=False))
        self.form.said.connect(self.state.setText)
        self.subject.activated.connect(lambda _: self._keep_choice())
        self.form.test_wanted.connect(lambda: self.choose(TEST))
        self.form.test_wanted.connect(self._keep_choice)
        self.session.paper_changed.connect(self._make)
        self.session.papers_changed.connect(self._papers_changed)
        self.session.document.replaced.connect(self.tree.forget)
        self.session.document.changed.connect(self._document_changed)
        self.session.inches_changed.connect(self.view.large.set_inches)
        self.view.large.set_inches(self.session.inches)
        self.view.large.measured.connect(self.state.setText)
        self.making.finished.connect(self._show)
        self.making.failed.connect(self._fail_making)
        self.work.finished.connect(self.state.setText)
        self.work.failed.connect(self._say_failure)
        self.work.running.connect(lambda _: self._allow())
        self.print.clicked.connect(lambda: self._when_made(self._print_asked))
        self.save.clicked.connect(lambda: self._when_made(self._save_asked))
        self.dxf.clicked.connect(lambda: self._when_made(self._dxf_asked))
        self.book.clicked.connect(lambda: self._in_folder(self.save_book_to))

    def showEvent(self, event: QShowEvent) -> None:
        """What was worked on last is what is printed."""
        super().showEvent(event)
        subject = self.session.subject
        self._fill_subjects()
        wanted = BOOK if subject == "Frame" else subject
        if self._own_choice != TEST and self.subject.findData(wanted) >= 0:
            self.choose(wanted)
        self._make()

    def _keep_choice(self) -> None:
        """What the person has chosen; the test sheet stays while they are at it."""
        self._own_choice = self.subject.currentData()

    # What is printed.

    def choose(self, subject: str) -> None:
        """Choose what is printed, by its key."""
        self.subject.setCurrentIndex(max(self.subject.findData(subject), 0))

    def _fill_subjects(self) -> None:
        """What there is to print."""
        there = jobs_of(self.session.document.frame, self.session.papers)
        if there == [self.subject.itemData(index) for index in range(self.subject.count())]:
            return
        before = self.subject.currentData()
        self.subject.blockSignals(True)
        self.subject.clear()
        for key in there:
            self.subject.addItem(JOB_WORDS[key], key)
        self.subject.setCurrentIndex(max(self.subject.findData(before), 0))
        self.subject.blockSignals(False)

    def _papers_changed(self, page: str) -> None:
        before = self.subject.currentData()
        self._fill_subjects()
        if self.subject.currentData() != before or before == page:
            self._make()

    def _document_changed(self) -> None:
        before = self.subject.currentData()
        if not self.work.busy:
            # What was saved is not this frame any more.
            self.state.setText("")
        self._fill_subjects()
        if self.subject.currentData() != before or before in (BOOK, FULL_SIZE):
            self._make()

    def _make(self) -> None:
        """Make the sheets anew, off the window's thread, if anybody looks at them."""
        subject = self.subject.currentData()
        self.ends.setVisible(subject == BOOK)
        self.form.measure(on=subject == TEST)
        self._allow()
        self.with_full_size.setVisible(subject in (BOOK, FULL_SIZE))
        if not self.isVisible():
            return
        try:
            correction = self.form.correction()
        except CopewrightError as error:
            self._fail_making(error)
            return
        make = self._maker(subject)
        self.making.ask(lambda: make(correction))

    def _maker(self, job: str) -> Callable[[Correction], Made]:
        """Makes the sheets of a job as it is now, for a printer's correction."""
        choice, frame = self.session.paper, self.session.document.frame
        if job == TEST:
            return printer_test_job(choice.sheet)
        if job in self.session.papers:
            return page_job(job, self.session.papers[job])
        if job == FULL_SIZE:
            return full_size_job(frame, choice)
        return book_job(frame, choice, self.tree.chosen)

    def _show(self, made: Made) -> None:
        anew = self.made is None or (self.made.subject, self.made.title) != (
            made.subject,
            made.title,
        )
        if self.made is None:
            self.state.setText("")
        self.made = made
        if made.subject == BOOK and made.result is not None:
            self.tree.show_choices(choices(made.result))
        self.which.nothing = _NOTHING_TICKED if made.subject == BOOK else ""
        self.view.show_sheets(made.sheets, anew=anew)
        self._allow()
        then, self._then = self._then, None
        if then is not None:
            self.state.setText("")
            subject, action = then
            # Of another job, or of a page that was left, it is not wanted any more.
            if made.subject == subject and self.isVisible() and self.save.isEnabled():
                action(made)

    def _allow(self) -> None:
        """What can be done now: while something is written or printed, nothing else is."""
        subject, idle = self.subject.currentData(), not self.work.busy
        there = idle and self.made is not None and bool(self.made.sheets)
        self.print.setEnabled(there)
        self.save.setEnabled(there)
        drawn = self.tree.any_drawn if subject == BOOK else subject not in (TEST, FULL_SIZE)
        self.dxf.setEnabled(there and drawn)
        self.book.setEnabled(idle and subject in (BOOK, FULL_SIZE))

    def _fail_making(self, error: Exception) -> None:
        self.made, self.which.nothing, self._then = None, "", None
        self.view.show_sheets([], anew=True)
        self._allow()
        self._say_failure(error)

    def _say_failure(self, error: Exception) -> None:
        if isinstance(error, CopewrightError):
            self.state.setText(sentence(error))
        else:
            logging.getLogger(__name__).error("page Paper", exc_info=error)
            self.state.setText(tr("Something went wrong inside the program; it is in the log."))

    # What is done with it.

    def _when_made(self, action: Callable[[Made], None]) -> None:
        """Do it with the sheets of what stands here by now: while they are being made, those in view are of before."""
        if self.making.busy:
            self._then = self.subject.currentData(), action
            self.state.setText(tr("The sheets are being made …"))
        elif self.made is not None:
            action(self.made)

    def _folder(self) -> str:
        """Beside the frame's file, or where papers were saved last."""
        path = self.session.document.path
        if path is not None and self.made is not None and self.made.result is not None:
            return str(path.parent)
        return self.session.state.folder or own_documents()

    def _save_asked(self, made: Made) -> None:
        wanted = self.view.wanted
        some = f"-sheet-{wanted[0].label}" if len(wanted) == 1 else "-some-sheets"
        stem = made.stem + some * (len(wanted) < len(made.sheets))
        start = str(Path(self._folder()) / f"{stem}.pdf")
        name, _ = QFileDialog.getSaveFileName(self, tr("Save these sheets"), start, "PDF (*.pdf)")
        path = own_suffix(self, Path(name), ".pdf") if name else None
        if path is not None:
            self.session.change(folder=str(path.parent))
            self.work.ask(pdf_saving(made, wanted, path))

    def save_to(self, path: Path) -> None:
        """Write the sheets that are chosen as a PDF."""
        self._when_made(lambda made: self.work.ask(pdf_saving(made, self.view.wanted, path)))

    def _dxf_asked(self, made: Made) -> None:
        chosen = self.tree.chosen
        self._in_folder(lambda folder: self._write_dxf(made, chosen, folder), ("dxf",))

    def _in_folder(self, save: Callable[[Path], None], written: tuple[str, ...] = ()) -> None:
        held, whose = ("book.pdf", "numbers.json", "dxf"), self.made.said if self.made else ""
        own = f"{FileNames().of(self.session.document.frame.name)}-papers"
        title = WHERE_WORDS.format(name=own)
        folder = ask_folder(self, title, self._folder(), held, whose, own, written)
        if folder:
            self.session.change(folder=str(Path(folder).parent))
            save(Path(folder))

    def save_dxf_to(self, folder: Path) -> None:
        """Write the DXF files of what is chosen."""
        self._when_made(lambda made: self._write_dxf(made, self.tree.chosen, folder))

    def _write_dxf(self, made: Made, chosen: list[tuple[str, str]] | None, folder: Path) -> None:
        papers = self.session.papers.get(made.subject)
        self.work.ask(dxf_saving(made, chosen, papers, folder))

    def save_book_to(self, folder: Path) -> None:
        """Write the whole book, the same as the command's."""
        frame, full_size = self.session.document.frame, self.with_full_size.isChecked()
        self.work.ask(book_saving(frame, self.session.paper, folder, full_size=full_size))

    def _print_asked(self, made: Made) -> None:
        from app.window.printing import ask_printer, correction_for, send

        title, choice = made.title, self.session.paper
        every = len(self.view.wanted) == len(made.sheets)
        numbers = {sheet.label for sheet in self.view.wanted}
        asked = ask_printer(self, choice, made.said)
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
        make = self._maker(made.subject)

        def work(progress: Progress) -> str:
            progress(0, 0, made.said)
            sheets = [sheet for sheet in make(correction).sheets if every or sheet.label in numbers]
            return send(order, sheets, title, printer, progress)

        self.state.setText(tr("Printing …"))
        stopped = tr("stopped; what the printer was sent before may still come")
        self.work.ask(work, stopped)

    def close_down(self) -> None:
        """Let running work end."""
        for work in (self.making, self.work):
            work.wait()
