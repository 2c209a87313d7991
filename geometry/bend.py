"""The bend table and back, where to mark the tube, and what the wall does in a bend."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.errors import BadPath, OutOfRange
from geometry.lengths import mm
from geometry.path import Path, Point
from geometry.said import said
from geometry.section import RoundTube
from geometry.vectors import length

_FLAT_DEG = 1e-9
"""Rotations this near 0 or 180 degrees are rounding on a flat path."""
_UP, _AHEAD = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
_STEEP = 0.9
"""Of a unit vector's height: from there on a straight tube counts as upright."""


@dataclass(frozen=True)
class BendRow:
    """One row of the bend table.

    Attributes:
        length: the straight before the bend, tangent to tangent, mm; the first from the start.
        rotation_deg: turn of the bend plane since the bend before, right-handed about the direction
            from start to finish, in (-180, 180]; 0 for the first.
        angle_deg: bend angle; 0 would be straight on.
        clr: centreline radius in the finished part, mm.
    """

    length: float
    rotation_deg: float
    angle_deg: float
    clr: float

    @property
    def arc(self) -> float:
        """Length of the bend along the centreline, mm."""
        return self.clr * math.radians(self.angle_deg)


def bend_table(path: Path) -> tuple[BendRow, ...]:
    """The rows of a path's bends; its last straight is ``path.straights[-1]``.

    Rotation is the signed angle between neighbouring bend planes about the leg they share.
    """
    ways = path.directions
    normals = np.cross(ways[:-1], ways[1:])
    rows = []
    for index, (radius, angle) in enumerate(zip(path.radii, path.bend_angles_rad, strict=True)):
        rotation = 0.0
        if index:
            before, after = normals[index - 1], normals[index]
            sine = float(np.dot(np.cross(before, after), ways[index]))
            rotation = math.degrees(math.atan2(sine, float(np.dot(before, after))))
            if abs(rotation) < _FLAT_DEG:
                rotation = 0.0
            if rotation < _FLAT_DEG - 180:
                rotation = 180.0
        rows.append(BendRow(path.straights[index], rotation, math.degrees(angle), radius))
    return tuple(rows)


def path_from_table(
    rows: Sequence[BendRow],
    last_straight: float,
    start: Point = (0.0, 0.0, 0.0),
    along: Point = (1.0, 0.0, 0.0),
    towards: Point = (0.0, 1.0, 0.0),
) -> Path:
    """The inverse of ``bend_table``: the path that a bend table makes.

    Args:
        rows: the bends from start to finish.
        last_straight: straight after the last bend, mm.
        start: where the path begins, mm.
        along: direction of the first leg.
        towards: a direction the first bend turns to; only its part across ``along`` counts.

    Raises:
        OutOfRange: for a bend angle outside 0 to 180 degrees.
        BadPath: for directions that leave the first bend's plane open, or a path that cannot be bent.
    """
    way = np.array(along, dtype=np.float64)
    side = np.array(towards, dtype=np.float64)
    size = np.linalg.norm(way)
    way = way / size if size else way
    side = side - np.dot(side, way) * way
    if not size or np.linalg.norm(side) < 1e-9 * np.linalg.norm(np.array(towards)):
        text = said(
            "the first bend's plane is open: 'along' and 'towards' must differ in direction"
        )
        raise BadPath(text)
    side /= np.linalg.norm(side)
    at = np.array(start, dtype=np.float64)
    points, setback = [at], 0.0
    for number, row in enumerate(rows, 1):
        if not 0 < row.angle_deg < 180:
            text = said(
                "bend {number} angle is {angle}°; allowed is above 0 and below 180°",
                number=number, angle=f"{row.angle_deg:g}",
            )  # fmt: skip
            raise OutOfRange(text)
        if number > 1:
            turn = math.radians(row.rotation_deg)
            side = math.cos(turn) * side + math.sin(turn) * np.cross(way, side)
        bend = math.radians(row.angle_deg)
        next_setback = row.clr * math.tan(bend / 2)
        at = at + (setback + row.length + next_setback) * way
        points.append(at)
        way, side = (
            math.cos(bend) * way + math.sin(bend) * side,
            math.cos(bend) * side - math.sin(bend) * way,
        )
        setback = next_setback
    points.append(at + (setback + last_straight) * way)
    vertices = tuple((float(x), float(y), float(z)) for x, y, z in points)
    return Path(vertices, tuple(row.clr for row in rows))


