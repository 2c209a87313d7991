"""The drawing a shop bends a tube from: views, tables, tolerances, title block; on sheets and as DXF."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from geometry.bend_plan import BendResult
from geometry.lengths import format_fixed, format_mm
from geometry.title import LEAST_LENGTH_MM, ToleranceClass, bend_tolerances, length_tolerance
from templates_out.bend_picture import WORTH_A_PAGE, TubePicture, fitted_pages, tube_picture
from templates_out.bend_view import flat_path, profile, true_view
from templates_out.bend_words import (
    bar_straights,
    delivery_lines,
    hand_lines,
    section_line,
    turn_words,
)
from templates_out.canvas import extents
from templates_out.clip import texts_of
from templates_out.drawing import (
    CHECK,
    NOTE_MM,
    SMALL_MM,
    TITLE_MM,
    Drawing,
    Line,
    Text,
)
from templates_out.dxf import dxf_bytes, latin1
from templates_out.flow import Flow
from templates_out.fonts import shortened, text_width
from templates_out.paper import Box, Paper
from templates_out.sheet import Content
from templates_out.table import Table, table
from templates_out.title_block import (
    HEIGHT_MM,
    WIDTH_MM,
    Cell,
    Issue,
    title_block,
)

_MOST_BELOW = 0.5
"""Share of a sheet that tables may take below the views."""
_GAP_MM = 3.0
_ENDLESS_MM = 1e6


def drawing_contents(result: BendResult, paper: Paper, issue: Issue) -> list[Content]:
    """The drawing on as many sheets as it takes, each with its title block.

    Args:
        result: the bent tube.
        paper: the sheet.
        issue: which drawing it is.
    """
    window = paper.window
    window = replace(window, bottom=window.bottom + HEIGHT_MM + _GAP_MM)
    projection = issue.facts.projection
    words = _tables(result, issue, window.width)
    below = extents(words)[1][1] - extents(words)[0][1]
    upper = Box(window.left, window.bottom + below + _GAP_MM, window.right, window.top)
    whole_scale, whole_pages = fitted_pages(result, window, projection)
    if below <= _MOST_BELOW * window.height:
        scale, pictures = fitted_pages(result, upper, projection)
        if scale < WORTH_A_PAGE * whole_scale and len(pictures) == 1:
            page = pictures[0].drawing + words.placed(window.left, window.bottom + below)
            return _with_blocks([(page, _scale(pictures[0], scale))], result, paper, issue)
    pages = [(picture.drawing, _scale(picture, whole_scale)) for picture in whole_pages]
    if below <= window.height:
        pages.append((words.placed(window.left, window.top), "none"))
    else:
        flow = Flow(window)
        _flowed(flow, result, issue)
        pages += [(page, "none") for page in flow.pages]
    return _with_blocks(pages, result, paper, issue)


def _scale(picture: TubePicture, scale: int) -> str:
    """A page's scale: of the whole tube where that is on it, else of the planes."""
    whole = any(shown.whole for shown in picture.views)
    return f"1:{scale}" if whole else f"1:{round(1 / picture.scale)}"


def _with_blocks(
    pages: Sequence[tuple[Drawing, str]], result: BendResult, paper: Paper, issue: Issue
) -> list[Content]:
    window = paper.window
    title = f"Bend drawing: {result.job.name}"
    facts = (
        "not at true size: do not measure this drawing; its figures are true, in mm, to the centreline",
    )
    contents = []
    for number, (page, scale) in enumerate(pages, 1):
        block = _block(result, issue, scale, f"{number} of {len(pages)}")
        drawing = page + block.placed(window.left, window.bottom)
        contents.append(Content(paper, drawing, title, facts))
    return contents


def _block(result: BendResult, issue: Issue, scale: str, sheet: str) -> Drawing:
    job, facts = result.job, issue.facts
    hand = f", {issue.hand.upper()} HAND" if issue.hand else ""
    # The hand stays whole, whatever the tube's name is.
    name = shortened(issue.without_hand(job.name), 115.0 - text_width(hand, TITLE_MM), TITLE_MM)
    hands = (
        f"opposite hand: {issue.opposite}" if issue.hand else "no opposite hand" * bool(issue.job)
    )
    rows = (
        (
            Cell("legal owner", facts.owner, 62.0),
            Cell("document type", "Bend drawing", 30.0),
            Cell("number", issue.number, 42.0),
            Cell("revision", facts.revision, 18.0),
            Cell("sheet", sheet, 28.0),
        ),
        (
            Cell(f"title{': ' * bool(issue.job)}{issue.job}", f"{name}{hand}", 118.0, TITLE_MM),
            Cell(f"hand{': ' * bool(issue.hand)}{issue.hand}", hands, 62.0, SMALL_MM),
        ),
        (
            Cell("tube and material", section_line(result), 66.0),
            Cell("quantity", str(job.quantity), 16.0),
            Cell("mass", f"{result.mass:.2f} kg", 22.0),
            Cell("drawn by", facts.drawn_by, 38.0),
            Cell("approved by", facts.approved_by, 38.0),
        ),
        (
            Cell("tolerances, where none is given", f"ISO 13920-{facts.tolerance}", 76.0),
            Cell("scale", scale, 18.0),
            Cell("units", "mm, degrees", 24.0, SMALL_MM),
            Cell("date of issue", facts.date, 38.0),
            Cell("", "", 24.0),
        ),
    )  # fmt: skip
    return title_block(rows, facts.projection)


