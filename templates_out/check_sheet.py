"""What to measure before and after tacking: where the points are, how far apart, and what is alike left and right."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from geometry.frame import Frame
from geometry.path import Point
from geometry.place import MirrorOf
from geometry.places import known_places
from geometry.tolerances import CENTRE_PLANE_MM
from geometry.units import MM_PER_INCH, format_fixed
from templates_out.flow import LINE_MM, Flow
from templates_out.frame_result import FrameResult
from templates_out.paper import Paper
from templates_out.sheet import Content
from templates_out.table import Table

_HOW = (
    "All lengths run between centrelines: between two tubes of one size measure from the left side of the one to the left "
    "side of the other. Heights are from z 0, the floor where the points were set out from it.",
    "Measure before tacking, after it, and after each weld (common practice, no source). Both lengths from corner to corner "
    "must be alike, or the frame is not square.",
)


@dataclass(frozen=True)
class Across:
    """A point and its mirror image.

    Attributes:
        point: the one that is named.
        image: what its mirror image is called; the same name, where that is only on the opposite hand of a tube.
        apart: mm.
        next: the point of the next pair; "" at the last.
        corner: from the point to the mirror image of the next pair's, and as far the other way, mm.
    """

    point: str
    image: str
    apart: float
    next: str = ""
    corner: float = 0.0


def used_points(frame: Frame) -> dict[str, Point]:
    """The points that tubes go through, mm, in the frame's order."""
    used = {point for tube in frame.tubes for point in tube.path}
    return {name: at for name, at in known_places(frame).items() if name in used}


def tube_spans(frame: Frame) -> list[tuple[str, str, str, float]]:
    """Of each tube its name, its first and last point, and how far these are apart in a straight line, mm."""
    at = used_points(frame)
    return [
        (tube.name, tube.path[0], tube.path[-1], math.dist(at[tube.path[0]], at[tube.path[-1]]))
        for tube in frame.tubes
        if tube.path[0] in at and tube.path[-1] in at
    ]


def across_pairs(frame: Frame) -> list[Across]:
    """What stands as far to the left as to the right, in the frame's order."""
    at = used_points(frame)
    images = {
        place.base: name for name, place in frame.points.items() if isinstance(place, MirrorOf)
    }
    handed = {point for tube in frame.tubes if tube.handed for point in tube.path}
    named = [
        (name, images.get(name, name))
        for name in at
        if abs(at[name][1]) >= CENTRE_PLANE_MM and (name in handed or images.get(name) in at)
    ]
    found = []
    for number, (name, image) in enumerate(named):
        apart = 2 * abs(at[name][1])
        after = named[number + 1][0] if number + 1 < len(named) else ""
        if not after:
            found.append(Across(name, image, apart))
            continue
        x, y, z = at[after]
        # To the next pair's other side, whichever side each is named on.
        other = (x, -y if y * at[name][1] > 0 else y, z)
        found.append(Across(name, image, apart, after, math.dist(at[name], other)))
    return found


def check_numbers(frame: Frame) -> dict[str, list[Any]]:
    """The same for machines, full precision."""
    return {
        "points": [{"point": name, "at": list(at)} for name, at in used_points(frame).items()],
        "spans": [
            {"tube": name, "from": first, "to": last, "apart": apart}
            for name, first, last, apart in tube_spans(frame)
        ],
        "across": [
            {"point": one.point, "image": one.image, "apart": one.apart, "next": one.next or None,
             "corner": one.corner if one.next else None}
            for one in across_pairs(frame)
        ],
    }  # fmt: skip


def check_contents(result: FrameResult, paper: Paper) -> list[Content]:
    """The sheets; none for a frame without a point that is known."""
    frame, inches = result.fitted.frame, result.units == "in"
    points = used_points(frame)
    if not points:
        return []

    def shown(value: float) -> str:
        return format_fixed(value / MM_PER_INCH, 3) if inches else format_fixed(value, 1)

    unit = result.units
    flow = Flow(paper.window)
    flow.heading("Where the points are")
    flow.words(_HOW)
    flow.table(
        Table(
            ("point", "forward, x", "to the left, y", "up, z"),
            ("", unit, unit, unit),
            tuple((name, *(shown(value) for value in at)) for name, at in points.items()),
            (86.0, 30.0, 32.0, 30.0),
            (0,),
        )
    )
    flow.heading("Each tube, from its first point to its last in a straight line", 10 * LINE_MM)
    flow.table(
        Table(
            ("tube", "from", "to", "apart"),
            ("", "", "", unit),
            tuple(
                (name, first, last, shown(apart)) for name, first, last, apart in tube_spans(frame)
            ),
            (50.0, 52.0, 52.0, 24.0),
            (0, 1, 2),
        )
    )
    pairs = across_pairs(frame)
    if pairs:
        flow.heading(
            "Across, left to right; and from corner to corner, both ways alike", 10 * LINE_MM
        )
        flow.table(
            Table(
                ("point", "its mirror image", "next pair", "apart", "corner to corner"),
                ("", "", "", unit, unit),
                tuple(
                    (
                        one.point, one.image if one.image != one.point else "on the other hand", one.next,
                        shown(one.apart), shown(one.corner) if one.next else "",
                    )
                    for one in pairs
                ),
                (46.0, 44.0, 44.0, 20.0, 26.0),
                (0, 1, 2),
            )
        )  # fmt: skip
    return [Content(paper, page, "Check dimensions", (result.name,)) for page in flow.pages]
