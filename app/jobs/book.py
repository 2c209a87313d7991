"""The command ``book``: a frame's whole set of papers."""

from __future__ import annotations

import contextlib
import json
import sys
from argparse import Namespace
from collections.abc import Mapping
from pathlib import Path

from app.document.frame_file import open_frame
from app.jobs.told import Told
from app.jobs.writing import kept_correction, out_folder, told, write_again, write_files
from geometry.units import parse_length
from templates_out.book import book_files, book_sheets, laid_tubes
from templates_out.correction import Correction
from templates_out.cover import NOTHING
from templates_out.frame_result import FrameResult, solve_frame
from templates_out.full_size import FULL_SIZE, ROLL, full_size_papers
from templates_out.numbers import FORMAT
from templates_out.paper import Paper, paper
from templates_out.progress import Progress, no_progress
from templates_out.sheet import Sheet, only


def run(asked: Namespace) -> Told:
    """Make a frame's papers; 1 when an end could not be solved, or there is nothing to make."""
    sheet = paper(asked.paper)
    thickness = parse_length(asked.paper_thickness, "--paper-thickness")
    progress = shown_progress()
    frame = open_frame(Path(asked.file))
    folder = out_folder(asked.out)
    correction = kept_correction(asked.printer, sheet.name)
    result = solve_frame(frame)
    full_size = full_size_papers(laid_tubes(result), sheet, correction) if asked.full_size else {}
    if asked.only is not None:
        kind = "full-size" if asked.full_size else "book"
        sheets = (
            full_size.get(FULL_SIZE, [])
            if asked.full_size
            else book_sheets(result, sheet, thickness, correction)
        )
        again = only(sheets, asked.only)
        return Told(write_again(asked.out, f"{kind}-again.pdf", again, f"Frame: {frame.name}"))
    laid = full_size if asked.full_size else None
    return write_book(
        result, folder, (sheet, thickness, correction), progress, laid, step=asked.step
    )


def write_book(
    result: FrameResult,
    folder: Path,
    printed: tuple[Paper, float, Correction],
    progress: Progress = no_progress,
    full_size: Mapping[str, list[Sheet]] | None = None,
    *,
    step: bool = False,
) -> Told:
    """Write all of a frame's papers; what an earlier book there has made and this one does not is taken away.

    Args:
        result: the frame.
        folder: where to, made if it is not there.
        printed: the sheet, the thickness of the paper that wraps are printed on, the printer's correction.
        progress: told before each file; what it raises stops the work with nothing written.
        full_size: the full-size sheets by the name of their file, where they are wanted.
        step: STEP files of the bent tubes too.

    Returns:
        What to tell; 1 when an end could not be solved, or there is nothing to make.
    """
    sheet, thickness, correction = printed
    sheets = book_sheets(result, sheet, thickness, correction)
    files = book_files(result, sheets, progress, full_size or {}, step=step)
    outdated = written_before(folder) - set(files)
    gone = write_files(folder, files, outdated, sync=False)
    lines = [
        f"{folder / 'book.pdf'} ({len(sheets)} pages)",
        *(f"{folder / name} ({len(some)} pages)" for name, some in (full_size or {}).items()),
        f"{folder / 'dxf'} ({sum(name.startswith('dxf/') for name in files)} files)",
        *[f"{folder / 'step'} ({sum(name.startswith('step/') for name in files)} files)"] * step,
        f"{folder / 'schedule.csv'}",
        f"{folder / 'numbers.json'}",
        *told(folder, (), {}, result.findings),
    ]
    if gone:
        for emptied in {path.parent for path in gone} - {folder}:
            with contextlib.suppress(OSError):
                emptied.rmdir()
        lines.append(
            f"{len(gone)} file{'s' * (len(gone) != 1)} of an earlier book that this one does not make "
            f"{'are' if len(gone) != 1 else 'is'} taken away"
        )
    if full_size is not None and not full_size:
        lines.append("there is no bent tube to lay on full-size sheets")
    if not result.fitted.parts and not result.unsolved:
        lines.append(NOTHING)
    for name in result.unsolved:
        lines.append(f"not solved, left out: {name}")
    return Told(lines, 1 if result.unsolved or not result.fitted.parts else 0)


_FOLDERS = (("dxf",), ("csv",), ("step",))


def written_before(folder: Path) -> set[str]:
    """The drawings and tables that an earlier book in a folder says it has written; none where it cannot be read."""
    try:
        before = json.loads((folder / "numbers.json").read_text("utf-8"))
        files = before["files"] if before["format"] == FORMAT else []
        return {
            name for name in files if Path(name).parts[:-1] in _FOLDERS or name in (FULL_SIZE, ROLL)
        }
    except (OSError, ValueError, KeyError, TypeError):
        return set()


def shown_progress() -> Progress:
    """A line on the terminal that says how far the work is; silent where nobody looks at one."""
    if not sys.stderr.isatty():
        return no_progress

    def show(done: int, whole: int, what: str) -> None:
        line = f"{done} of {whole}  {what}" if what else ""
        sys.stderr.write(f"\r\033[K{line}")
        sys.stderr.flush()

    return show
