"""The bend sheet: the tube at a stated scale, the bend table, the marks and the facts."""

from __future__ import annotations

import math

from geometry.bend_plan import BendResult
from templates_out.bend_picture import fitted, tube_picture
from templates_out.bend_view import flat_path, profile, true_view
from templates_out.bend_words import bend_tables, fact_lines, headline
from templates_out.canvas import extents
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.drawing import (
    CHECK,
    NOTE_MM,
    SMALL_MM,
    Drawing,
    Item,
    Line,
    Text,
)
from templates_out.dxf import dxf_bytes
from templates_out.fonts import wrapped
from templates_out.marking_wrap import marking_parts
from templates_out.paper import Box, Paper
from templates_out.parts import sheet_parts
from templates_out.printer import corrected, room_for
from templates_out.sheet import Content, Sheet, number_sheets
from templates_out.table import table
from templates_out.wrap import DEFAULT_PAPER_MM

_WORTH_A_PAGE = 1.5
"""How much larger the tube must come out for its picture to have a page of its own."""


def bend_sheets(
    result: BendResult, paper: Paper, correction: Correction = NO_CORRECTION
) -> list[Sheet]:
    """The bend sheet, and a second one where the words do not fit under the picture."""
    contents = bend_contents(result, room_for(paper, correction))
    return corrected(number_sheets(contents, correction), correction)


def bend_contents(
    result: BendResult, paper: Paper, paper_mm: float = DEFAULT_PAPER_MM
) -> list[Content]:
    """The sheets of a bent tube before they are numbered: the bend sheet, then the wraps to mark the bar with."""
    window = paper.window
    share = 0.48 if true_view(result.job.path) is not None else 0.66
    space = Box(window.left, window.top - share * window.height, window.right, window.top)
    scale, picture = fitted(result, space)
    larger, whole_page = fitted(result, window)
    if scale >= _WORTH_A_PAGE * larger:
        scale, picture, space = larger, whole_page, window
    pages: list[list[Item]] = []
    items: list[Item] = list(picture.drawing.items)
    y = space.bottom - 4.0
    if result.rows:
        headings = ("Bend table, mm", "Marks along the bar, mm")
        for heading, words in zip(headings, bend_tables(result), strict=True):
            if y - words.height - 8.0 < window.bottom:
                pages.append(items)
                items, y = [], window.top - 4.0
            items.append(Text((window.left, y), heading, NOTE_MM))
            items += table(words).placed(window.left, y - 2.0).items
            y -= words.height + 8.0
    title = f"Bend sheet: {result.job.name}"
    facts = (
        headline(result),
        f"drawn 1:{scale}: do not measure this drawing; its figures are true, in mm, to the centreline",
    )
    lines = [f"{f.level.capitalize()}, {f.where}: {f.what} {f.do}" for f in result.findings]
    lines += fact_lines(result)
    for text in lines:
        block = wrapped(text, window.width - 2.0, SMALL_MM)
        if y - 4.0 * len(block) < window.bottom:
            pages.append(items)
            items, y = [], window.top - 4.0
        for line in block:
            items.append(Text((window.left, y), line, SMALL_MM))
            y -= 4.0
        y -= 1.2
    pages.append(items)
    sheets = [Content(paper, Drawing(tuple(page)), title, facts) for page in pages]
    marks = marking_parts(result, paper_mm)
    return sheets + (sheet_parts(marks, paper) if marks else [])


def bend_files(result: BendResult, stem: str = "bend") -> dict[str, bytes]:
    """The tube's DXF files: the annotated drawing and, for a flat tube, the clean profile."""
    bare = tube_picture(result, 1.0, 1.0).drawing
    (left, low), (right, high) = extents(bare)
    # Letters that can be read when the whole tube fills an A3 sheet.
    text_scale = max(1.0, math.ceil(max((right - left) / 380, (high - low) / 260)))
    height = NOTE_MM * text_scale
    drawing = tube_picture(result, 1.0, height).drawing
    (left, low), _ = extents(drawing)
    files = {
        f"{stem}.dxf": dxf_bytes(drawing + _notes(result, left, low, height), text_scale=text_scale)
    }
    view = true_view(result.job.path)
    if view is not None:
        flat = flat_path(result.job.path, view)
        files[f"{stem}-profile.dxf"] = dxf_bytes(profile(flat, result.job.tube.radius))
    return files


def _notes(result: BendResult, left: float, low: float, height: float) -> Drawing:
    """The table and the facts as plain text, and a 100 mm line to check the units by."""
    lines = [
        f"{result.job.name}: {headline(result)}",
        "units: mm, 1:1, dimensions to the centreline",
        "bend: straight before, without trim / rotation / angle / radius / set / tool radius; "
        "bend starts, middle, ends, tool's mark, along the bar",
    ]
    for number, (row, setting, mark) in enumerate(
        zip(result.rows, result.settings, result.marks, strict=True), 1
    ):
        lines.append(
            f"{number}: {row.length:.2f} / {row.rotation_deg:.2f} / {row.angle_deg:.2f} / "
            f"{row.clr:.2f} / {setting.set_angle_deg:.2f} / {setting.tool_radius:.2f}; "
            f"{mark.start:.1f}, {mark.middle:.1f}, {mark.end:.1f}, {mark.tool:.1f}"
        )
    lines.append(f"last straight: {result.last_straight:.2f}")
    lines += [line for text in fact_lines(result) for line in wrapped(text, 340.0, NOTE_MM)]
    y = low - 3 * height
    items: list[Item] = [
        Line((left, y), (left + 100.0, y), CHECK),
        Text((left + 100.0 + height, y), "100 mm check", height),
    ]
    for line in lines:
        y -= 2 * height
        items.append(Text((left, y), line, height))
    return Drawing(tuple(items))
