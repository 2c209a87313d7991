"""Where on the joint's picture each of its numbers is."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from geometry.cope import Cut
from geometry.joint import Joint
from templates_out.drawing import DIMENSIONS, OUTLINE, SMALL_MM, Drawing, Line, Polyline, Text
from templates_out.joint_picture import (
    angle_dim,
    end_frame,
    end_view,
    side_frame,
    side_view,
)
from templates_out.pointers import arrow_to, between, strokes_only

JointPart = Literal["od", "wall", "target", "angle", "offset", "root_gap", "extra"]

_WIDTH, _HEIGHT, _APART = 66.0, 64.0, 76.0


def joint_picture(joint: Joint, cut: Cut, *, inches: bool = False) -> Drawing:
    """Both views beside each other, for the screen."""
    views = side_view(joint, cut, _WIDTH, _HEIGHT)
    views += end_view(joint, _WIDTH, _HEIGHT, inches=inches).placed(_APART, 0)
    y = _HEIGHT / 2 + 2.0
    names = ((0.0, "from the 270° side"), (_APART, "looking at the cut end"))
    return views + Drawing(tuple(Text((x, y), name, SMALL_MM, "centre") for x, name in names))


def joint_pointer(joint: Joint, cut: Cut, part: JointPart) -> Drawing:
    """Strokes over ``joint_picture`` that point at one of the joint's numbers.

    Args:
        joint: the joint shown.
        cut: its cut.
        part: which number.
    """
    if part in ("wall", "offset"):
        return _on_end(joint, part).placed(_APART, 0)
    r, big = joint.tube.radius, joint.target_od / 2
    frame = side_frame(joint, cut, _WIDTH, _HEIGHT)
    at = frame.at
    match part:
        case "od":
            height = frame.foot + 0.35 * joint.tube.od
            return between(at(-r, height), at(r, height))
        case "target":
            along = 0.75 * frame.reach * frame.way
            low, high = along + big * frame.across, along - big * frame.across
            return between(at(*low), at(*high))
        case "angle":
            return strokes_only(angle_dim(joint, frame))
        case _:
            pass
    # Root gap and extra length belong to the whole edge.
    curve = np.column_stack((r * np.cos(cut.phi), cut.line)) - frame.middle
    edge = Polyline(frame.scale * curve, False, OUTLINE)
    toe = float(cut.line_at(np.array([0.0]))[0])
    tip = at(r, toe)
    if part == "root_gap":
        return Drawing((edge,)) + arrow_to(tip, (tip[0] + 9.0, tip[1] - 6.0))
    tail = (tip[0] + 5.0, tip[1] - 9.0)
    up = (tail[0], tip[1] + 2.0)
    return Drawing((edge,)) + arrow_to(up, tail)


def _on_end(joint: Joint, part: JointPart) -> Drawing:
    r, offset = joint.tube.radius, joint.offset
    frame = end_frame(joint, _WIDTH, _HEIGHT)
    at = frame.at
    if part == "wall":
        out = math.radians(225)
        inner, outer = (
            at(radius * math.cos(out), radius * math.sin(out))
            for radius in (joint.tube.bore_radius, r)
        )
        return between(inner, outer)
    x = 1.25 * r
    if offset == 0:
        place = at(-x, 0)
        return arrow_to(place, (place[0] - 2.0, place[1] + 9.0))
    lines = Drawing(tuple(Line(at(-x, y), at(x, y), DIMENSIONS) for y in (0.0, offset)))
    return lines + between(at(-x, 0), at(-x, offset))
