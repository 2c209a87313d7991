"""The sheet of what to measure before and after tacking: where points are, how far apart, what is alike left and right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from geometry.check_dimensions import (
    Across,
    Middle,
    Span,
    across_pairs,
    bend_points,
    beside_their_points,
    end_points,
    middle_points,
    tube_spans,
)
from geometry.fitup import Fitted
from geometry.frame import Units
from geometry.lengths import format_fixed, format_mm
from geometry.title import angle_steps, length_steps
from templates_out.drawing import SMALL_MM
from templates_out.flow import LINE_MM, Flow
from templates_out.fonts import text_width
from templates_out.frame_result import FrameResult
from templates_out.frame_words import in_table, short_length
from templates_out.paper import Paper
from templates_out.sheet import Content
from templates_out.table import Table

_HOW = (
    "All lengths run between centrelines. Between two tubes of one size measure from the left side of the one to the left "
    "side of the other; of two sizes from left side to left side and from right side to right side: the length is half-way "
    "between the two. To a tube's free end measure to the middle of that end. Where a tube is coped, its point lies on the "
    "centreline of what it sits on. Heights are from z 0, the "
    "floor where the points were set out from it, to the middle of a tube: a tape on its top reads half its diameter, or height, more.",
    "Measure before tacking, after it, and after each weld (common practice, no source).",
)
_ALIKE = "alike but for what tubes that came bent otherwise take along"
_BENT = (
    "Where a bend begins or ends is found by the mark that was scribed round the bar before it was bent (bend sheet); without "
    "it, measure to tubes' ends and crossings alone.",
)


def check_numbers(fitted: Fitted) -> dict[str, list[Any]]:
    """The same for machines, full precision."""
    return {
        "points": [
            {"point": name, "at": list(at)}
            for name, at in (end_points(fitted) | bend_points(fitted)).items()
        ],
        "spans": [
            {"tube": one.tube, "from": one.first, "to": one.last, "apart": one.apart, "slope": one.slope_deg, "bent": one.bent}
            for one in tube_spans(fitted)
        ],
        "across": [
            {"point": one.point, "image": one.image or None, "apart": one.apart, "other": one.other or None,
             "corner": one.corner if one.other else None, "back": one.back if one.other else None}
            for one in across_pairs(fitted)
        ],
        "middle": [
            {"point": one.point, "left": one.left, "right": one.right, "from_left": one.from_left, "from_right": one.from_right}
            for one in middle_points(fitted)
        ],
    }  # fmt: skip


def _tolerance_words(result: FrameResult) -> str:
    """How far off the lengths may be."""
    chosen, unit = result.fitted.frame.drawing.tolerance, result.units
    spans = [one.apart for one in tube_spans(result.fitted)]
    pairs, middles = across_pairs(result.fitted), middle_points(result.fitted)
    every = [
        *spans,
        *(size for one in pairs for size in (one.apart, one.corner, one.back)),
        *(size for one in middles for size in (one.from_left, one.from_right)),
    ]
    lengths = [
        f"{short_length(allowed, unit)} {_reach(most, unit)}"
        for most, allowed in length_steps(chosen, every)
    ]
    slopes = [
        f"{format_mm(allowed)}° {_reach(most, unit)}"
        for most, allowed in angle_steps(chosen, spans)
    ]
    return (
        f"They may be off, either way (ISO 13920, class {chosen}: the one that is chosen for the drawings): lengths by "
        f"{', '.join(lengths)}; slopes, on a tube of such a length, by {', '.join(slopes)}."
    )


def _reach(most: float, unit: Units) -> str:
    return f"up to {short_length(most, unit)}" if math.isfinite(most) else "above"


def _shared(columns: Sequence[Sequence[str]], room: float) -> tuple[float, ...]:
    """Widths of columns of names, mm, that share so much: as much to spare for each; the widest give way."""
    wanted = [
        max((text_width(cell, SMALL_MM) for cell in cells), default=0.0) + 3.0 for cells in columns
    ]
    most = max(wanted)
    for given, width in enumerate(sorted(wanted)):
        # None wider than this, and they fit.
        fair = (room - sum(sorted(wanted)[:given])) / (len(wanted) - given)
        if width > fair:
            most = fair
            break
    widths = [min(width, most) for width in wanted]
    spare = (room - sum(widths)) / len(widths)
    return tuple(width + spare for width in widths)


def check_contents(result: FrameResult, paper: Paper) -> list[Content]:
    """The sheets; none for a frame without a point that is known."""
    fitted, unit = result.fitted, result.units
    bent = bend_points(fitted)
    points = end_points(fitted) | bent
    if not points:
        return []

    beside = beside_their_points(fitted)
    flow = Flow(paper.window)
    flow.heading("Where tubes begin and end, and their bends")
    flow.words((*_HOW, _tolerance_words(result), *(_BENT if bent else ())))
    moved = {point for points in beside.values() for point in points}
    if beside:
        # Those that came, and those that sit on them.
        flow.words(
            [
                "What is built in as it came from the bender takes others along: ends of "
                f"{', '.join(beside)} stand beside their points. A star says that an end named after that point, of one hand at "
                "least, is not there. Every other figure on these sheets is the real tubes'."
            ]
        )
    flow.table(
        Table(
            ("point", "forward, x", "to the left, y", "up, z"),
            ("", unit, unit, unit),
            tuple(
                (f"{name} *" if name in moved else name, *(in_table(value, unit) for value in at))
                for name, at in points.items()
            ),
            (86.0, 30.0, 32.0, 30.0),
            (0,),
        )
    )
    flow.heading("Each tube, from its first point to its last in a straight line", 10 * LINE_MM)
    _spans(flow, fitted, unit)
    pairs, middles = across_pairs(fitted), middle_points(fitted)
    if pairs:
        flow.heading("Across, left to right", 10 * LINE_MM)
        _pairs(flow, pairs, unit)
    if middles:
        flow.heading("Points in the middle, from left and right", 10 * LINE_MM)
        _middles(flow, middles, unit)
    return [Content(paper, page, "Check dimensions", (result.name,)) for page in flow.pages]


def _spans(flow: Flow, fitted: Fitted, unit: Units) -> None:
    """A straight tube's slope and that of the plane of a bent tube's bends stand in columns of their own."""
    spans = tube_spans(fitted)
    rows = [
        (one.tube, one.first, one.last, in_table(one.apart, unit), *_slopes(one)) for one in spans
    ]
    some_bent = any(one.bent for one in spans)
    widths = (18.0, 12.0, 20.0) if some_bent else (18.0, 12.0)
    columns = 3 + len(widths)
    if some_bent:
        flow.words(
            [
                "Slopes are from level: of a straight tube along it, of a bent tube that of the plane that its bends lie in."
            ]
        )
    else:
        flow.words(["Slopes are from level."])
    flow.table(
        Table(
            ("tube", "from", "to", "apart", "slope", "bend plane")[:columns],
            ("", "", "", unit, "°", "°")[:columns],
            tuple(row[:columns] for row in rows),
            (*_shared(_columns(rows, (0, 1, 2)), 178.0 - sum(widths)), *widths),
            (0, 1, 2),
        )
    )


def _slopes(one: Span) -> tuple[str, str]:
    """Of a straight tube, of a bent one's plane."""
    slope = "" if one.slope_deg is None else format_fixed(one.slope_deg, 1)
    return ("", slope) if one.bent else (slope, "")


