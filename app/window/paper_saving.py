"""What the page Paper writes: a PDF, DXF files, the book; each as work that tells how far it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from app.document.settings import PaperChoices, load_correction
from app.jobs.book import write_book
from app.jobs.writing import write_files
from app.window.paper_jobs import PDF_SUBJECTS, Made
from app.window.session import Papers
from app.window.words import counted, tr
from geometry.frame import Frame
from templates_out.book import dxf_files, laid_tubes
from templates_out.frame_result import solve_frame
from templates_out.full_size import full_size_papers
from templates_out.paper import paper
from templates_out.progress import Progress
from templates_out.sheet import Sheet

AT_FULL_SCALE = "print at 100 %"
"""What a page's own PDF says it is about."""

Saving = Callable[[Progress], str]
"""Writes, and gives what to say then."""


def pdf_saving(made: Made, sheets: Sequence[Sheet], path: Path) -> Saving:
    """Writes some of the sheets that were made as a PDF."""

    def save(progress: Progress) -> str:
        from templates_out.pdf import pdf_bytes

        subject = PDF_SUBJECTS.get(made.subject, AT_FULL_SCALE)
        write_files(path.parent, {path.name: pdf_bytes(sheets, made.title, subject, progress)})
        words = tr("Saved {file}: print it at 100 %, and measure both bars.")
        return words.format(file=path)

    return save


def dxf_saving(
    made: Made, chosen: list[tuple[str, str]] | None, papers: Papers | None, folder: Path
) -> Saving:
    """Writes DXF files.

    Args:
        made: of a frame, or of a page.
        chosen: tubes and ends of the frame; None for all.
        papers: of the page.
        folder: where to.
    """

    def save(progress: Progress) -> str:
        if made.result is not None:
            files = dxf_files(made.result, chosen, progress)
        else:
            assert papers is not None  # noqa: S101 - only these two have DXF
            every = papers.files(made.sheets)
            files = {name: data for name, data in every.items() if name.endswith(".dxf")}
        write_files(folder, files)
        count = counted(len(files), tr("{n} DXF file"), tr("{n} DXF files"))
        return tr("Saved {files} in {folder}.").format(files=count, folder=folder)

    return save


def book_saving(frame: Frame, choice: PaperChoices, folder: Path, *, full_size: bool) -> Saving:
    """Writes the whole book, the same as the command's."""
    sheet = paper(choice.sheet)

    def save(progress: Progress) -> str:
        progress(0, 0, tr("the frame is cut …"))
        correction = load_correction(choice.printer, choice.sheet)
        result = solve_frame(frame)
        progress(0, 0, tr("the sheets are laid out …"))
        laid = full_size_papers(laid_tubes(result), sheet, correction) if full_size else None
        printed = (sheet, choice.thickness, correction)
        told = write_book(result, folder, printed, progress, laid)
        left_out = [line for line in told.lines if line.startswith("not solved")]
        return ". ".join([tr("Saved the book in {folder}").format(folder=folder), *left_out])

    return save
