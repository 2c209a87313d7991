"""What there is to print, and how its sheets are made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from app.document.settings import PaperChoices
from app.window.session import Papers
from app.window.words import tr
from geometry.frame import Frame
from templates_out.book import BOOK_SUBJECT, book_sheets, laid_tubes
from templates_out.correction import Correction
from templates_out.file_names import FileNames
from templates_out.frame_result import FrameResult, solve_frame
from templates_out.full_size import SUBJECT as FULL_SIZE_SUBJECT
from templates_out.full_size import full_size_sheets, roll_pages
from templates_out.paper import paper
from templates_out.printer import corrected, printer_sheet
from templates_out.sheet import Sheet, number_sheets

BOOK, FULL_SIZE, TEST = "book", "full-size", "test"
JOB_WORDS = {
    BOOK: tr("the frame's book"), FULL_SIZE: tr("full-size sheets of its bent tubes"), "Joint": tr("the joint"),
    "Bend": tr("the bent tube"), TEST: tr("the printer's test sheet"),
}  # fmt: skip
PDF_SUBJECTS = {BOOK: BOOK_SUBJECT, FULL_SIZE: FULL_SIZE_SUBJECT}
"""What the PDF says it is about; the same as the command's."""


@dataclass(frozen=True, eq=False)
class Made:
    """Sheets that are shown.

    Attributes:
        subject: what of, a key of ``JOB_WORDS``.
        title: in the PDF.
        said: the title in the person's language.
        stem: of its file.
        sheets: as they print.
        result: the frame, where they are of one.
    """

    subject: str
    title: str
    said: str
    stem: str
    sheets: list[Sheet]
    result: FrameResult | None = None


def jobs_of(frame: Frame, papers: Mapping[str, Papers]) -> list[str]:
    """The jobs that there are: of a frame, of pages with papers of their own, and the test sheet."""
    there = [BOOK] * bool(frame.tubes) + [FULL_SIZE] * any(tube.radii for tube in frame.tubes)
    return [*there, *(key for key in ("Joint", "Bend") if key in papers), TEST]


def printer_test_job(sheet: str) -> Callable[[Correction], Made]:
    """Makes the printer's test sheet; a roll has none.

    Args:
        sheet: name of the paper.
    """
    title, said = "Printer test sheet", tr("Printer test sheet")

    def make(correction: Correction) -> Made:
        sheets = []
        if sheet != "roll":
            content = printer_sheet(paper(sheet), correction)
            sheets = corrected(number_sheets([content], correction), correction)
        return Made(TEST, title, said, "test-sheet", sheets)

    return make


def page_job(key: str, papers: Papers) -> Callable[[Correction], Made]:
    """Makes what a page has on paper."""
    return lambda correction: Made(
        key, papers.title, papers.said, key.lower(), papers.make(correction)
    )


def book_job(
    frame: Frame, choice: PaperChoices, chosen: list[tuple[str, str]] | None
) -> Callable[[Correction], Made]:
    """Makes a frame's book.

    Args:
        frame: as it is now.
        choice: what it is printed on.
        chosen: tubes and ends; None for all.
    """
    said = tr("Frame: {name}").format(name=frame.name)

    def make(correction: Correction) -> Made:
        result = solve_frame(frame)
        sheets = book_sheets(result, paper(choice.sheet), choice.thickness, correction, chosen)
        stem = f"{FileNames().of(frame.name)}-{_what(chosen)}"
        return Made(BOOK, f"Frame: {frame.name}", said, stem, sheets, result)

    return make


def _what(chosen: list[tuple[str, str]] | None) -> str:
    """What a file of them is called: all is the book."""
    if chosen is None:
        return BOOK
    parts = {part for part, _ in chosen}
    one = parts.pop() if len(parts) == 1 else ""
    return FileNames().of(one) if one else f"{BOOK}-some-sheets"


def full_size_job(frame: Frame, choice: PaperChoices) -> Callable[[Correction], Made]:
    """Makes the full-size sheets of a frame's bent tubes; on a roll each in one piece."""
    said = tr("Full size: {name}").format(name=frame.name)

    def make(correction: Correction) -> Made:
        result = solve_frame(frame)
        laid = laid_tubes(result)
        sheets = (
            roll_pages(laid, correction)
            if choice.sheet == "roll"
            else full_size_sheets(laid, paper(choice.sheet), correction)
        )
        title = f"Full size: {frame.name}"
        stem = f"{FileNames().of(frame.name)}-{FULL_SIZE}"
        return Made(FULL_SIZE, title, said, stem, sheets, result)

    return make
