"""The bend sheet: the tube at a stated scale, the bend table, the marks and the facts."""

from __future__ import annotations

import math

import numpy as np

from geometry.units import format_mm
from templates_out.bend_papers import TUBE_NAME, BendResult
from templates_out.bend_view import (
    FROM_ABOVE,
    FROM_FRONT,
    FROM_RIGHT,
    end_names,
    flat_path,
    profile,
    profile_dims,
    space_view,
    true_length_dims,
    true_view,
)
from templates_out.canvas import extents
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
from templates_out.sheet import Content, Sheet, number_sheets
from templates_out.table import Table, table

# ISO 5455 has 1, 2, 5, 10, ...; the steps between show a tube larger, and the sheet states its scale.
SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)
ROTATION_WORDS = (
    "Rotation: turn of the bend plane since the bend before, right-handed about the direction from "
    "start to finish. A machine that turns the tube turns it the other way."
)
BEND_CAUTION = (
    "Bend a trial piece first. Check the radius, flattening and wall of the real bend before use; "
    "keep hands clear of the bender."
)


def tube_view(result: BendResult, scale: float, height: float) -> Drawing:
    """The tube in its true view, or in three views, with dimensions.

    Args:
        result: the bent tube.
        scale: drawn size over true size.
        height: of the letters, mm on the drawing.
    """
    path, radius = result.job.path, result.job.tube.radius
    view = true_view(path)
    if view is not None:
        flat = flat_path(path, view)
        picture = profile(flat, radius, scale) + profile_dims(flat, radius, scale, height)
        corners, ways = np.array(flat.vertices)[:, :2] * scale, flat.directions[:, :2]
        picture += end_names(corners[[0, -1]], ways[[0, -1]], height)
        return picture + _named(picture, f"seen {view.name}", height)
    done: set[int] = set()
    whole = Drawing()
    # Seen from the right; what is seen from above stands below it, from the front to its left.
    for view, column, row in ((FROM_RIGHT, 1, 1), (FROM_ABOVE, 1, 0), (FROM_FRONT, 0, 1)):
        picture = space_view(path, view, radius, scale)
        picture += true_length_dims(path, view, radius, scale, height, done)
        corners = view.flat(np.array(path.vertices)) * scale
        ways = view.flat(path.directions)
        picture += end_names(corners[[0, -1]], ways[[0, -1]], height)
        picture += _named(picture, f"seen {view.name}", height)
        (left, low), (right, high) = extents(picture)
        if column == 0:
            (first, _), _ = extents(whole)
            picture = picture.placed(first - right - 4 * height, 0)
        elif row == 0:
            (_, first), _ = extents(whole)
            picture = picture.placed(0, first - high - 3 * height)
        del left, low
        whole += picture
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
        bends.append(
            (
                str(number), f"{row.length:.2f}", f"{row.rotation_deg:.2f}", f"{row.angle_deg:.2f}",
                format_mm(row.clr), f"{setting.set_angle_deg:.2f}" + "*" * setting.extrapolated,
                f"{setting.tool_radius:.2f}",
            )
        )  # fmt: skip
        marks.append(
            (
                str(number), f"{mark.start:.1f}", f"{mark.middle:.1f}", f"{mark.end:.1f}",
                f"{mark.tool:.1f}", f"{wall.outside:.2f}", f"{wall.inside:.2f}",
                f"{wall.strain * 100:.1f}",
            )
        )  # fmt: skip
    bends.append(("last", f"{result.last_straight:.2f}", "", "", "", "", ""))
    return (
        Table(
            ("bend", "straight", "rotation", "angle", "radius", "set", "tool"),
            ("", "before", "°", "°", "finished", "°", "radius"),
            tuple(bends),
            (12.0, 22.0, 20.0, 20.0, 20.0, 22.0, 22.0),
        ),
        Table(
            ("bend", "bend", "bend", "bend", "tool's", "wall", "wall", "stretch"),
            ("", "starts", "middle", "ends", "mark", "outside", "inside", "outside %"),
            tuple(marks),
            (12.0, 22.0, 20.0, 20.0, 20.0, 20.0, 20.0, 20.0),
        ),
    )


