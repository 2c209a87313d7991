"""The page Paper: the sheet, the printer's correction, and the test sheet that it is measured by."""

from __future__ import annotations

import logging
from dataclasses import replace
from pathlib import Path

from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.document.settings import keep_correction, load_correction, load_settings, measure_printer
from app.jobs.writing import write_files
from app.window.background import Background
from app.window.drawing_view import DrawingView
from app.window.number_field import NumberField
from app.window.page_frame import COLUMN_PX, StillCombo, typed_column, words_label
from app.window.printing import printer_names
from app.window.session import Session
from geometry.errors import CopewrightError
from geometry.names import parse_name
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.drawing import Drawing
from templates_out.paper import PAPERS, paper
from templates_out.printer import bar_lengths, corrected, doubt, printer_sheet
from templates_out.sheet import Sheet, number_sheets

NO_PRINTER = "none: no correction"
SHEET_WORDS = {
    "dual": "dual: prints at 100 % on A4 and on Letter",
    "roll": "roll: 610 mm wide, as long as needed",
}
INTRO = (
    "Choose the sheet that your printer takes. No printer is quite true: print the test sheet at 100 %, "
    "measure its two long bars and type what they are. Then print it again: both must be right."
)


class PaperPage(QWidget):
    """What every page prints on, and the printer's test sheet."""

    key = "Paper"

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.sheet = StillCombo(self)
        for name in PAPERS:
            self.sheet.addItem(SHEET_WORDS.get(name, name), name)
        self.sheet.setAccessibleName("paper")
        self.printer = StillCombo(self)
        self.printer.setEditable(True)
        self.printer.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.printer.setAccessibleName("printer")
        self.printer.setToolTip("Whose correction the sheets get: choose, or type what you call it")
        self.thickness = NumberField(
            "paper thickness", session.paper.thickness, 0, 1,
            tip="the wrap is made longer by it, as it lies outside the tube; copy paper is 0.1 mm",
        )  # fmt: skip
        self.across = NumberField("level bar", 0.0, 0, 1000, above=True)
        self.along = NumberField("upright bar", 0.0, 0, 1000, above=True)
        self._shown: tuple[str, float, float] | None = None
        self.kept, self.state = words_label(self), words_label(self)
        self.save = QPushButton("Save test sheet …", self)
        self.print = QPushButton("Print test sheet …", self)
        self.keep = QPushButton("Keep as this printer's correction", self)
        self.forget = QPushButton("Without correction", self)
        self.forget.setToolTip("Set this printer's correction for this sheet back to none")
        self.view = DrawingView("the test sheet")
        self._lay_out()
        self._fill()
        self.sheet.currentIndexChanged.connect(self._chosen)
        self.printer.currentIndexChanged.connect(self._chosen)
        edit = self.printer.lineEdit()
        assert edit is not None  # noqa: S101 - it is editable
        edit.editingFinished.connect(self._chosen)
        self.thickness.value_changed.connect(self._chosen)
        self.writing = Background(self, every=True)
        self.writing.finished.connect(self.state.setText)
        self.writing.failed.connect(self._say_failure)
        self.save.clicked.connect(self._save_asked)
        self.print.clicked.connect(self._print_asked)
        self.keep.clicked.connect(self._keep_measured)
        self.forget.clicked.connect(self._forget)
        session.inches_changed.connect(self.set_inches)
        self.view.measured.connect(self.state.setText)
        self.set_inches(session.inches)
        self._show()

    def _lay_out(self) -> None:
        rows = QVBoxLayout()
        rows.addWidget(words_label(self, INTRO))
        choose = QFormLayout()
        choose.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        choose.addRow("sheet", self.sheet)
        choose.addRow("printer, for its correction", self.printer)
        rows.addLayout(choose)
        rows.addWidget(self.thickness)
        rows.addWidget(self.kept)
        buttons = QHBoxLayout()
        buttons.addWidget(self.save)
        buttons.addWidget(self.print)
        rows.addLayout(buttons)
        rows.addWidget(QLabel("what the printed test sheet measures:", self))
        rows.addWidget(self.across)
        rows.addWidget(self.along)
        rows.addWidget(self.keep)
        rows.addWidget(self.forget)
        foot = QVBoxLayout()
        foot.addWidget(self.state)
        column = typed_column(rows, foot)
        whole = QSplitter(self)
        whole.addWidget(column)
        whole.addWidget(self.view)
        whole.setStretchFactor(1, 1)
        whole.setSizes([COLUMN_PX, 600])
        whole.setChildrenCollapsible(False)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(8, 8, 8, 8)
        outer.addWidget(whole)

    def _fill(self) -> None:
        """Put the choices in: the printers with a correction, and the system's own."""
        names = set(printer_names())
        try:
            names |= set(load_settings().printers)
        except CopewrightError as error:
            self.state.setText(f"{error}.")
        choice = self.session.paper
        if choice.printer:
            names.add(choice.printer)
        self.printer.addItems([NO_PRINTER, *sorted(names)])
        self.printer.setCurrentText(choice.printer or NO_PRINTER)
        self.sheet.setCurrentIndex(max(self.sheet.findData(choice.sheet), 0))

    def set_inches(self, inches: bool) -> None:
        """Show lengths in inches or mm."""
        for field in (self.thickness, self.across, self.along):
            field.set_inches(inches)
        self.view.set_inches(inches)

    def printer_name(self) -> str:
        """The printer that is chosen; empty for none.

        Raises:
            CopewrightError: for a name that is none.
        """
        text = self.printer.currentText().strip()
        return "" if text in ("", NO_PRINTER) else parse_name(text, "the printer")

    def _chosen(self) -> None:
        try:
            choice = replace(
                self.session.paper,
                sheet=self.sheet.currentData(),
                printer=self.printer_name(),
                thickness=self.thickness.value,
                own=self.printer_name() not in ("", *printer_names()),
            )
        except CopewrightError as error:
            self.state.setText(f"{error}.")
            return
        self.state.setText("")
        self.session.change(paper=choice)
        self._show()

    def correction(self) -> Correction:
        """That of the printer chosen, for the sheet chosen.

        Raises:
            CopewrightError: when the settings cannot be read.
        """
        choice = self.session.paper
        return load_correction(choice.printer, choice.sheet)

    def _show(self) -> None:
        """The test sheet and what is kept, for what is chosen."""
        choice = self.session.paper
        measurable = choice.sheet != "roll"
        for part in (self.save, self.print, self.across, self.along, self.keep):
            part.setEnabled(measurable)
        self.forget.setEnabled(measurable and bool(choice.printer))
        if not measurable:
            self.kept.setText("A roll has no test sheet; measure both 100 mm bars of each print.")
            self.view.set_drawing(Drawing())
            return
        try:
            now = self.correction()
        except CopewrightError as error:
            self.state.setText(f"{error}.")
            now = NO_CORRECTION
        self.view.set_drawing(self.test_sheets(now)[0].drawing)
        shown = (choice.sheet, now.x, now.y)
        if shown == self._shown:
            return
        # What was measured is of another sheet, or has been kept.
        self._shown = shown
        across, along = bar_lengths(paper(choice.sheet))
        for field, length in ((self.across, across), (self.along, along)):
            field.set_value(length)
            field.setToolTip(f"it should be {field.words}")
        if not now.printer or not now.measured:
            self.kept.setText("No correction is kept for this printer and sheet.")
        else:
            self.kept.setText(f"Kept for this printer and sheet: {now.words}.")

    def test_sheets(self, correction: Correction) -> list[Sheet]:
        """The test sheet as it is printed."""
        content = printer_sheet(paper(self.session.paper.sheet), correction)
        return corrected(number_sheets([content], correction), correction)

    def _keep_measured(self) -> None:
        choice = self.session.paper
        try:
            if not choice.printer:
                self.state.setText("First choose the printer, or type what you call it.")
                return
            if not (self.across.good and self.along.good):
                self.state.setText("First mend what the bars measure.")
                return
            bars = (self.across.value, self.along.value)
            measured = measure_printer(choice.printer, paper(choice.sheet), bars)
        except CopewrightError as error:
            self.state.setText(f"{error}.")
            return
        then = doubt(measured) or "print the test sheet again to prove it"
        self._refresh(f"Kept: {measured.words}; {then}.")

    def _forget(self) -> None:
        choice = self.session.paper
        try:
            keep_correction(Correction(1.0, 1.0, choice.printer), choice.sheet)
        except CopewrightError as error:
            self.state.setText(f"{error}.")
            return
        self._refresh(f"{choice.printer} prints this sheet without correction now.")

    def _refresh(self, words: str) -> None:
        self._show()
        self.session.paper_changed.emit()
        self.state.setText(words)

    def _save_asked(self) -> None:
        folder = QFileDialog.getExistingDirectory(
            self, "Folder for the test sheet", self.session.state.folder
        )
        if folder:
            self.session.change(folder=folder)
            self.save_to(Path(folder))

    def save_to(self, folder: Path) -> None:
        """Write the test sheet, the same as the command's."""
        from templates_out.pdf import pdf_bytes

        try:
            sheets = self.test_sheets(self.correction())
            data = pdf_bytes(sheets, "Printer test sheet", "print at 100 %")
            write_files(folder, {"test-sheet.pdf": data})
        except CopewrightError as error:
            self.state.setText(f"{error}.")
            return
        self.state.setText(f"Saved test-sheet.pdf in {folder}.")

    def _print_asked(self) -> None:
        from app.window.printing import ask_printer, correction_for, send

        choices = self.session.paper
        asked = ask_printer(self, choices, "Printer test sheet")
        if asked is None:
            return
        printer, order = asked
        try:
            sheets = self.test_sheets(correction_for(choices, order))
        except CopewrightError as error:
            self.state.setText(f"{error}.")
            return
        if order.printer and not choices.own and order.printer != choices.printer:
            # What is measured on it is that printer's.
            self.printer.setEditText(order.printer)
            self._chosen()
        self.writing.ask(lambda: send(order, sheets, "Printer test sheet", printer))

    def _say_failure(self, error: Exception) -> None:
        if isinstance(error, CopewrightError):
            self.state.setText(f"{error}.")
        else:
            logging.getLogger(__name__).error("page Paper", exc_info=error)
            self.state.setText("Something went wrong inside the program; it is in the log.")

    def close_down(self) -> None:
        """Let running work end."""
        self.writing.wait()