@dataclass(frozen=True)
class BendMarks:
    """Where to mark the bar for one bend, mm from the end of the bar that the path starts at.

    Attributes:
        start: first tangent point.
        middle: middle of the bend.
        end: second tangent point.
        tool: where the tool's reference mark goes.
    """

    start: float
    middle: float
    end: float
    tool: float


def bend_marks(
    path: Path, trim_start: float = 0.0, tool_reference: float = 0.0
) -> tuple[BendMarks, ...]:
    """Marks along the straight bar for each bend.

    Args:
        path: the finished centreline; bending keeps the length of the neutral fibre.
        trim_start: length left on before the path's start, mm.
        tool_reference: how far before the first tangent point, towards the start, the tool's
            reference mark lies, mm; negative where it lies behind.
    """
    marks = []
    at = trim_start
    for straight, radius, angle in zip(
        path.straights[:-1], path.radii, path.bend_angles_rad, strict=True
    ):
        begin = at + straight
        at = begin + radius * angle
        marks.append(BendMarks(begin, (begin + at) / 2, at, begin - tool_reference))
    return tuple(marks)


@dataclass(frozen=True)
class BendWall:
    """What a bend does to the wall, the neutral axis taken on the centreline.

    Attributes:
        outside: wall on the outside of the bend, mm.
        inside: wall on the inside of the bend, mm.
        strain: stretch of the outermost fibre, as a share.
    """

    outside: float
    inside: float
    strain: float


def bend_wall(tube: RoundTube, clr: float) -> BendWall:
    """Wall outside and inside a bend: ``t R / (R + D/2)``, ``t R / (R - D/2)``; strain ``D / (2 R)``.

    The geometric rule of boiler-tube practice: neutral axis on the centreline, each lengthwise
    fibre keeping its volume.

    Raises:
        OutOfRange: for a radius not above half the diameter, where the inside would fold.
    """
    if not clr > tube.radius:
        text = said(
            "bend radius is {radius}; allowed is above {half}, half the tube's OD, for the inside of the bend to exist",
            radius=mm(clr, places=None), half=mm(tube.radius, places=None),
        )  # fmt: skip
        raise OutOfRange(text)
    return BendWall(
        tube.wall * clr / (clr + tube.radius),
        tube.wall * clr / (clr - tube.radius),
        tube.radius / clr,
    )


@dataclass(frozen=True, eq=False)
class EndFrame:
    """Where a bent tube's end is and how its wrap is clocked.

    Attributes:
        end: "start" or "finish".
        origin: end of the centreline (3,), mm.
        axis: unit vector (3,) out of the tube.
        datum: unit vector (3,) square to the axis: the outside of the nearest bend.
    """

    end: str
    origin: Floats
    axis: Floats
    datum: Floats


def end_frames(path: Path) -> tuple[EndFrame, EndFrame]:
    """Both ends; a straight tube's datum faces up, or forward if it stands upright."""
    first, last = path.directions[0], path.directions[-1]
    if path.radii:
        # The outside of a bend faces away from where its other leg goes.
        start = _square(first - path.directions[1], first)
        finish = _square(path.directions[-2] - last, last)
    else:
        start = finish = _square(_UP if abs(first[2]) < _STEEP else _AHEAD, first)
    at_start, at_finish = (np.array(path.vertices[end], dtype=np.float64) for end in (0, -1))
    return (
        EndFrame("start", at_start, -first, start),
        EndFrame("finish", at_finish, last, finish),
    )


def _square(away: Floats, axis: Floats) -> Floats:
    """The unit vector (3,) square to an axis that is nearest to a way."""
    aside = away - (away @ axis) * axis
    return np.asarray(aside / length(aside))