def _pairs(flow: Flow, pairs: Sequence[Across], unit: Units) -> None:
    """From corner to corner, if there are two pairs."""
    rows = [
        (
            one.point, one.image or "opposite hand", in_table(one.apart, unit), one.far,
            *((in_table(one.corner, unit), in_table(one.back, unit)) if one.other else ("", "")),
        )
        for one in pairs
    ]  # fmt: skip
    heads = ("point", "its mirror image", "apart", "far corner", "to it", "other")
    units = ("", "", unit, "", unit, unit)
    if any(one.other for one in pairs):
        flow.words(
            [
                "To it: from the point to the far corner. Other: from the mirror images of both. These two must be as they are "
                f"printed, {_ALIKE}: else the two pairs do not stand square to each other."
            ]
        )
        one, image, far = _shared(_columns(rows, (0, 1, 3)), 142.0)
        widths: tuple[float, ...] = (one, image, 12.0, far, 12.0, 12.0)
        left: tuple[int, ...] = (0, 1, 3)
    else:
        widths, left = (*_shared(_columns(rows, (0, 1)), 166.0), 12.0), (0, 1)
    columns = len(widths)
    flow.table(
        Table(
            heads[:columns],
            units[:columns],
            tuple(row[:columns] for row in rows),
            widths,
            left,
        )
    )


def _middles(flow: Flow, middles: Sequence[Middle], unit: Units) -> None:
    rows = [
        (one.point, one.left, in_table(one.from_left, unit), one.right, in_table(one.from_right, unit))
        for one in middles
    ]  # fmt: skip
    flow.words(
        [
            f"Both lengths must be as they are printed, {_ALIKE}: else the point stands off the middle, or the tubes to its left and "
            "right are not square to it."
        ]
    )
    point, left, right = _shared(_columns(rows, (0, 1, 3)), 150.0)
    flow.table(
        Table(
            ("point", "left", "from it", "right", "from it"),
            ("", "", unit, "", unit),
            tuple(rows),
            (point, left, 14.0, right, 14.0),
            (0, 1, 3),
        )
    )


def _columns(rows: Sequence[Sequence[str]], chosen: Sequence[int]) -> list[list[str]]:
    return [[row[column] for row in rows] for column in chosen]
