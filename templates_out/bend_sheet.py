"""The bend sheet: the tube at a stated scale, the bend table, the marks and the facts."""

from __future__ import annotations

import math

import numpy as np

from geometry.units import format_fixed, format_mm
from templates_out.bend_papers import BendResult
from templates_out.bend_view import (
    FROM_ABOVE,
    FROM_FRONT,
    FROM_RIGHT,
    PICTORIAL,
    end_marks,
    flat_path,
    profile,
    profile_dims,
    true_view,
)
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
from templates_out.paper import Box, Paper
from templates_out.printer import corrected, room_for
from templates_out.sheet import Content, Sheet, number_sheets
from templates_out.space_view import bend_names, space_view, true_length_dims
from templates_out.table import Table, table

# ISO 5455 has 1, 2, 5, 10, ...; the steps between show a tube larger, and the sheet states its scale.
SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)
_WORTH_A_PAGE = 1.5
"""How much larger the tube must come out for its picture to have a page of its own."""

ROTATION_WORDS = (
    "Rotation: how far the bend plane turns from the bend before to this one, right-handed about the "
    "direction from start to finish: plus is clockwise as you look along the tube from start to finish. "
    "A machine that turns the tube in a fixed bend plane turns it the other way. The mm are measured "
    "round the outside of the tube, from a line scribed along the straight bar."
)
BEND_CAUTION = (
    "Bend a trial piece first. Check the radius, flattening and wall of the real bend before use; "
    "keep hands clear of the bender."
)


def tube_view(result: BendResult, scale: float, height: float, *, stacked: bool = False) -> Drawing:
    """The tube in its true view with dimensions, or in three views and a pictorial one.

    Args:
        result: the bent tube.
        scale: drawn size over true size.
        height: of the letters, mm on the drawing.
        stacked: the views of a tube in space stand one below the other, not two by two.
    """
    job, radius = result.job, result.job.tube.radius
    path = job.path
    view = true_view(path)
    if view is not None:
        flat = flat_path(path, view)
        picture = profile(flat, radius, scale) + profile_dims(flat, radius, scale, height)
        corners, ways = np.array(flat.vertices)[:, :2] * scale, flat.directions[:, :2]
        picture += end_marks(corners, ways, job.trim, radius, scale, height)
        return picture + _named(picture, f"seen {view.name}", height)
    done: set[int] = set()
    seen = []
    for view in (FROM_RIGHT, FROM_ABOVE, FROM_FRONT, PICTORIAL):
        picture = space_view(path, view, radius, scale)
        if view is not PICTORIAL:
            picture += true_length_dims(path, view, radius, scale, height, done)
        picture += bend_names(path, view, radius, scale, height)
        corners = view.flat(np.array(path.vertices)) * scale
        picture += end_marks(corners, view.flat(path.directions), job.trim, radius, scale, height)
        seen.append(picture + _named(picture, f"seen {view.name}", height))
    if stacked:
        return _stacked(seen, 3 * height)
    # First angle: what is seen from above stands below, what is seen from the front to the left.
    right, above, front, pictorial = seen
    (right_left, right_low), _ = extents(right)
    _, (front_right, _) = extents(front)
    _, (_, above_high) = extents(above)
    _, (pictorial_right, pictorial_high) = extents(pictorial)
    across, down = right_left - 4 * height, right_low - 3 * height
    return (
        right
        + above.placed(0, down - above_high)
        + front.placed(across - front_right, 0)
        + pictorial.placed(across - pictorial_right, down - pictorial_high)
    )


def _stacked(views: list[Drawing], gap: float) -> Drawing:
    """Views one below the other, their middles in line."""
    whole, foot = Drawing(), 0.0
    for view in views:
        (left, low), (right, high) = extents(view)
        whole += view.placed(-(left + right) / 2, foot - high)
        foot -= high - low + gap
    return whole


def _named(picture: Drawing, name: str, height: float) -> Drawing:
    """The view's name below it."""
    (left, low), (right, _) = extents(picture)
    return Drawing((Text(((left + right) / 2, low - 2.2 * height), name, height, "centre"),))


def bend_tables(result: BendResult) -> tuple[Table, Table]:
    """The bend table with its settings, and the marks along the bar with the wall in each bend."""
    bends, marks = [], []
    for number, (row, setting, mark, wall) in enumerate(
        zip(result.rows, result.settings, result.marks, result.walls, strict=True), 1
    ):
        turn = "" if number == 1 else turn_words(row.rotation_deg)
        round_tube = abs(row.rotation_deg) / 360 * math.pi * result.job.tube.od
        bends.append(
            (
                str(number), format_fixed(row.length), format_fixed(row.rotation_deg), turn,
                "" if number == 1 else format_fixed(round_tube, 1), format_fixed(row.angle_deg),
                format_mm(row.clr), format_fixed(setting.set_angle_deg) + "*" * setting.extrapolated,
                format_fixed(setting.tool_radius),
            )
        )  # fmt: skip
        marks.append(
            (
                str(number), format_fixed(mark.start, 1), format_fixed(mark.middle, 1),
                format_fixed(mark.end, 1), format_fixed(mark.tool, 1), format_fixed(wall.outside),
                format_fixed(wall.inside), format_fixed(wall.strain * 100, 1),
            )
        )  # fmt: skip
    bends.append(("last", format_fixed(result.last_straight), "", "", "", "", "", "", ""))
    return (
        Table(
            (
                "bend",
                "straight before,",
                "rotation",
                "looking from",
                "mm round",
                "angle",
                "radius",
                "set",
                "tool radius",
            ),
            (
                "",
                "without trim",
                "°",
                "start to finish",
                "the tube",
                "°",
                "finished",
                "°",
                "for it",
            ),
            tuple(bends),
            (11.0, 26.0, 17.0, 26.0, 19.0, 17.0, 18.0, 18.0, 21.0),
        ),
        Table(
            ("bend", "bend", "bend", "bend", "tool's", "wall", "wall", "stretch"),
            ("", "starts", "middle", "ends", "mark", "outside", "inside", "outside %"),
            tuple(marks),
            (11.0, 22.0, 22.0, 22.0, 22.0, 22.0, 22.0, 24.0),
        ),
    )


