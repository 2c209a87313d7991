"""What to measure before and after tacking: where the points are, how far apart, and what is alike left and right."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from geometry.as_bent_checks import as_drawn
from geometry.fitup import Fitted
from geometry.frame import HANDS, Units
from geometry.lengths import format_fixed, format_mm
from geometry.parts import Part, across
from geometry.path import Path, Point
from geometry.places import known_places
from geometry.title import angle_steps, length_steps
from geometry.tolerances import CENTRE_PLANE_MM
from geometry.vectors import cross, length
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
    "The slope is from level: of a straight tube along it, of a bent tube that of the plane that its bends lie in.",
    "Measure before tacking, after it, and after each weld (common practice, no source). Both lengths from a corner to the "
    "far corner of the other pair must be alike: else the two pairs do not stand square to each other.",
)
_BENT = (
    "Where a bend begins or ends is found by the mark that was scribed round the bar before it was bent (bend sheet); without "
    "it, measure to tubes' ends and crossings alone.",
)
_SAME_MM = 0.05
"""Nearer than a tape tells."""
_FLAT = 0.005
"""Sine of the angle at which a straight may leave the plane of the first bend and still lie in it: a third of a degree."""
_SAME_DEG = 0.05


@dataclass(frozen=True)
class Across:
    """A point and its mirror image.

    Attributes:
        point: the one that is named.
        image: what its mirror image is called; "" where that is only on the opposite hand of a tube.
        apart: mm.
        other: the point of the pair that is farthest away; "" where there is none, or where it stands there already.
        far: what that pair's other side is called, as seen from the point; "" where there is no such pair.
        corner: from the point to there, mm.
        back: from the point's own other side to that pair's point's side, mm: as far, where both sides are alike.
    """

    point: str
    image: str
    apart: float
    other: str = ""
    far: str = ""
    corner: float = 0.0
    back: float = 0.0


def bend_points(fitted: Fitted, *, drawn: bool = False) -> dict[str, Point]:
    """Where bends begin and end on the centreline, mm, as "hoop, bend 1 begins"; of a handed tube for each hand.

    The corner itself, where the straights would cross, is not on the steel.
    """
    found = {}
    for one in fitted.parts:
        came = one.part.came
        path = came.nominal if drawn and came is not None else one.part.path
        for number, arc in enumerate(path.arcs, 1):
            begins, ends = arc.points(np.array([0.0, arc.angle_rad])).tolist()
            for words, (x, y, z) in (("begins", begins), ("ends", ends)):
                found[f"{one.part.name}, bend {number} {words}"] = (x, y, z)
    return found


def end_points(fitted: Fitted) -> dict[str, Point]:
    """The points at which tubes begin and end, as they are set out, mm, in the frame's order."""
    frame = fitted.frame
    ends = {point for tube in frame.tubes for point in (tube.path[0], tube.path[-1])}
    return {name: at for name, at in known_places(frame).items() if name in ends}


def beside_their_points(fitted: Fitted) -> dict[str, set[str]]:
    """Tubes that are built in as they came, their ends beside their points; and these points, by the tube's name."""
    at, found = end_points(fitted), dict[str, set[str]]()
    for one in fitted.parts:
        tube, path = one.part.tube, one.part.path
        for point, vertex in ((tube.path[0], path.vertices[0]), (tube.path[-1], path.vertices[-1])):
            x, y, z = at.get(point, vertex)
            near = min(math.dist(vertex, (x, y, z)), math.dist(vertex, (x, -y, z)))
            if near > _SAME_MM:
                found.setdefault(tube.name, set()).add(point)
    return found


@dataclass(frozen=True)
class Span:
    """A tube from its first point to its last, in a straight line.

    Attributes:
        tube: its name; that of a hand where the two are not alike.
        first: name of its first point.
        last: name of its last point.
        apart: mm.
        slope_deg: from level, 0 to 90: of a straight tube, or of the plane that all bends of a bent one lie in;
            None for one that lies in no plane.
    """

    tube: str
    first: str
    last: str
    apart: float
    slope_deg: float | None


