"""Printing at true size: the PDF through the system's ``lp`` where there is one, else Qt's printer."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QColor, QPageLayout, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrintDialog, QPrinter, QPrinterInfo
from PySide6.QtWidgets import QDialog, QWidget

from app.document.settings import PaperChoices, load_correction
from app.jobs.writing import write_files
from app.window.painter_canvas import PainterCanvas
from app.window.words import counted, tr
from geometry.errors import CopewrightError
from geometry.lengths import format_mm
from templates_out.canvas import draw
from templates_out.correction import Correction
from templates_out.paper import Paper, paper
from templates_out.progress import Progress, no_progress
from templates_out.sheet import Sheet

_SLACK_MM = 0.5
"""Paper sizes are whole points in some drivers; 1 pt is 0.35 mm."""
_LP_SECONDS = 30
_MOST_PAGES = 1000


class CannotPrint(CopewrightError):
    """What the printer or the print dialog will not do."""


@dataclass(frozen=True)
class Order:
    """What the print dialog was told.

    Attributes:
        printer: its name in the system; empty for a file.
        paper: name of the paper, such as "A4".
        width: of the paper, mm.
        height: of the paper, mm.
        copies: how many of each sheet.
        pages: which pages, from 1; None for all.
        file: where to print to instead.
    """

    printer: str
    paper: str
    width: float
    height: float
    copies: int = 1
    pages: frozenset[int] | None = None
    file: str = ""


def printer_names() -> list[str]:
    """The printers that the system knows."""
    return list(QPrinterInfo.availablePrinterNames())


def ask_printer(
    parent: QWidget, choices: PaperChoices, title: str
) -> tuple[QPrinter, Order] | None:
    """Ask where to print to; None where the person changed their mind.

    Args:
        parent: asks.
        choices: what is printed on.
        title: of the job, in the person's language.
    """
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    # It is proposed as a file's name where it is printed into one.
    printer.setDocName(title.replace(":", ""))
    if choices.printer in printer_names():
        printer.setPrinterName(choices.printer)
    set_paper(printer, paper(choices.sheet))
    dialog = QPrintDialog(printer, parent)
    dialog.setWindowTitle(tr("Print {title}").format(title=title))
    if dialog.exec() != QDialog.DialogCode.Accepted:
        return None
    return printer, order_of(printer)


def correction_for(choices: PaperChoices, order: Order) -> Correction:
    """The correction of the printer that the sheets go to.

    It belongs to one printer: the one in the dialog, unless the name is the person's own or the sheets go
    to a file.
    """
    chosen = choices.own or order.file or not order.printer
    return load_correction(choices.printer if chosen else order.printer, choices.sheet)


def set_paper(printer: QPrinter, sheet: Paper) -> None:
    """The sheet's own size; for the one that fits A4 and Letter, whichever the printer has."""
    sizes = {
        "A4": QPageSize.PageSizeId.A4,
        "Letter": QPageSize.PageSizeId.Letter,
        "A3": QPageSize.PageSizeId.A3,
        "Tabloid": QPageSize.PageSizeId.Tabloid,
    }
    if sheet.name in sizes:
        printer.setPageSize(QPageSize(sizes[sheet.name]))
    elif sheet.name == "dual":
        default = QPageSize.PageSizeId.A4
        usual = QPrinterInfo(printer).defaultPageSize()
        if usual.isValid() and usual.id() == QPageSize.PageSizeId.Letter:
            default = QPageSize.PageSizeId.Letter
        printer.setPageSize(QPageSize(default))
    else:
        printer.setPageSize(own_size(sheet))


def own_size(sheet: Paper) -> QPageSize:
    """A size that has no name, such as a length of a roll."""
    return QPageSize(QSizeF(sheet.width, sheet.height), QPageSize.Unit.Millimeter)


def order_of(printer: QPrinter) -> Order:
    """What the dialog left the printer with."""
    layout = printer.pageLayout()
    size = layout.fullRect(QPageLayout.Unit.Millimeter).size()
    to_file = printer.outputFormat() == QPrinter.OutputFormat.PdfFormat
    pages = None
    if printer.printRange() == QPrinter.PrintRange.PageRange:
        ranges = printer.pageRanges()
        pages = frozenset(n for n in range(1, _MOST_PAGES) if ranges.contains(n))
    return Order(
        "" if to_file else printer.printerName(),
        QPageSize.key(layout.pageSize().id()) if layout.pageSize().isValid() else "",
        size.width(),
        size.height(),
        max(printer.copyCount(), 1),
        pages,
        printer.outputFileName() if to_file else "",
    )


def check_paper(order: Order, sheets: list[Sheet]) -> None:
    """The paper chosen in the dialog must hold the sheets whole and upright.

    Raises:
        CannotPrint: naming both sizes and what to do.
    """
    for sheet in sheets:
        size = sheet.paper
        if size.width > order.width + _SLACK_MM or size.height > order.height + _SLACK_MM:
            text = (
                tr(
                    "the print dialog has {paper} lying on its side, {width} x {height} mm, and the sheets need "
                    "{needed}, upright; choose that there, or another sheet on the page Paper; nothing was printed"
                )
                if order.width > order.height
                else tr(
                    "the print dialog has {paper}, {width} x {height} mm, and the sheets need {needed}, upright; "
                    "choose that there, or another sheet on the page Paper; nothing was printed"
                )
            )
            raise CannotPrint(
                text.format(
                    paper=order.paper or tr("paper"),
                    width=format_mm(order.width, 0),
                    height=format_mm(order.height, 0),
                    needed=tr("A4 or Letter") if size.name == "dual" else size.name,
                )
            )


