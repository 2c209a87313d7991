"""Tubes as a picture in space: skins of flat pieces, lines on them, and words."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.bend import end_frames
from geometry.cope import Cut
from geometry.joint import Joint
from geometry.path import Arc, Path
from geometry.section import RoundTube

_AROUND = 48
_ALONG = 17
_ARC_STEP_RAD = math.radians(6.0)


@dataclass(frozen=True, eq=False)
class Skin:
    """A surface of flat pieces.

    Attributes:
        quads: corners (n, 4, 3), mm, anticlockwise as seen from the side that is air.
        tone: which part it belongs to, for shading: 0 the first, 1 the second, …
    """

    quads: Floats
    tone: int


@dataclass(frozen=True, eq=False)
class Mark:
    """A line on a surface: points (n, 3), mm, and the way out of the surface (n, 3) at each."""

    points: Floats
    outwards: Floats


@dataclass(frozen=True, eq=False)
class Label:
    """Words at a place (3,), mm."""

    at: Floats
    words: str


@dataclass(frozen=True, eq=False)
class Scene:
    """All that is seen."""

    skins: tuple[Skin, ...]
    marks: tuple[Mark, ...] = ()
    labels: tuple[Label, ...] = ()


def between_rings(rings: Floats) -> Floats:
    """The pieces between rings (m, k, 3) that each close round, (n, 4, 3).

    The rings run right-handed about the way from the first to the last, and then the pieces face
    outwards.
    """
    after = np.roll(rings, -1, axis=1)
    corners = np.stack((rings[:-1], after[:-1], after[1:], rings[1:]), axis=2)
    return np.asarray(corners.reshape(-1, 4, 3))


def joint_scene(joint: Joint, cut: Cut) -> Scene:
    """A joint on its own: the cut tube with its bore and datum, and the tube that it sits on."""
    tube, big = joint.tube, joint.target_od / 2
    phi = np.arange(2 * _AROUND) / _AROUND * math.pi
    around = np.column_stack((np.cos(phi), np.sin(phi)))
    line = cut.line_at(phi)
    inside = line if cut.fit == "square-cut" else cut.inside_edge(phi)
    foot = cut.short_point - 1.6 * tube.od
    share = np.linspace(0.0, 1.0, _ALONG)[:, None]

    def wall(radius: float, top: Floats) -> Floats:
        heights = foot + share * (top - foot)
        flat = np.broadcast_to(radius * around, (len(share), len(phi), 2))
        return np.asarray(np.concatenate((flat, heights[:, :, None]), axis=2))

    outer, bore = wall(tube.radius, line), wall(tube.bore_radius, inside)
    end = np.stack((outer[-1], bore[-1]))
    angle = math.radians(joint.angle_deg)
    way = np.array([math.sin(angle), 0.0, math.cos(angle)])
    middle = np.array([0.0, joint.offset, 0.0])
    reach = 1.3 * big + 1.1 * tube.od / math.sin(angle)
    straight = (tuple((middle - reach * way).tolist()), tuple((middle + reach * way).tolist()))
    target = Path(straight, ())
    # Its wall is not asked for: as thick as the tube's, or a third of its radius.
    hollow = big - min(tube.wall, big / 3)
    up = np.linspace(foot, float(line[0]), _ALONG)
    datum = np.column_stack((np.full(_ALONG, tube.radius), np.zeros(_ALONG), up))
    out = np.tile([1.0, 0.0, 0.0], (_ALONG, 1))
    ring = np.append(np.arange(len(phi)), 0)
    edges = (
        Mark(outer[-1][ring], np.column_stack((around, np.zeros(len(phi))))[ring]),
        Mark(bore[-1][ring], -np.column_stack((around, np.zeros(len(phi))))[ring]),
    )
    return Scene(
        (
            Skin(between_rings(outer), 0),
            Skin(between_rings(bore)[:, ::-1], 0),
            Skin(between_rings(end), 0),
            *tube_skins(target, big, hollow, 1, 0.3),
        ),
        (Mark(datum, out), *edges),
        (
            Label(np.array([1.1 * tube.radius, 0.0, foot]), "0° datum"),
            Label(middle + (reach + 0.1 * big) * way, "sits on"),
        ),
    )


def tube_skins(
    path: Path, radius: float, bore: float, tone: int, step: float = 1.5
) -> tuple[Skin, Skin, Skin]:
    """The outside of a tube along a path, its bore, and its two end faces.

    Args:
        path: its centreline.
        radius: outside radius, mm.
        bore: inside radius, mm.
        tone: of all three.
        step: length of the pieces along straights, in radii.
    """
    outer, inner = _rings(path, radius, step * radius), _rings(path, bore, step * radius)
    faces = (np.stack((inner[0], outer[0])), np.stack((outer[-1], inner[-1])))
    return (
        Skin(between_rings(outer), tone),
        Skin(between_rings(inner)[:, ::-1], tone),
        Skin(np.concatenate([between_rings(face) for face in faces]), tone),
    )


def bend_scene(path: Path, tube: RoundTube) -> Scene:
    """A bent tube with its datum lines, its points numbered."""
    labels = [
        Label(np.array(vertex), f"bend {number}")
        for number, vertex in enumerate(path.vertices[1:-1], 1)
    ]
    ends = (
        (path.vertices[0], -path.directions[0], "start"),
        (path.vertices[-1], path.directions[-1], "finish"),
    )
    labels += [Label(np.array(at) + way * tube.od, word) for at, way, word in ends]
    marks = []
    for frame, straight in zip(
        end_frames(path), (path.straights[0], path.straights[-1]), strict=True
    ):
        steps = np.linspace(0.0, straight, 12)[:, None]
        points = frame.origin - frame.axis * steps + frame.datum * tube.radius
        marks.append(Mark(points, np.broadcast_to(frame.datum, points.shape)))
    skins = tube_skins(path, tube.radius, tube.bore_radius, 0)
    return Scene(skins, tuple(marks), tuple(labels))


def _rings(path: Path, radius: float, step: float) -> Floats:
    """Rings (m, k, 3) round the path, from its start to its finish, not twisted between bends."""
    phi = np.arange(_AROUND) * (2 * math.pi / _AROUND)
    way = path.directions[0]
    side = end_frames(path)[0].datum
    cosine, sine = np.cos(phi)[:, None], np.sin(phi)[:, None]
    rings: list[Floats] = []
    for segment in path.segments:
        if isinstance(segment, Arc):
            turns = _steps(segment.angle_rad, _ARC_STEP_RAD)
            centres = segment.points(turns)
            sides, ways = (_turned(vector, segment.normal, turns) for vector in (side, way))
            side, way = sides[-1], ways[-1]
        elif segment.length > 1e-6:
            centres = segment.start + _steps(segment.length, step)[:, None] * way
            sides, ways = np.broadcast_to(side, centres.shape), np.broadcast_to(way, centres.shape)
        else:
            continue
        others = np.cross(ways, sides)
        around = cosine * sides[:, None, :] + sine * others[:, None, :]
        rings.append(centres[:, None, :] + radius * around)
    return np.concatenate(rings)


def _steps(whole: float, most: float) -> Floats:
    """From 0 to the whole in even steps of at most so much; 200 steps at most."""
    return np.linspace(0.0, whole, min(math.ceil(whole / most), 200) + 1)


def _turned(vector: Floats, axis: Floats, turns: Floats) -> Floats:
    """A vector (3,) turned about a unit axis by each of (n,), right-handed (Rodrigues), (n, 3)."""
    along = np.dot(vector, axis) * axis
    aside = np.cross(axis, vector)
    cosine, sine = np.cos(turns)[:, None], np.sin(turns)[:, None]
    return np.asarray(along + cosine * (vector - along) + sine * aside)