def tube_spans(fitted: Fitted) -> list[Span]:
    """Each tube in the frame's order; both hands have one row where they are alike."""
    rows = []
    places = known_places(fitted.frame)
    for tube in fitted.frame.tubes:
        parts = [one.part for one in fitted.parts if one.part.tube.name == tube.name]
        each = [_span(part, places) for part in parts]
        if each and all(_alike(one, each[0]) for one in each):
            first, last = tube.path[0], tube.path[-1]
            each = [replace(each[0], tube=tube.name, first=first, last=last)]
        rows += each
    return rows


def _alike(one: Span, other: Span) -> bool:
    """Whether a tape and a level cannot tell them apart."""
    if (one.slope_deg is None) != (other.slope_deg is None):
        return False
    slopes = abs((one.slope_deg or 0.0) - (other.slope_deg or 0.0))
    return abs(one.apart - other.apart) < _SAME_MM and slopes < _SAME_DEG


def _span(part: Part, places: Mapping[str, Point]) -> Span:
    path, points = part.path, (part.tube.path[0], part.tube.path[-1])
    drawn = part.came.nominal if part.came is not None else path
    names = []
    for name, (_, y, _) in zip(points, (drawn.vertices[0], drawn.vertices[-1]), strict=True):
        other = part.hand and abs(places[name][1] - y) > CENTRE_PLANE_MM
        names.append(opposite_hand(name) if other else name)
    apart = math.dist(path.vertices[0], path.vertices[-1])
    return Span(part.name, names[0], names[1], apart, slope_deg(path))


def opposite_hand(point: str) -> str:
    """What a point's mirror image is called that has no name of its own."""
    return f"{point}, opposite hand"


def slope_deg(path: Path) -> float | None:
    """From level, 0 to 90 degrees: of a straight path, or of the plane that a bent one lies in; None for no plane."""
    ways = np.array(path.directions)
    if len(ways) == 1:
        return math.degrees(math.asin(min(abs(float(ways[0][2])), 1.0)))
    square = cross(ways[0], ways[1])
    square = square / length(square)
    if np.max(np.abs(ways @ square)) > _FLAT:
        return None
    return math.degrees(math.acos(min(abs(float(square[2])), 1.0)))


def across_pairs(fitted: Fitted) -> list[Across]:
    """The ends of tubes that are drawn as far to the left as to the right, in the frame's order, and where they really are."""
    frame = fitted.frame
    drawn_places = known_places(as_drawn(frame))
    at = {name: drawn_places[name] for name in end_points(fitted) if name in drawn_places}
    bent, sides = bend_points(fitted, drawn=True), _sides(fitted)
    at |= bent
    handed = {
        point for tube in frame.tubes if tube.handed for point in (tube.path[0], tube.path[-1])
    }
    both: dict[Point, list[str]] = {}
    for name, (x, y, z) in at.items():
        if abs(y) >= CENTRE_PLANE_MM:
            both.setdefault((round(x, 1), round(abs(y), 1), round(z, 1)), []).append(name)
    pairs = []
    for name, *others in both.values():
        image = next((other for other in others if at[other][1] * at[name][1] < 0), "")
        if image or handed & {name, *others}:
            pairs.append((name, image))

    def place(name: str, image: str, side: str) -> Point:
        """Where the one of a pair is that is on a side."""
        known = sides[name] if side in sides[name] else sides.get(image, {})
        return known.get(side) or across(next(iter(sides[name].values())))

    found, done = [], set[frozenset[str]]()
    middles = np.array([(at[name][0], at[name][2]) for name, _ in pairs]).reshape(-1, 2)
    for number, (name, image) in enumerate(pairs):
        own, other = HANDS if at[name][1] > 0 else HANDS[::-1]
        here, there = place(name, image, own), place(name, image, other)
        apart = math.dist(here, there)
        # The pair farthest away tells most; one on the same line across tells nothing.
        away = np.hypot(*(middles - middles[number]).T)
        # Where tubes end is found with a tape, unlike where a bend does: half as far is as good.
        found_by_tape = np.where([pair[0] in bent for pair in pairs], 0.5, 1.0)
        after = pairs[int(np.argmax(away * found_by_tape))]
        if away.max() < _SAME_MM or frozenset((name, after[0])) in done:
            found.append(Across(name, image, apart))
            continue
        done.add(frozenset((name, after[0])))
        corner, back = math.dist(here, place(*after, other)), math.dist(there, place(*after, own))
        far = after[0] if _side(at[after[0]]) == other else after[1] or opposite_hand(after[0])
        found.append(Across(name, image, apart, after[0], far, corner, back))
    return found


