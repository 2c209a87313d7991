"""A joint in two views, to tell which way the angle, the offset and the datum go."""

from __future__ import annotations

import math

import numpy as np

from geometry.cope import Cut
from geometry.joint import Joint
from geometry.units import format_mm
from templates_out.drawing import (
    CENTRELINE,
    HIDDEN,
    OUTLINE,
    SMALL_MM,
    XY,
    AngleDim,
    Arc,
    Drawing,
    Item,
    Line,
    LinearDim,
    Polyline,
    Text,
)


def side_view(joint: Joint, cut: Cut, width: float, height: float) -> Drawing:
    """The joint from the side, datum to the right, centred on the origin of a width x height space."""
    r, big = joint.tube.radius, joint.target_od / 2
    angle = math.radians(joint.angle_deg)
    way = np.array([math.sin(angle), math.cos(angle)])
    across = np.array([math.cos(angle), -math.sin(angle)])
    foot = cut.short_point - 1.3 * joint.tube.od
    reach = 1.3 * big + 0.9 * joint.tube.od / math.sin(angle)
    far = abs(reach * way) + abs(big * across)
    box_low = np.array([-max(far[0], r), min(foot, -far[1])])
    box_high = np.array([max(far[0], r), far[1]])
    scale = min((np.array([width, height]) - 10.0) / (box_high - box_low))
    middle = (box_low + box_high) / 2

    def at(x: float, y: float) -> XY:
        return (scale * (x - middle[0]), scale * (y - middle[1]))

    near = cut.phi >= math.pi
    curve = np.column_stack((r * np.cos(cut.phi), cut.line)) - middle
    near_curve, far_curve = scale * curve[near], scale * curve[~near]
    heel, toe = (float(cut.line_at(np.array([phi]))[0]) for phi in (math.pi, 0.0))
    items: list[Item] = [
        Polyline(near_curve, False, OUTLINE),
        Polyline(far_curve, False, HIDDEN),
        Line(at(-r, foot), at(-r, heel), OUTLINE),
        Line(at(r, foot), at(r, toe), OUTLINE),
        Line(at(0, foot - 4 / scale), at(0, big), CENTRELINE),
    ]
    for side in (-1.0, 1.0):
        ends = [side * big * across + end * reach * way for end in (-1.0, 1.0)]
        items.append(Line(at(*ends[0]), at(*ends[1]), OUTLINE))
    items.append(Line(at(*(-reach * 1.05 * way)), at(*(reach * 1.05 * way)), CENTRELINE))
    if joint.angle_deg < 90:
        items.append(
            AngleDim(
                at(0, 0), 270 - joint.angle_deg, 270, scale * 0.9 * reach, joint.angle_deg, SMALL_MM
            )
        )
    items.append(Text(at(r + 2 / scale, foot), "datum", SMALL_MM))
    return Drawing(tuple(items))


def end_view(joint: Joint, width: float, height: float) -> Drawing:
    """The tube's end as seen along the tube from the target's side, its clock angles anticlockwise."""
    r, big, offset = joint.tube.radius, joint.target_od / 2, joint.offset
    half = 1.5 * r
    low, high = min(-r, offset - big), max(r, offset + big)
    scale = min((width - 26.0) / (2 * half), (height - 16.0) / (high - low))
    middle = (low + high) / 2

    def at(x: float, y: float) -> XY:
        return (scale * x, scale * (y - middle))

    items: list[Item] = [
        Arc(at(0, 0), scale * r, 0, 360, OUTLINE),
        Arc(at(0, 0), scale * joint.tube.bore_radius, 0, 360, HIDDEN),
    ]
    for y in (offset - big, offset + big):
        items.append(Line(at(-half, y), at(half, y), OUTLINE))
    items.append(Line(at(-half * 1.08, offset), at(half * 1.08, offset), CENTRELINE))
    items.append(Line(at(-half * 1.08, 0), at(half * 1.08, 0), CENTRELINE))
    items.append(Line(at(0, low - 3 / scale), at(0, high + 3 / scale), CENTRELINE))
    if offset:
        x = half * 0.8
        start, end = (at(x, 0), at(x, offset)) if offset > 0 else (at(x, offset), at(x, 0))
        items.append(LinearDim(start, end, -4.0, abs(offset), SMALL_MM))
    right, top, left, foot = at(half * 1.1, 0), at(0, high), at(-half * 1.1, 0), at(0, low)
    items += [
        Text((right[0] + 1, right[1] - 1.2), "0°", SMALL_MM),
        Text((top[0], top[1] + 4), "90°", SMALL_MM, "centre"),
        Text((left[0] - 1, left[1] - 1.2), "180°", SMALL_MM, "right"),
        Text((foot[0], foot[1] - 6.5), "270°", SMALL_MM, "centre"),
    ]
    return Drawing(tuple(items))


def offset_words(joint: Joint) -> str:
    """Which way the target's centre lies."""
    if joint.offset == 0:
        return "the two centrelines cross"
    side = 90 if joint.offset > 0 else 270
    return f"the target's centre passes {format_mm(abs(joint.offset))} mm to the {side}° side"
