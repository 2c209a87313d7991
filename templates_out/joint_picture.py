"""A joint in two views, to tell which way the angle, the offset and the datum go."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.cope import Cut
from geometry.joint import Joint
from geometry.lengths import bare, in_inches, mm
from geometry.said import said
from templates_out.drawing import (
    CENTRELINE,
    DIMENSIONS,
    HIDDEN,
    OUTLINE,
    SMALL_MM,
    XY,
    AngleDim,
    Arc,
    Drawing,
    Item,
    Line,
    Polyline,
    Text,
)

_ROW_MM = 4.0


@dataclass(frozen=True)
class ViewFrame:
    """How a view maps the joint's mm to the picture's: about a middle, at a scale."""

    scale: float
    middle: XY

    def at(self, x: float, y: float) -> XY:
        """A place of the joint on the picture."""
        return (self.scale * (x - self.middle[0]), self.scale * (y - self.middle[1]))


@dataclass(frozen=True, eq=False)
class SideFrame(ViewFrame):
    """The joint from the side: the tube stands on its foot, the target leans across.

    Attributes:
        foot: height at which the tube is broken off.
        reach: half the length of the target that is shown.
        way: unit vector (2,) along the target.
        across: unit vector (2,) square to it.
    """

    foot: float
    reach: float
    way: Floats
    across: Floats


def side_frame(joint: Joint, cut: Cut, width: float, height: float) -> SideFrame:
    """The scale and middle at which the joint fits a width x height space from the side."""
    r, big = joint.tube.radius, joint.target_od / 2
    angle = math.radians(joint.angle_deg)
    way = np.array([math.sin(angle), math.cos(angle)])
    across = np.array([math.cos(angle), -math.sin(angle)])
    foot = cut.short_point - 1.3 * joint.tube.od
    reach = 1.3 * big + 0.9 * joint.tube.od / math.sin(angle)
    far = abs(reach * way) + abs(big * across)
    low = np.array([-max(far[0], r), min(foot, -far[1])])
    high = np.array([max(far[0], r), far[1]])
    scale = float(min((np.array([width, height]) - 10.0) / (high - low)))
    x, y = ((low + high) / 2).tolist()
    return SideFrame(scale, (x, y), foot, reach, way, across)


def side_view(joint: Joint, cut: Cut, width: float, height: float) -> Drawing:
    """The joint from the side, datum to the right, centred on the origin of a width x height space."""
    r, big = joint.tube.radius, joint.target_od / 2
    frame = side_frame(joint, cut, width, height)
    at, scale, foot = frame.at, frame.scale, frame.foot
    near = cut.phi >= math.pi
    curve = np.column_stack((r * np.cos(cut.phi), cut.line)) - frame.middle
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
        ends = [side * big * frame.across + end * frame.reach * frame.way for end in (-1.0, 1.0)]
        items.append(Line(at(*ends[0]), at(*ends[1]), OUTLINE))
    end = frame.reach * 1.05 * frame.way
    items.append(Line(at(*-end), at(*end), CENTRELINE))
    if joint.angle_deg < 90:
        items.append(angle_dim(joint, frame))
    items.append(Text(at(r, foot - 4.5 / scale), "0° datum", SMALL_MM))
    items.append(Text(at(-r, foot - 4.5 / scale), "180°", SMALL_MM, "right"))
    return Drawing(tuple(items))


def angle_dim(joint: Joint, frame: SideFrame) -> AngleDim:
    """The tight angle between the two centrelines, as the side view shows it."""
    radius = frame.scale * 0.9 * frame.reach
    return AngleDim(frame.at(0, 0), 270 - joint.angle_deg, 270, radius, joint.angle_deg, SMALL_MM)


def end_frame(joint: Joint, width: float, height: float) -> ViewFrame:
    """The scale and middle at which the cut end and the target before it fit a space."""
    r, big, offset = joint.tube.radius, joint.target_od / 2, joint.offset
    low, high = min(-r, offset - big), max(r, offset + big)
    scale = min((width - 26.0) / (3 * r), (height - 16.0) / (high - low))
    return ViewFrame(scale, (0.0, (low + high) / 2))


def end_view(joint: Joint, width: float, height: float, *, inches: bool = False) -> Drawing:
    """The tube's cut end, looked at: degrees run anticlockwise; the target stands in front of it."""
    r, big, offset = joint.tube.radius, joint.target_od / 2, joint.offset
    half = 1.5 * r
    low, high = min(-r, offset - big), max(r, offset + big)
    frame = end_frame(joint, width, height)
    at, scale = frame.at, frame.scale
    items: list[Item] = [
        Arc(at(0, 0), scale * r, 0, 360, OUTLINE),
        Arc(at(0, 0), scale * joint.tube.bore_radius, 0, 360, HIDDEN),
    ]
    for y in (offset - big, offset + big):
        items.append(Line(at(-half, y), at(half, y), OUTLINE))
    items.append(Line(at(-half * 1.08, offset), at(half * 1.08, offset), CENTRELINE))
    items.append(Line(at(-half * 1.08, 0), at(half * 1.08, 0), CENTRELINE))
    items.append(Line(at(0, low - 3 / scale), at(0, high + 3 / scale), CENTRELINE))
    below = 0.0
    if offset:
        end = at(half * 1.08, offset)
        words = said(
            "{by} off", by=mm(abs(offset), places=3) if inches else bare(abs(offset), places=3)
        )
        off = in_inches(words) if inches else words
        items.append(Text((end[0] + 1, end[1] - 1.2), off, SMALL_MM))
        near = _ROW_MM - scale * abs(offset)
        below = math.copysign(max(near, 0.0), offset)
    items += _turn_mark(at(0, 0), scale * r + 3.0)
    right, top, left, foot = at(half * 1.1, 0), at(0, high), at(-half * 1.1, 0), at(0, low)
    items += [
        Text((right[0] + 1, right[1] - 1.2 - below), "0°", SMALL_MM),
        Text((top[0], top[1] + 4), "90°", SMALL_MM, "centre"),
        Text((left[0] - 1, left[1] - 1.2), "180°", SMALL_MM, "right"),
        Text((foot[0], foot[1] - 6.5), "270°", SMALL_MM, "centre"),
    ]
    return Drawing(tuple(items))


def _turn_mark(centre: XY, radius: float) -> list[Item]:
    """An arrow the way that degrees run."""
    first, last = 15.0, 70.0
    end = math.radians(last)
    tip = np.array(centre) + radius * np.array([math.cos(end), math.sin(end)])
    back = end - math.pi / 2
    ends = [
        tip + 2.2 * np.array([math.cos(back + lean), math.sin(back + lean)])
        for lean in (0.25, -0.25)
    ]
    arrow = np.array([ends[0], tip, ends[1]])
    return [Arc(centre, radius, first, last, DIMENSIONS), Polyline(arrow, False, DIMENSIONS)]
