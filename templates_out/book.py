"""Everything the shop needs of one frame, in one go: the book, the DXF files, the schedule, the numbers."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import TypeAlias

from geometry.bend_plan import BendResult
from geometry.frame import END_NAMES
from templates_out.bend_csv import bend_csv_files
from templates_out.bend_drawing import bend_files
from templates_out.bend_sheet import bend_contents
from templates_out.check_sheet import check_contents
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.cover import (
    cover_contents,
    finding_contents,
    landing_contents,
    schedule_contents,
)
from templates_out.drawing import Drawing
from templates_out.dxf import dxf_bytes
from templates_out.file_names import FileNames
from templates_out.frame_numbers import frame_numbers
from templates_out.frame_result import FrameResult
from templates_out.frame_words import came_back_note
from templates_out.frame_wraps import end_file, end_parts, landing_part, wrapped_ends
from templates_out.full_size import SUBJECT, full_size_files
from templates_out.paper import Paper
from templates_out.parts import sheet_parts
from templates_out.pdf import pdf_bytes
from templates_out.printer import corrected, room_for
from templates_out.progress import Progress, no_progress
from templates_out.schedule import schedule_csv
from templates_out.sheet import Content, Sheet, number_sheets
from templates_out.step import step_files
from templates_out.wrap import DEFAULT_PAPER_MM

Chosen: TypeAlias = Collection[tuple[str, str]]
"""What is wanted: a part's name with "start", "finish" (that end's wrap and mark) or "bend"; FRONT for the rest."""
FRONT = ("", "front")
BOOK_SUBJECT = "Wraps and marks at true size: print at 100 %"


def choices(result: FrameResult) -> list[tuple[str, str]]:
    """All that a frame's book can hold, in its order."""
    found = [FRONT]
    ends = {(one.part.name, cut.at.name) for one, cut in wrapped_ends(result.fitted.parts)}
    for one in result.fitted.parts:
        name = one.part.name
        found += [(name, end) for end in END_NAMES if (name, end) in ends]
        if name in result.bends:
            found.append((name, "bend"))
    return found


def book_sheets(
    result: FrameResult,
    paper: Paper,
    paper_mm: float = DEFAULT_PAPER_MM,
    correction: Correction = NO_CORRECTION,
    chosen: Chosen | None = None,
) -> list[Sheet]:
    """The book's sheets: cover, findings, schedule, check dimensions, wraps, landing marks, bend sheets.

    Args:
        result: the frame.
        paper: the sheet.
        paper_mm: thickness of the paper that the wraps are printed on.
        correction: of the printer.
        chosen: what is wanted of it; None for all.
    """

    def wanted(part: str, what: str) -> bool:
        return chosen is None or (part, what) in chosen

    front = wanted(*FRONT)
    paper = room_for(paper, correction)
    fitted = result.fitted
    wraps = end_parts(result, paper_mm, wanted)
    marks = [
        landing_part(one, mark, paper_mm, result.units)
        for one in fitted.parts
        for mark in result.marks_on(one.part.name)
        if mark.flat and wanted(mark.end.part.name, mark.end.name)
    ]
    chapters: list[tuple[str, list[Content]]] = [
        ("findings", finding_contents(result, paper) if front else []),
        ("schedule", schedule_contents(result, paper) if front and fitted.parts else []),
        ("check dimensions", check_contents(result, paper) if front and fitted.parts else []),
        ("wraps", sheet_parts(wraps, paper) if wraps else []),
        (
            "landing marks",
            [
                *(landing_contents(result, paper) if front else ()),
                *(sheet_parts(marks, paper) if marks else []),
            ],
        ),
        (
            "bend sheets",
            [
                content
                for name, bend in result.bends.items()
                if wanted(name, "bend")
                for content in bend_contents(
                    bend, paper, paper_mm, result.issue(name), came_back_note(result, name)
                )
            ],
        ),
    ]
    counts = [(name, len(contents)) for name, contents in chapters]
    cover = cover_contents(result, paper, counts) if front else []
    contents = [*cover, *(content for _, some in chapters for content in some)]
    return corrected(number_sheets(contents, correction), correction)