def send(
    order: Order,
    sheets: list[Sheet],
    title: str,
    printer: QPrinter | None = None,
    progress: Progress = no_progress,
) -> str:
    """Print the sheets, never scaled; returns what to tell the person.

    Args:
        order: what the print dialog was told.
        sheets: all there are, of which the order may want some.
        title: of the job.
        printer: Qt's, where the system has no ``lp``.
        progress: told before each sheet; what it raises stops the printing.

    Raises:
        CannotPrint: when the paper does not hold them, or the system refuses.
    """
    from templates_out.pdf import pdf_bytes

    if order.pages is not None:
        whole = len(sheets)
        sheets = [sheet for number, sheet in enumerate(sheets, 1) if number in order.pages]
        if not sheets:
            text = tr(
                "there are pages 1 to {n} and none of them was asked for; nothing was printed"
            )
            raise CannotPrint(text.format(n=whole))
    if order.file:
        path = Path(order.file)
        write_files(path.parent, {path.name: pdf_bytes(sheets, title, title, progress)})
        return tr("Written to {file}: print it at 100 %, actual size.").format(file=path)
    if sheets[0].paper.name == "roll":
        # A roll is cut to length: as long as its longest sheet.
        longest = max(sheet.paper.height for sheet in sheets)
        size = replace(sheets[0].paper, height=longest)
        order = replace(order, paper="", width=size.width, height=size.height)
        if printer is not None:
            printer.setPageSize(own_size(size))
    check_paper(order, sheets)
    lp = shutil.which("lp")
    if lp and order.printer:
        _through_lp(lp, order, pdf_bytes(sheets, title, title, progress), title)
    elif printer is not None:
        paint(printer, sheets, progress)
    else:
        raise CannotPrint(tr("there is no printer; save the PDF and print it elsewhere at 100 %"))
    words = (
        tr("Sent {sheets} to {printer}, not scaled. Measure both bars before you cut.")
        if order.printer
        else tr("Sent {sheets}, not scaled. Measure both bars before you cut.")
    )
    count = counted(len(sheets), tr("{n} sheet"), tr("{n} sheets"))
    return words.format(sheets=count, printer=order.printer)


def _through_lp(lp: str, order: Order, pdf: bytes, title: str) -> None:
    """CUPS scales a page that is not the paper's size unless it is told not to."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(pdf)
        file.flush()
        words = [lp, "-d", order.printer, "-n", str(order.copies), "-t", title]
        options = ["print-scaling=none", "sides=one-sided"]
        named = order.paper and not order.paper.startswith("Custom")
        media = order.paper if named else f"Custom.{order.width:.0f}x{order.height:.0f}mm"
        options.append(f"media={media}")
        for option in options:
            words += ["-o", option]
        try:
            done = subprocess.run(  # noqa: S603 - the words are ours, the name is the system's
                [*words, "--", file.name],
                capture_output=True,
                text=True,
                timeout=_LP_SECONDS,
                check=False,
            )
        except (OSError, subprocess.TimeoutExpired) as error:
            text = tr(
                "the system's printing does not answer ({reason}); save the PDF and print it at 100 %"
            )
            raise CannotPrint(text.format(reason=error)) from error
    if done.returncode:
        said = " ".join((done.stderr or done.stdout).split())
        reason = said or tr("error {n}").format(n=done.returncode)
        text = tr("the system's printing refused ({reason}); save the PDF and print it at 100 %")
        raise CannotPrint(text.format(reason=reason))


def paint(printer: QPrinter, sheets: list[Sheet], progress: Progress = no_progress) -> None:
    """Draw the sheets' own strokes on Qt's printer, each in the middle of its page, 1:1.

    The scale is the printer's resolution, not the page's rectangle: that is rounded.

    Raises:
        CannotPrint: when the printer does not start.
    """
    printer.setDuplex(QPrinter.DuplexMode.DuplexNone)
    printer.setFullPage(True)
    printer.setPageMargins(QMarginsF(0, 0, 0, 0), QPageLayout.Unit.Millimeter)
    painter = QPainter()
    if not painter.begin(printer):
        raise CannotPrint(tr("the printer does not start; save the PDF and print it at 100 %"))
    finished = False
    try:
        page = printer.pageLayout().fullRect(QPageLayout.Unit.Millimeter)
        for number, sheet in enumerate(sheets):
            progress(number, len(sheets), sheet.title)
            if number:
                printer.newPage()
            painter.resetTransform()
            painter.scale(printer.logicalDpiX() / 25.4, printer.logicalDpiY() / 25.4)
            size = sheet.paper
            painter.translate((page.width() - size.width) / 2, (page.height() + size.height) / 2)
            painter.scale(1.0, -1.0)
            draw(sheet.drawing, PainterCanvas(painter, QColor("black")))
        finished = True
    finally:
        if not finished:
            # What the system has not sent on yet is not printed.
            printer.abort()
        painter.end()
