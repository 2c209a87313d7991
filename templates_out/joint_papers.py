"""Everything on paper and in DXF for one joint on its own."""

from __future__ import annotations

import numpy as np

from geometry.errors import check_range
from geometry.landing import surface_angle
from geometry.lengths import MM_PER_INCH, bare, format_fixed, format_mm, mm, with_inches
from geometry.said import capital, said
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.drawing import NOTE_MM, SMALL_MM, Drawing, Item, Text
from templates_out.dxf import dxf_bytes
from templates_out.fonts import wrapped
from templates_out.joint_picture import end_view, side_view
from templates_out.joint_result import TARGET_NAME, JointResult
from templates_out.joint_words import (
    BY_HAND,
    LAST_STEP,
    STEPS,
    fact_lines,
    fit_words,
    joining,
    joint_facts,
    way_up,
    wrap_words,
)
from templates_out.landing_wrap import landing_facts, landing_for_file, landing_for_paper
from templates_out.paper import Paper
from templates_out.parts import Part, sheet_parts
from templates_out.printer import corrected, room_for
from templates_out.sheet import Content, Sheet, number_sheets
from templates_out.table import Table, table
from templates_out.tiling import Tile
from templates_out.wrap import DEFAULT_PAPER_MM, wrap_for_file, wrap_for_paper
from templates_out.wrap_line import joint_line

_LINE_MM = 4.0
_PICTURE_MM = 52.0


def joint_sheets(
    result: JointResult,
    paper: Paper,
    ordinate_step_deg: float = 15.0,
    paper_mm: float = DEFAULT_PAPER_MM,
    correction: Correction = NO_CORRECTION,
) -> list[Sheet]:
    """The joint's papers: the wrap, the landing's wrap, and the facts with the ordinate table."""
    paper = room_for(paper, correction)
    check_range(said("paper thickness"), paper_mm, 0.0, 1.0)
    joint, cut, words = result.joint, result.cut, wrap_words(result)
    inches = result.inches
    paper_said, target = (
        with_inches(one, wanted=inches)
        for one in (
            said("paper {thick} thick allowed for", thick=mm(paper_mm)),
            bare(joint.target_od, places=3),
        )
    )

    def wrap_facts(tile: Tile) -> tuple[str, ...]:
        return (
            f"{words.facts}; {paper_said}",
            fit_words(joint),
            f"{tile.place}; {way_up(tile)}; left edge on the {words.datum}",
        )

    def mark_facts(tile: Tile) -> tuple[str, ...]:
        turned = "; turned a quarter, read it from the right" if tile.turn_deg else ""
        return (
            f"mark on the {TARGET_NAME} {target}: "
            f"{with_inches(landing_facts(result.landed), wanted=inches)}{turned}{joining(tile)}",
            f"{tile.place}; fit: {joint.fit}; waste: none, it is to mark only; datum: the far side's line",
        )

    contents = sheet_parts(
        [
            Part(
                wrap_for_paper(joint_line(cut, result.landed.bevels), words, paper_mm),
                f"Wrap: {words.name}",
                wrap_facts,
            ),
            Part(
                landing_for_paper(
                    result.landed, result.landing_title, paper_mm, inches=result.inches
                ),
                capital(result.landing_title),
                mark_facts,
                group="mark",
            ),
        ],
        paper,
    )
    contents += _facts_contents(result, paper, ordinate_step_deg)
    return corrected(number_sheets(contents, correction), correction)


def joint_files(result: JointResult) -> dict[str, bytes]:
    """The joint's DXF files: the wrap and the landing."""
    name = f"{result.landing_title} {format_mm(result.joint.target_od, 3)}"
    return {
        "joint.dxf": dxf_bytes(wrap_for_file(joint_line(result.cut), wrap_words(result))),
        "joint-landing.dxf": dxf_bytes(landing_for_file(result.landed, name)),
    }


def ordinate_table(result: JointResult, step_deg: float) -> Table:
    """The even ordinates, and between them the corners and extremes that they miss."""

    def length(value: float) -> str:
        return format_fixed(value / MM_PER_INCH, 3) if result.inches else format_fixed(value)

    even = result.cut.ordinates(step_deg)
    apart = [row for row in result.corners if np.min(np.abs(even[:, 0] - row[0])) > 1e-6]
    rows = sorted([*even.tolist(), *(row.tolist() for row in apart)])
    faces = surface_angle(
        result.joint.surface, result.joint.tube.radius, np.radians([row[0] for row in rows])
    )
    return Table(
        ("degrees", "round", "height", "down from", "faces"),
        ("", "", "", "long point", "meet °"),
        tuple(
            (
                format_mm(row[0], 2),
                *map(length, row[1:]),
                "open" if np.isnan(face) else f"{face:.0f}",
            )
            for row, face in zip(rows, faces.tolist(), strict=True)
        ),
        (13.0, 15.0, 16.0, 18.0, 14.0),
    )


def _facts_contents(result: JointResult, paper: Paper, step_deg: float) -> list[Content]:
    """The sheet of facts: pictures and words on the left, the ordinate table on the right."""
    window = paper.window
    marks = ordinate_table(result, step_deg)
    column = window.width - marks.width - 8.0
    left_of_table = window.right - marks.width
    items = list(table(marks).placed(left_of_table, window.top - 10.0).items)
    items.append(
        Text(
            (left_of_table, window.top - 4.0),
            f"Without a printer, {'in' if result.inches else 'mm'}",
            NOTE_MM,
        )
    )
    half = column / 2
    views = (
        (side_view(result.joint, result.cut, half - 2, _PICTURE_MM), "from the 270° side"),
        (
            end_view(result.joint, half - 2, _PICTURE_MM, inches=result.inches),
            "looking at the cut end",
        ),
    )
    for index, (view, title) in enumerate(views):
        x = window.left + half * (index + 0.5)
        items += view.placed(x, window.top - _PICTURE_MM / 2 - 4.0).items
        items.append(Text((x, window.top - 3.0), title, SMALL_MM, "centre"))
    words = [*fact_lines(result), ""]
    for finding in (one.in_inches() if result.inches else one for one in result.findings):
        words += [f"{finding.level.capitalize()}: {finding.what} {finding.do}", ""]
    words += [with_inches(one, wanted=result.inches) for one in STEPS]
    words.append(LAST_STEP[result.joint.fit])
    under = window.top - 10.0 - marks.height - 6.0
    by_hand = wrapped(BY_HAND, marks.width, SMALL_MM)
    if under - _LINE_MM * len(by_hand) > window.bottom:
        for index, line in enumerate(by_hand):
            items.append(Text((left_of_table, under - _LINE_MM * index), line, SMALL_MM))
    else:
        words += ["", BY_HAND]
    lines = [line for text in words for line in (wrapped(text, column - 2, SMALL_MM) or [""])]
    facts = (
        with_inches(joint_facts(result.joint), wanted=result.inches),
        fit_words(result.joint),
    )
    title = f"Facts: {result.title}"
    contents = []
    y = window.top - _PICTURE_MM - 12.0
    for line in lines:
        if y < window.bottom + 2.0:
            contents.append(Content(paper, Drawing(tuple(items)), title, facts))
            fresh: list[Item] = []
            items, y = fresh, window.top - _LINE_MM
        if line:
            items.append(Text((window.left, y), line, SMALL_MM))
        y -= _LINE_MM if line else _LINE_MM / 2
    contents.append(Content(paper, Drawing(tuple(items)), title, facts))
    return contents
