"""What is printed on: the sheet, the printer with its correction, the paper's thickness; and measuring a printer."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document.settings import keep_correction, load_correction, load_settings, measure_printer
from app.window.number_field import NumberField
from app.window.page_frame import StillCombo, words_label
from app.window.printing import printer_names
from app.window.session import Session
from app.window.words import sentence, spoken, tr
from geometry.errors import CopewrightError
from geometry.names import parse_name
from geometry.said import said
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.paper import PAPERS, paper
from templates_out.printer import bar_lengths, doubt, proved

NO_PRINTER = tr("none: no correction")
SHEET_WORDS = {
    "dual": tr("dual: prints at 100 % on A4 and on Letter"),
    "roll": tr("roll: 610 mm wide, as long as needed"),
}
_MEASURE = tr(
    "No printer is quite true. Print the test sheet at 100 %, measure its two long bars, and type what they are; then print "
    "it again to prove it."
)


class PrinterForm(QWidget):
    """What every page prints on; and the bars of the test sheet, while a printer is measured.

    Signals:
        said: words for the person.
        test_wanted: the test sheet is wanted.
    """

    said = Signal(str)
    test_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.sheet = StillCombo(self)
        for name in PAPERS:
            self.sheet.addItem(SHEET_WORDS.get(name, name), name)
        self.sheet.setAccessibleName(tr("sheet"))
        self.printer = StillCombo(self)
        self.printer.setEditable(True)
        self.printer.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.printer.setAccessibleName(tr("printer"))
        self.printer.setToolTip(
            tr("Whose correction the sheets get: choose, or type what you call it")
        )
        self.thickness = NumberField(
            tr("paper thickness"), session.paper.thickness, 0, 1,
            tip=tr("the wrap is made longer by it, as it lies outside the tube; copy paper is 0.1 mm"),
        )  # fmt: skip
        self.across = NumberField(tr("level bar"), 0.0, 0, 1000, above=True)
        self.along = NumberField(tr("upright bar"), 0.0, 0, 1000, above=True)
        self._shown: tuple[str, float, float] | None = None
        self.kept = words_label(self)
        self.test = QPushButton(tr("Measure this printer …"), self)
        self.keep = QPushButton(tr("Keep as this printer's correction"), self)
        self.forget = QPushButton(tr("Without correction"), self)
        self.forget.setToolTip(tr("Set this printer's correction for this sheet back to none"))
        self.measuring = QWidget(self)
        self._lay_out()
        self._fill()
        self.sheet.currentIndexChanged.connect(self._chosen)
        self.printer.currentIndexChanged.connect(self._chosen)
        edit = self.printer.lineEdit()
        assert edit is not None  # noqa: S101 - it is editable
        edit.editingFinished.connect(self._chosen)
        self.thickness.value_changed.connect(self._chosen)
        self.test.clicked.connect(self.test_wanted)
        self.keep.clicked.connect(self._keep_measured)
        self.forget.clicked.connect(self._forget)
        session.inches_changed.connect(self.set_inches)
        self.set_inches(session.inches)
        self.measure(on=False)
        self.show_kept()

    def _lay_out(self) -> None:
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        choose = QFormLayout()
        choose.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        choose.addRow(tr("sheet"), self.sheet)
        choose.addRow(tr("printer, for its correction"), self.printer)
        rows.addLayout(choose)
        rows.addWidget(self.thickness)
        rows.addWidget(self.kept)
        rows.addWidget(self.test)
        bars = QVBoxLayout(self.measuring)
        bars.setContentsMargins(0, 0, 0, 0)
        bars.addWidget(words_label(self, _MEASURE))
        bars.addWidget(QLabel(tr("what the printed test sheet measures:"), self))
        for widget in (self.across, self.along, self.keep, self.forget):
            bars.addWidget(widget)
        rows.addWidget(self.measuring)

    def measure(self, *, on: bool) -> None:
        """Show the bars' fields, or the button that leads to them."""
        self.measuring.setVisible(on)
        self.test.setVisible(not on)

    def _fill(self) -> None:
        """Put the choices in: the printers with a correction, and the system's own."""
        names = set(printer_names())
        try:
            names |= set(load_settings().printers)
        except CopewrightError as error:
            self.said.emit(sentence(error))
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

    def printer_name(self) -> str:
        """The printer that is chosen; empty for none.

        Raises:
            CopewrightError: for a name that is none.
        """
        text = self.printer.currentText().strip()
        return "" if text in ("", NO_PRINTER) else parse_name(text, said("the printer"))

    def name_printer(self, name: str) -> None:
        """Choose a printer by its name."""
        self.printer.setEditText(name)
        self._chosen()

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
            self.said.emit(sentence(error))
            return
        self.said.emit("")
        self.session.change(paper=choice)
        self.show_kept()

    def correction(self) -> Correction:
        """That of the printer chosen, for the sheet chosen.

        Raises:
            CopewrightError: when the settings cannot be read.
        """
        choice = self.session.paper
        return load_correction(choice.printer, choice.sheet)

    def show_kept(self) -> None:
        """What is kept of the printer, for what is chosen."""
        choice = self.session.paper
        measurable = choice.sheet != "roll"
        for part in (self.test, self.across, self.along, self.keep):
            part.setEnabled(measurable)
        self.forget.setEnabled(measurable and bool(choice.printer))
        if not measurable:
            self.kept.setText(
                tr("A roll has no test sheet; measure both 100 mm bars of each print.")
            )
            return
        try:
            now = self.correction()
        except CopewrightError as error:
            self.said.emit(sentence(error))
            now = NO_CORRECTION
        shown = (choice.sheet, now.x, now.y)
        # Bars may be typed before their printer is named.
        if shown != self._shown:
            # What was measured is of another sheet, or has been kept.
            across, along = bar_lengths(paper(choice.sheet))
            for field, length in ((self.across, across), (self.along, along)):
                field.set_value(length)
                field.setToolTip(tr("it should be {length}").format(length=field.words))
        self._shown = shown
        if not now.printer or not now.measured:
            self.kept.setText(tr("No correction is kept for this printer and sheet."))
        else:
            words = tr("Kept for this printer and sheet: {correction}.")
            self.kept.setText(words.format(correction=spoken(now.words)))

    def _keep_measured(self) -> None:
        choice = self.session.paper
        try:
            if not choice.printer:
                self.said.emit(tr("First choose the printer, or type what you call it."))
                return
            if not (self.across.good and self.along.good):
                self.said.emit(tr("First mend what the bars measure."))
                return
            bars = (self.across.value, self.along.value)
            measured = measure_printer(choice.printer, paper(choice.sheet), bars)
        except CopewrightError as error:
            self.said.emit(sentence(error))
            return
        if self.printer.findText(choice.printer) < 0:
            self.printer.addItem(choice.printer)
        doubted = doubt(measured)
        # What the fields begin with is what the bars should measure: nobody has measured that.
        typed = self.across.typed and self.along.typed
        if doubted:
            words = tr("Kept: {correction}; {doubt}.")
        elif typed and proved(*bars, paper(choice.sheet)):
            words = tr("Kept: {correction}; both bars are right, so that is proved.")
        else:
            words = tr("Kept: {correction}; print the test sheet again to prove it.")
        self._refresh(words.format(correction=spoken(measured.words), doubt=spoken(doubted)))

    def _forget(self) -> None:
        choice = self.session.paper
        try:
            keep_correction(Correction(1.0, 1.0, choice.printer), choice.sheet)
        except CopewrightError as error:
            self.said.emit(sentence(error))
            return
        words = tr("{printer} prints this sheet without correction now.")
        self._refresh(words.format(printer=choice.printer))

    def _refresh(self, words: str) -> None:
        # What was measured is used up.
        self._shown = None
        self.show_kept()
        self.session.paper_changed.emit()
        self.said.emit(words)