def book_files(
    result: FrameResult,
    sheets: list[Sheet],
    progress: Progress = no_progress,
    full_size: Mapping[str, list[Sheet]] | None = None,
    *,
    step: bool = False,
) -> dict[str, bytes]:
    """Every file of a frame, by its name.

    Args:
        result: the frame.
        sheets: the book's.
        progress: told before each file.
        full_size: the full-size sheets by the name of their file, where they are wanted.
        step: STEP files of the bent tubes too.
    """
    jobs = list(_drawings(result, full_size or {}, step=step))
    whole = len(jobs) + 2
    files: dict[str, bytes] = {}
    progress(0, whole, "book.pdf")
    files["book.pdf"] = pdf_bytes(sheets, f"Frame: {result.name}", BOOK_SUBJECT)
    for number, (name, make) in enumerate(jobs, 1):
        progress(number, whole, name)
        made = make()
        assert not made.keys() & files.keys()  # noqa: S101 - no drawing may take another's place
        files |= made
    files["schedule.csv"] = schedule_csv(result)
    progress(whole - 1, whole, "numbers.json")
    files["numbers.json"] = frame_numbers(result, [*files, "numbers.json"])
    progress(whole, whole, "")
    return files


def dxf_files(
    result: FrameResult, chosen: Chosen | None = None, progress: Progress = no_progress
) -> dict[str, bytes]:
    """The DXF files of a frame, or of what is chosen of it, by their names in the book's folder."""
    jobs = list(_drawings(result, {}, step=False, chosen=chosen))
    files: dict[str, bytes] = {}
    for number, (name, make) in enumerate(jobs):
        progress(number, len(jobs), name)
        files |= {file: data for file, data in make().items() if file.endswith(".dxf")}
    progress(len(jobs), len(jobs), "")
    return files


Made = Callable[[], dict[str, bytes]]


def _drawings(
    result: FrameResult,
    full_size: Mapping[str, list[Sheet]],
    *,
    step: bool,
    chosen: Chosen | None = None,
) -> Iterator[tuple[str, Made]]:
    """The files still to be made: a wrap for each end, the drawings and tables of each bent tube, what else is wanted."""
    names = FileNames()
    for one, cut in wrapped_ends(result.fitted.parts):
        stem = names.of(f"{one.part.name} {cut.at.name}")
        if chosen is not None and (one.part.name, cut.at.name) not in chosen:
            continue
        yield stem, partial(_drawn, stem, partial(end_file, one, cut, result.units))
    for name, bend in result.bends.items():
        stem = names.of(f"{name} bend", "-profile")
        if chosen is not None and (name, "bend") not in chosen:
            continue
        yield stem, partial(bend_files, bend, f"dxf/{stem}", result.issue(name))
        yield stem, partial(bend_csv_files, bend, f"csv/{stem}")
    for name, some in full_size.items():
        yield name, partial(_printed, name, some, f"Full size: {result.name}")
    for bend in laid_tubes(result) if full_size else ():
        ways = (f"-full-size-{number}" for number in range(1, len(bend.rows) + 1))
        stem = names.of(bend.job.name, *ways)
        yield stem, partial(full_size_files, bend, f"dxf/{stem}")
    solids = FileNames()
    for name, bend in result.bends.items() if step else ():
        stem = solids.of(name, "-centreline")
        yield stem, partial(step_files, bend, f"step/{stem}")


def _drawn(stem: str, draw: Callable[[], Drawing]) -> dict[str, bytes]:
    return {f"dxf/{stem}.dxf": dxf_bytes(draw())}


def _printed(name: str, sheets: list[Sheet], title: str) -> dict[str, bytes]:
    return {name: pdf_bytes(sheets, title, SUBJECT)}


def laid_tubes(result: FrameResult) -> list[BendResult]:
    """The bent tubes that full-size sheets are for; flat ones that only turning over tells apart share one."""
    laid: list[BendResult] = []
    for name, bend in result.bends.items():
        issue = result.issue(name)
        tube = issue.without_hand(name)
        other = result.bends.get(f"{tube} {'right' if issue.hand == 'left' else 'left'}")
        if not issue.hand or other is None or not _lie_alike(bend, other):
            laid.append(bend)
        elif issue.hand == "left":
            laid.append(replace(bend, job=replace(bend.job, name=f"{tube} left and right")))
    return laid


def _lie_alike(one: BendResult, other: BendResult) -> bool:
    """Both are flat, and the same bar bent alike."""
    if one.job.path.plane is None or other.job.path.plane is None:
        return False
    figures = [
        (*(x for row in b.rows for x in (row.length, row.angle_deg, row.clr)), b.last_straight, *b.job.bar_ends)
        for b in (one, other)
    ]  # fmt: skip
    return all(abs(a - b) < 1e-6 for a, b in zip(*figures, strict=True))
