"""The papers of a bent tube: its drawing, the sheet for who bends it, the wraps to mark the bar with."""

from __future__ import annotations

from geometry.bend_plan import BendResult
from geometry.frame import Units
from geometry.lengths import UNIT_WORDS, with_inches
from templates_out.bend_drawing import drawing_contents
from templates_out.bend_words import bend_tables, fact_lines, headline
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.flow import Flow
from templates_out.marking_wrap import marking_parts
from templates_out.paper import Paper
from templates_out.parts import sheet_parts
from templates_out.printer import corrected, room_for
from templates_out.sheet import Content, Sheet, number_sheets
from templates_out.title_block import Issue
from templates_out.wrap import DEFAULT_PAPER_MM


def bend_sheets(
    result: BendResult,
    paper: Paper,
    correction: Correction = NO_CORRECTION,
    issue: Issue | None = None,
) -> list[Sheet]:
    """All papers of a bent tube."""
    contents = bend_contents(result, room_for(paper, correction), issue=issue)
    return corrected(number_sheets(contents, correction), correction)


def bend_contents(
    result: BendResult,
    paper: Paper,
    paper_mm: float = DEFAULT_PAPER_MM,
    issue: Issue | None = None,
    note: str = "",
) -> list[Content]:
    """The sheets of a bent tube before they are numbered.

    Args:
        result: the bent tube.
        paper: the sheet.
        paper_mm: thickness of the paper that the wraps are printed on.
        issue: which drawing it is.
        note: that is read before anything else on its bench sheet.
    """
    marks = marking_parts(result, paper_mm)
    return [
        *drawing_contents(result, paper, issue or Issue()),
        *_bench_contents(result, paper, note),
        *(sheet_parts(marks, paper) if marks else []),
    ]


def _bench_contents(result: BendResult, paper: Paper, note: str) -> list[Content]:
    """What to set, where to mark, in which order, and what to stop at."""
    flow, inches = Flow(paper.window), result.job.inches
    unit: Units = "in" if inches else "mm"
    if note:
        flow.words((note,))
    if result.rows:
        # Who reads inches has the mm on the drawing.
        headings = (f"Bend table, {unit}", f"Marks along the bar, {unit}")
        for heading, words in zip(headings, bend_tables(result, inches=inches), strict=True):
            flow.heading(heading)
            flow.table(words)
    found = [one.in_inches() if inches else one for one in result.findings]
    flow.words(f"{f.level.capitalize()}, {f.where}: {f.what} {f.do}" for f in found)
    flow.words(with_inches(line, wanted=inches) for line in fact_lines(result))
    facts = (
        headline(result),
        f"for who bends it; lengths in {UNIT_WORDS[unit]}, along the centreline",
    )
    title = f"Bend sheet: {result.job.name}"
    return [Content(paper, page, title, facts) for page in flow.pages]
