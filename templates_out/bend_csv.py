"""A bent tube's points and bend table for a bender's own program or a spreadsheet.

UTF-8, a comma between cells, a dot for decimals; lengths in mm, angles in degrees. Rotations are right-handed
about the way from start to finish; a machine that turns the tube turns it the other way.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from geometry.bend_plan import BendResult
from templates_out.bend_words import bar_straights


def bend_csv_files(result: BendResult, stem: str) -> dict[str, bytes]:
    """Both tables of a bent tube, by file name: ``stem-points.csv`` and ``stem-table.csv``."""
    return {f"{stem}-points.csv": points_csv(result), f"{stem}-table.csv": table_csv(result)}


def points_csv(result: BendResult) -> bytes:
    """Where the straights' centrelines cross, both ends included, and the radius at each."""
    path = result.job.path
    radii = ["", *(_number(radius) for radius in path.radii), ""]
    names = ["start", *(f"bend {number}" for number in range(1, len(radii) - 1)), "finish"]
    rows = (
        (name, *(_number(value) for value in vertex), radius)
        for name, vertex, radius in zip(names, path.vertices, radii, strict=True)
    )
    return _written(("point", "x", "y", "z", "radius"), rows)


def table_csv(result: BendResult) -> bytes:
    """Length, rotation and angle bend by bend, what to set, and where to mark the bar; the last straight last.

    ``length`` is from the path's ends, ``length_on_bar`` from those of the bar as it is sawn.
    """
    on_bar = bar_straights(result)
    rows: list[Sequence[str]] = [
        (
            str(number), *(_number(value) for value in (row.length, row.rotation_deg, row.angle_deg, row.clr)),
            *(_number(value) for value in (setting.set_angle_deg, setting.tool_radius)), found[0] if found else "",
            *(_number(value) for value in (mark.start, mark.middle, mark.end, mark.tool, on_bar[number - 1])),
        )
        for number, (row, setting, mark, found) in enumerate(
            zip(result.rows, result.settings, result.marks, result.tools, strict=True), 1
        )
    ]  # fmt: skip
    rows.append(("last", _number(result.last_straight), *[""] * 10, _number(on_bar[-1])))
    return _written(
        (
            "bend", "length", "rotation", "angle", "radius", "set_angle", "tool_radius", "tool", "mark_start",
            "mark_middle", "mark_end", "mark_tool", "length_on_bar",
        ),
        rows,
    )  # fmt: skip


def _number(value: float) -> str:
    return f"{value + 0.0:.6f}"


def _written(head: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue().encode()