def _sides(fitted: Fitted) -> dict[str, dict[str, Point]]:
    """Where tubes' ends and bends really are, by the point's name and by the side, "left" or "right"."""
    found: dict[str, dict[str, Point]] = {}
    for one in fitted.parts:
        tube, came = one.part.tube, one.part.came
        drawn = came.nominal if came is not None else one.part.path
        for end in (0, -1):
            at = found.setdefault(tube.path[end], {})
            at.setdefault(_side(drawn.vertices[end]), one.part.path.vertices[end])
    for name, place in bend_points(fitted).items():
        found[name] = {_side(place): place}
    return found


def _side(place: Point) -> str:
    return HANDS[0] if place[1] > 0 else HANDS[1]


def check_numbers(fitted: Fitted) -> dict[str, list[Any]]:
    """The same for machines, full precision."""
    return {
        "points": [
            {"point": name, "at": list(at)}
            for name, at in (end_points(fitted) | bend_points(fitted)).items()
        ],
        "spans": [
            {"tube": one.tube, "from": one.first, "to": one.last, "apart": one.apart, "slope": one.slope_deg}
            for one in tube_spans(fitted)
        ],
        "across": [
            {"point": one.point, "image": one.image or None, "apart": one.apart, "other": one.other or None,
             "corner": one.corner if one.other else None, "back": one.back if one.other else None}
            for one in across_pairs(fitted)
        ],
    }  # fmt: skip


def _corners(one: Across, unit: Units) -> tuple[str, str]:
    """From corner to corner, and from the mirror image to the far corner's."""
    return (in_table(one.corner, unit), in_table(one.back, unit)) if one.other else ("", "")


def _tolerance_words(result: FrameResult) -> str:
    """How far off the lengths may be."""
    chosen, unit = result.fitted.frame.drawing.tolerance, result.units
    spans = [one.apart for one in tube_spans(result.fitted)]
    every = [
        *spans,
        *(
            size
            for one in across_pairs(result.fitted)
            for size in (one.apart, one.corner, one.back)
        ),
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
    spans = tuple(
        (
            one.tube, one.first, one.last, in_table(one.apart, unit),
            "" if one.slope_deg is None else format_fixed(one.slope_deg, 1),
        )
        for one in tube_spans(fitted)
    )  # fmt: skip
    flow.heading("Each tube, from its first point to its last in a straight line", 10 * LINE_MM)
    flow.table(
        Table(
            ("tube", "from", "to", "apart", "slope"),
            ("", "", "", unit, "°"),
            spans,
            (*_shared([[row[column] for row in spans] for column in (0, 1, 2)], 148.0), 18.0, 12.0),
            (0, 1, 2),
        )
    )  # fmt: skip
    pairs = across_pairs(fitted)
    if pairs:
        flow.heading("Across, left to right; and from corner to corner", 10 * LINE_MM)
        flow.words(
            ["To it: from the point to the far corner. Other: from the mirror images of both."]
        )
        rows = tuple(
            (
                one.point, one.image or "opposite hand", in_table(one.apart, unit), one.far, *_corners(one, unit),
            )
            for one in pairs
        )  # fmt: skip
        names = _shared([[row[column] for row in rows] for column in (0, 1, 3)], 142.0)
        flow.table(
            Table(
                ("point", "its mirror image", "apart", "far corner", "to it", "other"),
                ("", "", unit, "", unit, unit),
                rows,
                (names[0], names[1], 12.0, names[2], 12.0, 12.0),
                (0, 1, 3),
            )
        )
    return [Content(paper, page, "Check dimensions", (result.name,)) for page in flow.pages]