def turn_words(rotation_deg: float) -> str:
    """Which way the bend plane turns, for someone who looks from the start to the finish."""
    if rotation_deg == 0:
        return "same plane"
    if abs(rotation_deg) == 180:
        return "half a turn"
    return "clockwise" if rotation_deg > 0 else "anticlockwise"


def fact_lines(result: BendResult) -> tuple[str, ...]:
    """Every other number of the tube in words."""
    job, path = result.job, result.job.path
    if result.fit:
        tried = ", ".join(f"{format_mm(t.set_deg)} gave {format_mm(t.got_deg)}" for t in job.trials)
        source = f"Settings from trial bends ({tried})"
        beyond = any(setting.extrapolated for setting in result.settings)
        source += "; * lies outside what was tried." if beyond else "."
    else:
        source = (
            f"Settings estimated from theory for {job.material.name} (yield "
            f"{job.material.yield_stress:.0f} MPa); the estimate runs low: real tube springs back more."
        )
    points = "; ".join(
        f"P{index} ({', '.join(format_mm(value) for value in vertex)})"
        for index, vertex in enumerate(path.vertices)
    )
    apart = math.dist(path.vertices[0], path.vertices[-1])
    if not result.rows:
        return (
            f"A straight tube: cut the bar at {format_mm(result.supplied_length)} mm, "
            f"{format_mm(result.cut_length)} mm of it the tube, square ends. Mass {result.mass:.2f} kg "
            "each.",
        )
    return (
        f"Cut the bar at {format_mm(result.supplied_length)} mm: {format_mm(result.cut_length)} mm "
        f"along the centreline, {format_mm(job.trim[0])} mm trim at the start and "
        f"{format_mm(job.trim[1])} mm at the finish, cut off square after bending.",
        f"Check when bent: the two end centres, trimmed, are {format_mm(apart)} mm apart in a straight "
        f"line. Mass {result.mass:.2f} kg each.",
        "Marks are measured along the straight bar from its start end, trim included; from the finish "
        f"end, take them from {format_mm(result.supplied_length)}. The tool's mark allows for "
        f"{format_mm(job.tool_reference)} mm from the tool's reference to where the bend starts.",
        source,
        ROTATION_WORDS,
        f"Points where the straights' centrelines cross, x y z: {points}.",
        BEND_CAUTION,
    )


def headline(result: BendResult) -> str:
    """Section, material and quantity on one line."""
    job = result.job
    return (
        f"{format_mm(job.tube.od, 3)} x {format_mm(job.tube.wall, 3)}, "
        f"{job.material.name if job.material_given else f'material not given (taken: {job.material.name})'}, "
        f"quantity {job.quantity}, {len(result.rows)} bend{'s' * (len(result.rows) != 1)}"
    )


def bend_sheets(
    result: BendResult, paper: Paper, correction: Correction = NO_CORRECTION
) -> list[Sheet]:
    """The bend sheet, and a second one where the words do not fit under the picture."""
    paper = room_for(paper, correction)
    window = paper.window
    share = 0.48 if true_view(result.job.path) is not None else 0.66
    space = Box(window.left, window.top - share * window.height, window.right, window.top)
    scale, picture = fitted(result, space)
    larger, whole_page = fitted(result, window)
    if scale >= _WORTH_A_PAGE * larger:
        scale, picture, space = larger, whole_page, window
    pages: list[list[Item]] = []
    items: list[Item] = list(picture.items)
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
    contents = [Content(paper, Drawing(tuple(page)), title, facts) for page in pages]
    return corrected(number_sheets(contents, correction), correction)


def fitted(result: BendResult, space: Box) -> tuple[int, Drawing]:
    """The largest standard scale at which the tube fits the space, and the picture in its middle."""
    flat = true_view(result.job.path) is not None
    for scale in SCALES:
        for stacked in (False,) if flat else (False, True):
            picture = tube_view(result, 1 / scale, SMALL_MM, stacked=stacked)
            (left, low), (right, high) = extents(picture)
            if right - left <= space.width and high - low <= space.height:
                break
        else:
            continue
        break
    dx = (space.left + space.right - left - right) / 2
    dy = (space.bottom + space.top - low - high) / 2
    return scale, picture.placed(dx, dy)


def bend_files(result: BendResult) -> dict[str, bytes]:
    """The tube's DXF files: the annotated drawing and, for a flat tube, the clean profile."""
    bare = tube_view(result, 1.0, 1.0)
    (left, low), (right, high) = extents(bare)
    # Letters that can be read when the whole tube fills an A3 sheet.
    text_scale = max(1.0, math.ceil(max((right - left) / 380, (high - low) / 260)))
    height = NOTE_MM * text_scale
    drawing = tube_view(result, 1.0, height)
    (left, low), _ = extents(drawing)
    files = {
        "bend.dxf": dxf_bytes(drawing + _notes(result, left, low, height), text_scale=text_scale)
    }
    view = true_view(result.job.path)
    if view is not None:
        flat = flat_path(result.job.path, view)
        files["bend-profile.dxf"] = dxf_bytes(profile(flat, result.job.tube.radius))
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
