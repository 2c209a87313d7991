"""Wraps to mark a straight bar for its bends: where each begins, where the tool's mark goes, which side is its outside."""

from __future__ import annotations

import math
from itertools import islice

import numpy as np

from geometry.bend_plan import BendResult
from geometry.lengths import MM_PER_INCH, format_mm
from templates_out.drawing import (
    DATUM,
    FOLD,
    OUTLINE,
    SMALL_MM,
    Drawing,
    Item,
    Line,
    Pen,
    Polyline,
    Text,
)
from templates_out.fonts import text_width, wrapped
from templates_out.parts import Part
from templates_out.tiling import Tile
from templates_out.wrap import DEFAULT_PAPER_MM, TAB_MM, once_round

HEAVY = Pen("DATUM", 0.7)
_OVER_MM, _UNDER_MM, _ROW_MM = 9.0, 8.0, 3.7
_NARROW_MM, _ALONG_MM = 60.0, 95.0


def outside_places(result: BendResult) -> list[float]:
    """Distances round the bar of each bend's outside from the first one's, mm, right-handed about start to finish."""
    girth = math.pi * result.job.tube.od
    turned, places = 0.0, []
    for row in result.rows:
        turned += row.rotation_deg
        places.append(turned / 360.0 % 1.0 * girth)
    return places


def marking_wrap(result: BendResult, number: int, paper_mm: float = DEFAULT_PAPER_MM) -> Drawing:
    """The wrap for one bend, counted from 0; up is towards the finish, x = 0 the line scribed along the bar.

    y = 0 is where the bend begins. The scribed line is the outside of the first bend.
    """
    girth = math.pi * result.job.tube.od
    stretch = 1 + math.pi * paper_mm / girth
    around = girth * stretch
    mark, row = result.marks[number], result.rows[number]
    outside = outside_places(result)[number] * stretch
    tool = mark.tool - mark.start
    inch = f" ({mark.start / MM_PER_INCH:.3f} in)" * result.job.inches
    texts = [
        f"{result.job.name}: bend {number + 1} of {len(result.rows)}, {format_mm(row.angle_deg)}°",
        f"line across: {format_mm(mark.start, 1)}{inch} from the start end of the bar; the bend begins there",
        "left edge on the line scribed along the bar, the outside of bend 1; heavy line: the outside of this bend",
        "up: towards the finish",
    ]
    # Round a thin bar there is no room for a line: the words run along it.
    along_bar = around < _NARROW_MM
    room = _ALONG_MM - 5.0 if along_bar else around - 12.0
    rows = [line for text in texts for line in wrapped(text, room, SMALL_MM)]
    top = max(_OVER_MM, tool + _OVER_MM if tool > 0 else _OVER_MM)
    low = min(-_UNDER_MM, tool - 4.0)
    foot = low - (_ALONG_MM if along_bar else _ROW_MM * len(rows)) - 8.0
    frame = np.array([[0.0, top], [around, top], [around, foot], [0.0, foot]])
    tab = np.array(
        [
            [around, top - 1.5],
            [around + TAB_MM, top - 4.0],
            [around + TAB_MM, foot + 4.0],
            [around, foot + 1.5],
        ]
    )
    items: list[Item] = [
        Polyline(frame, True, OUTLINE),
        Polyline(tab, False, FOLD),
        Line((0.0, 0.0), (around, 0.0), OUTLINE),
        Line((outside, low), (outside, top), HEAVY),
        *once_round(foot + 3.0, around, "bar", inches=result.job.inches),
    ]
    if abs(tool) > 0.05:
        items += [Line((0.0, tool), (around, tool), DATUM)]
        # Beside the heavy line, not across it.
        rooms = ((2.0, outside if outside > 2.0 else around), (outside + 1.2, around))
        fitting = (
            (left, name)
            for name in ("tool's mark", "tool")
            for left, end in rooms
            if left + text_width(name, SMALL_MM) < end - 0.8
        )
        items += [Text((left, tool + 1.0), name, SMALL_MM) for left, name in islice(fitting, 1)]
    word = "outside"
    right = outside + 1.5 + text_width(word, SMALL_MM) < around
    items.append(
        Text(
            (outside + (1.2 if right else -1.2), top - SMALL_MM - 1.0),
            word,
            SMALL_MM,
            "left" if right else "right",
        )
    )
    if along_bar:
        step = min(_ROW_MM, (around - 2.0) / len(rows))
        for number, line in enumerate(rows):
            # Such a wrap lies turned by a quarter on its sheet: then they are level.
            at = (around - 1.0 - SMALL_MM - number * step, low - 1.0)
            items.append(Text(at, line, SMALL_MM, "left", -90.0))
        return Drawing(tuple(items))
    y = low - 1.0
    for line in rows:
        items.append(Text((6.0, y - SMALL_MM), line, SMALL_MM))
        y -= _ROW_MM
    return Drawing(tuple(items))


def marking_parts(result: BendResult, paper_mm: float = DEFAULT_PAPER_MM) -> list[Part]:
    """The marking wraps of a bent tube as parts of the sheets."""
    return [
        Part(
            marking_wrap(result, number, paper_mm),
            f"Marks for bending: {result.job.name}, bend {number + 1}",
            _facts,
            group=f"marks {result.job.name}",
        )
        for number in range(len(result.rows))
    ]


def _facts(tile: Tile) -> tuple[str, ...]:
    turned = "; turned a quarter, read it from the right" if tile.turn_deg else ""
    return (
        "To tape round the straight bar before it is bent. Scribe one line along the whole bar first: the datum of all of "
        "them. It is to mark only: no fit, and no waste to cut.",
        f"{tile.place}{turned}",
    )
