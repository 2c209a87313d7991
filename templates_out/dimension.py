"""How a dimension looks where it has to be drawn stroke by stroke (ISO 129: arrows, text above)."""

from __future__ import annotations

import math

import numpy as np

from geometry.lengths import MM_PER_INCH, format_mm
from templates_out.drawing import (
    DIMENSIONS,
    XY,
    AngleDim,
    Arc,
    Dim,
    Drawing,
    Item,
    Line,
    LinearDim,
    Polyline,
    RadiusDim,
    Text,
    stands_on_its_head,
)
from templates_out.fonts import text_width

_LAYER = DIMENSIONS.layer


def dim_text(dim: Dim, *, inches: bool = False) -> str:
    """The figure of a dimension: mm or degrees with two places at most, or inches with three and their mark."""
    match dim:
        case LinearDim():
            return _length(dim.value, inches=inches)
        case AngleDim():
            return f"{format_mm(dim.value)}°"
        case RadiusDim():
            return f"R{_length(dim.value, inches=inches)}"


def _length(value: float, *, inches: bool) -> str:
    return f'{format_mm(value / MM_PER_INCH, 3)}"' if inches else format_mm(value)


def _arrow(tip: XY, towards: float, size: float) -> Polyline:
    """A slim arrowhead at ``tip`` that points in the direction ``towards`` (radians)."""
    ends = [
        (tip[0] - size * math.cos(towards + turn), tip[1] - size * math.sin(towards + turn))
        for turn in (0.16, -0.16)
    ]
    return Polyline(np.array([ends[0], tip, ends[1]]), True, DIMENSIONS)


def _upright(turn_deg: float) -> float:
    """The same direction, or its opposite, so that text reads from below or, where it is steep, from the right."""
    return turn_deg % 360 - 180 if stands_on_its_head(turn_deg) else turn_deg % 360


def dimension_strokes(dim: Dim, *, inches: bool = False) -> Drawing:
    """Lines, arrows and text of a dimension."""
    text = dim_text(dim, inches=inches)
    match dim:
        case LinearDim():
            return _linear(dim, text)
        case AngleDim():
            return _angle(dim, text)
        case RadiusDim():
            return _radius(dim, text)


def _linear(dim: LinearDim, text: str) -> Drawing:
    dx, dy = dim.end[0] - dim.start[0], dim.end[1] - dim.start[1]
    length = math.hypot(dx, dy)
    ux, uy = dx / length, dy / length
    nx, ny = -uy, ux
    side = math.copysign(1.0, dim.away)
    over = dim.height * 0.5 * side

    def at(point: XY, away: float) -> XY:
        return (point[0] + nx * away, point[1] + ny * away)

    a, b = at(dim.start, dim.away), at(dim.end, dim.away)
    direction = math.atan2(uy, ux)
    size = dim.height
    items: list[Item] = [
        Line(at(dim.start, over), at(dim.start, dim.away + over), DIMENSIONS),
        Line(at(dim.end, over), at(dim.end, dim.away + over), DIMENSIONS),
    ]
    if length > 2.5 * size:
        items += [
            Line(a, b, DIMENSIONS),
            _arrow(a, direction + math.pi, size),
            _arrow(b, direction, size),
        ]
    else:
        reach = 2 * size
        items += [
            Line((a[0] - ux * reach, a[1] - uy * reach), a, DIMENSIONS),
            Line(b, (b[0] + ux * reach, b[1] + uy * reach), DIMENSIONS),
            _arrow(a, direction, size),
            _arrow(b, direction + math.pi, size),
        ]
    turn = _upright(math.degrees(direction))
    lift = dim.height * 0.4
    up = (-math.sin(math.radians(turn)), math.cos(math.radians(turn)))
    middle = ((a[0] + b[0]) / 2 + up[0] * lift, (a[1] + b[1]) / 2 + up[1] * lift)
    if text_width(text, dim.height) > length - dim.height:
        # Too narrow between the arrows: beside the second one, on the line's own height.
        reach = 2.4 * size + text_width(text, dim.height) / 2
        middle = (b[0] + ux * reach + up[0] * lift, b[1] + uy * reach + up[1] * lift)
    items.append(Text(middle, text, dim.height, "centre", turn, _LAYER))
    return Drawing(tuple(items))


def _angle(dim: AngleDim, text: str) -> Drawing:
    (x, y), r = dim.corner, dim.radius
    start, end = math.radians(dim.start_deg), math.radians(dim.end_deg)
    reach = r + dim.height

    def out(angle: float, radius: float) -> XY:
        return (x + radius * math.cos(angle), y + radius * math.sin(angle))

    items: list[Item] = [
        Line(dim.corner, out(start, reach), DIMENSIONS),
        Line(dim.corner, out(end, reach), DIMENSIONS),
        Arc(dim.corner, r, dim.start_deg, dim.end_deg, DIMENSIONS),
    ]
    lean = dim.height / 2 / r
    if (end - start) * r > 2.5 * dim.height:
        items.append(_arrow(out(start, r), start - math.pi / 2 + lean, dim.height))
        items.append(_arrow(out(end, r), end + math.pi / 2 - lean, dim.height))
    middle = start + dim.share * (end - start)
    clear = r + dim.height * 0.7 + text_width(text, dim.height) / 2 * abs(math.cos(middle))
    tx, ty = out(middle, clear + dim.height * 0.5 * abs(math.sin(middle)))
    items.append(Text((tx, ty - dim.height / 2), text, dim.height, "centre", 0.0, _LAYER))
    return Drawing(tuple(items))


def _radius(dim: RadiusDim, text: str) -> Drawing:
    angle = math.radians(dim.towards_deg)
    tip = (
        dim.centre[0] + dim.radius * math.cos(angle),
        dim.centre[1] + dim.radius * math.sin(angle),
    )
    wide = text_width(text, dim.height)
    clear = max(dim.clear, 1.5 * dim.height)
    length = clear + wide + 0.5 * dim.height
    tail = (tip[0] - length * math.cos(angle), tip[1] - length * math.sin(angle))
    turn = _upright(dim.towards_deg)
    up = (-math.sin(math.radians(turn)), math.cos(math.radians(turn)))
    lift = dim.height * 0.4
    along = clear + wide / 2
    middle = (
        tip[0] - along * math.cos(angle) + up[0] * lift,
        tip[1] - along * math.sin(angle) + up[1] * lift,
    )
    return Drawing(
        (
            Line(tail, tip, DIMENSIONS),
            _arrow(tip, angle, dim.height),
            Text(middle, text, dim.height, "centre", turn, _LAYER),
        )
    )