def bend_rows(result: BendResult, issue: Issue) -> Table:
    """The bend table with what each figure may be off; where the bar ends elsewhere than the path, its straights too."""
    on_bar, shown = bar_straights(result), any(abs(by) >= 0.005 for by in result.job.bar_ends)
    chosen = issue.facts.tolerance
    tolerances = bend_tolerances(chosen, result.job.path.vertices)
    rows: list[tuple[str, ...]] = []
    for number, (row, allowed) in enumerate(zip(result.rows, tolerances, strict=True), 1):
        rows.append(
            (
                str(number), format_fixed(row.length), *[format_fixed(on_bar[number - 1])] * shown,
                _allowed(chosen, row.length),
                format_fixed(row.rotation_deg), "" if number == 1 else turn_words(row.rotation_deg),
                format_fixed(row.angle_deg), f"±{format_mm(allowed)}°", format_mm(row.clr),
            )
        )  # fmt: skip
    last = result.last_straight
    rows.append(
        (
            "last",
            format_fixed(last),
            *[format_fixed(on_bar[-1])] * shown,
            _allowed(chosen, last),
            *[""] * 5,
        )
    )
    return Table(
        ("bend", "straight", *["on the"] * shown, "", "rotation", "seen from", "angle", "", "radius"),
        ("", "before it", *["bar"] * shown, "", "°", "the start", "°", "", ""),
        tuple(rows),
        (9.2, 14.3, *[14.3] * shown, 8.0, 15.3, 23.3, 12.0, 12.5, 9.6),
    )  # fmt: skip


def _allowed(chosen: ToleranceClass, length: float) -> str:
    """What a length may be off; nothing for one too short for the table."""
    return f"±{format_mm(length_tolerance(chosen, length))}" if length >= LEAST_LENGTH_MM else ""


def point_rows(result: BendResult) -> Table:
    """Where the straights' centrelines cross, and where each bend begins and ends."""
    path = result.job.path
    straights = path.straight_pieces
    rows = [("P0 start", path.vertices[0])]
    for number in range(1, len(path.vertices) - 1):
        rows.append((f"{number} begins", tuple(straights[number - 1].end)))
        rows.append((f"P{number}", path.vertices[number]))
        rows.append((f"{number} ends", tuple(straights[number].start)))
    rows.append((f"P{len(path.vertices) - 1} finish", path.vertices[-1]))
    return Table(
        ("point", "x", "y", "z"),
        ("", "", "", ""),
        tuple((name, *(format_fixed(float(value)) for value in at)) for name, at in rows),
        (17.0, 13.7, 13.7, 13.7),
        (0,),
    )


def _lines(result: BendResult, issue: Issue) -> list[str]:
    return [*delivery_lines(result, issue.facts.tolerance), *hand_lines(result, issue.hand)]


def _tables(result: BendResult, issue: Issue, width: float) -> Drawing:
    """Both tables beside each other and the words below the first, the upper left corner at the origin."""
    bends, points = bend_rows(result, issue), point_rows(result)
    left = max(width - points.width - _GAP_MM, bends.width)
    flow = Flow(Box(0.0, -_ENDLESS_MM, left, 0.0))
    flow.table(bends)
    flow.words(_lines(result, issue))
    (column,) = flow.pages
    return column + table(points).placed(left + _GAP_MM, -1.0)


def _flowed(flow: Flow, result: BendResult, issue: Issue) -> None:
    """Tables and words on sheets of their own."""
    flow.heading("Bend table")
    flow.table(bend_rows(result, issue))
    flow.heading("Points of the centreline")
    flow.table(point_rows(result))
    flow.words(_lines(result, issue))


def bend_files(
    result: BendResult, stem: str = "bend", issue: Issue | None = None
) -> dict[str, bytes]:
    """The tube's DXF files: the annotated drawing and, for a flat tube, the clean profile."""
    issue = issue or Issue()
    bare = tube_picture(result, 1.0, 1.0, issue.facts.projection).drawing
    (left, low), (right, high) = extents(bare)
    # Letters that can be read when the whole tube fills an A3 sheet.
    text_scale = max(1.0, math.ceil(max((right - left) / 380, (high - low) / 260)))
    picture = tube_picture(result, 1.0, NOTE_MM * text_scale, issue.facts.projection)
    files = {
        f"{stem}.dxf": dxf_bytes(
            _plotted(picture, result, issue, text_scale), text_scale=text_scale
        )
    }
    view = true_view(result.job.path)
    if view is not None:
        flat = flat_path(result.job.path, view)
        files[f"{stem}-profile.dxf"] = dxf_bytes(profile(flat, result.job.tube.radius))
    return files


def _plotted(picture: TubePicture, result: BendResult, issue: Issue, text_scale: float) -> Drawing:
    """The views at true size, and below them tables, title block and a line to check the units by."""
    words = _tables(result, issue, WIDTH_MM)
    foot = extents(words)[0][1] - _GAP_MM - HEIGHT_MM
    block = _block(result, issue, "1:1", "1 of 1").placed(0.0, foot)
    # Its length stays: it is there to be measured.
    check = Drawing(
        (
            Line((0.0, 6.0 / text_scale), (100.0 / text_scale, 6.0 / text_scale), CHECK),
            Text((100.0 / text_scale + SMALL_MM, 6.0 / text_scale), "100 mm check", SMALL_MM),
        )
    )
    box = picture.box
    sheet = words + block + check
    if any(latin1(text.text).count("?") > text.text.count("?") for text in texts_of(sheet)):
        told = "? stands for a letter that DXF cannot hold; the PDF has it"
        sheet += Drawing((Text((0.0, foot - 5.0), told, SMALL_MM),))
    sheet = sheet.enlarged(text_scale)
    return picture.drawing + sheet.placed(box.left, box.bottom - 14.0 * text_scale)