def fact_lines(result: BendResult) -> tuple[str, ...]:
    """Every other number of the tube in words."""
    job, path = result.job, result.job.path
    source = (
        f"Settings from {len(job.trials)} trial bend{'s' * (len(job.trials) != 1)}"
        f"{'; * is outside what was tried' if any(s.extrapolated for s in result.settings) else ''}."
        if result.fit
        else f"Settings estimated from theory for {job.material.name} (yield "
        f"{job.material.yield_stress:.0f} MPa); the estimate runs low: real tube springs back more."
    )
    points = "; ".join(
        f"P{index} ({', '.join(format_mm(value) for value in vertex)})"
        for index, vertex in enumerate(path.vertices)
    )
    return (
        f"Length along the centreline {format_mm(path.developed_length)} mm; cut the bar at "
        f"{format_mm(result.supplied_length)} mm (trim {format_mm(job.trim[0])} at the start, "
        f"{format_mm(job.trim[1])} at the finish); after trimming {format_mm(result.cut_length)} mm, "
        f"square ends.",
        f"Mass {result.mass:.2f} kg each.",
        "Marks are measured along the straight bar from its start end, trim included; the tool's "
        f"mark allows for {format_mm(job.tool_reference)} mm from the tool's reference to the tangent "
        "point.",
        source,
        ROTATION_WORDS,
        f"Points where the straights' centrelines cross, x y z: {points}.",
        BEND_CAUTION,
    )


def headline(result: BendResult) -> str:
    """Section, material and quantity on one line."""
    job = result.job
    return (
        f"{format_mm(job.tube.od, 3)} x {format_mm(job.tube.wall, 3)} {job.material.name}, "
        f"quantity {job.quantity}, {len(result.rows)} bend{'s' * (len(result.rows) != 1)}"
    )


def bend_sheets(result: BendResult, paper: Paper) -> list[Sheet]:
    """The bend sheet, and a second one where the words do not fit under the picture."""
    window = paper.window
    space = Box(window.left, window.top - 0.45 * window.height, window.right, window.top)
    scale, picture = _fitted(result, space)
    items: list[Item] = list(picture.items)
    y = space.bottom - 4.0
    for heading, words in zip(
        ("Bend table, mm", "Marks along the bar, mm"), bend_tables(result), strict=True
    ):
        items.append(Text((window.left, y), heading, NOTE_MM))
        items += table(words).placed(window.left, y - 2.0).items
        y -= words.height + 8.0
    title = f"Bend sheet: {TUBE_NAME}"
    facts = (headline(result), f"drawn 1:{scale}; all lengths true, in mm, to the centreline")
    lines = list(fact_lines(result))
    lines += [f"{f.level.capitalize()}, {f.where}: {f.what} {f.do}" for f in result.findings]
    contents = []
    for text in lines:
        block = wrapped(text, window.width - 2.0, SMALL_MM)
        if y - 4.0 * len(block) < window.bottom:
            contents.append(Content(paper, Drawing(tuple(items)), title, facts))
            items, y = [], window.top - 4.0
        for line in block:
            items.append(Text((window.left, y), line, SMALL_MM))
            y -= 4.0
        y -= 1.2
    contents.append(Content(paper, Drawing(tuple(items)), title, facts))
    return number_sheets(contents)


def _fitted(result: BendResult, space: Box) -> tuple[int, Drawing]:
    """The largest standard scale at which the tube fits the space, and the picture in its middle."""
    for scale in SCALES:
        picture = tube_view(result, 1 / scale, SMALL_MM)
        (left, low), (right, high) = extents(picture)
        if (right - left <= space.width and high - low <= space.height) or scale == SCALES[-1]:
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
        f"{TUBE_NAME}: {headline(result)}",
        "units: mm, 1:1, dimensions to the centreline",
        "bend: straight before / rotation / angle / radius / set / tool radius",
    ]
    for number, (row, setting) in enumerate(zip(result.rows, result.settings, strict=True), 1):
        lines.append(
            f"{number}: {row.length:.2f} / {row.rotation_deg:.2f} / {row.angle_deg:.2f} / "
            f"{row.clr:.2f} / {setting.set_angle_deg:.2f} / {setting.tool_radius:.2f}"
        )
    lines.append(f"last straight: {result.last_straight:.2f}")
    lines += fact_lines(result)
    y = low - 3 * height
    items: list[Item] = [
        Line((left, y), (left + 100.0, y), CHECK),
        Text((left + 100.0 + height, y), "100 mm check", height),
    ]
    for line in lines:
        y -= 2 * height
        items.append(Text((left, y), line, height))
    return Drawing(tuple(items))
