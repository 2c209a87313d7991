"""The command ``test-sheet``: measure a printer, keep its correction, prove it."""

from __future__ import annotations

from argparse import Namespace

from app.document.settings import FILE, load_correction, measure_printer, settings_folder
from app.jobs.writing import out_folder, told, write_files
from geometry.errors import BadText
from geometry.names import parse_name
from geometry.units import parse_length
from templates_out.correction import NO_CORRECTION
from templates_out.paper import Paper, paper
from templates_out.pdf import pdf_bytes
from templates_out.printer import corrected, doubt, printer_sheet, proved
from templates_out.sheet import number_sheets


def run(asked: Namespace) -> list[str]:
    """Write a test sheet; with measured lengths, first keep what they say of the printer."""
    sheet = paper(asked.paper)
    if sheet.name == "roll":
        text = "--paper roll has no test sheet; allowed are dual, A4, Letter, A3 and Tabloid"
        raise BadText(text)
    printer = parse_name(asked.printer, "--printer") if asked.printer is not None else ""
    now = load_correction(printer, sheet.name) if printer else NO_CORRECTION
    lines = []
    if asked.measured is not None:
        if not printer:
            text = "--measured needs --printer, the name that the correction is kept under"
            raise BadText(text)
        now = measure_printer(printer, sheet, _two(asked.measured), uncorrected=asked.uncorrected)
        lines = [
            f"{printer}, {sheet.name}: X {now.x:.4f}, Y {now.y:.4f}, kept in {settings_folder() / FILE}",
            doubt(now) or _what_next(_two(asked.measured), sheet),
        ]
    elif asked.uncorrected:
        now = NO_CORRECTION
    content = printer_sheet(sheet, now)
    sheets = corrected(number_sheets([content], now), now)
    files = {"test-sheet.pdf": pdf_bytes(sheets, "Printer test sheet", "print at 100 %")}
    folder = out_folder(asked.out)
    write_files(folder, files)
    return [*told(folder, files, {"test-sheet.pdf": len(sheets)}, ()), *lines]


def _what_next(bars: tuple[float, float], sheet: Paper) -> str:
    if proved(*bars, sheet):
        return "both bars are right, so that is proved"
    return "print the test sheet again to prove it: both bars must now be right"


def _two(text: str) -> tuple[float, float]:
    words = text.split()
    if len(words) != 2:
        message = f'--measured {text!r} is not two lengths; write the level bar, then the upright one: "179.6 239.8"'
        raise BadText(message)
    across, along = (parse_length(word, "--measured") for word in words)
    return across, along
