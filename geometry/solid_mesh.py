"""A fitted part as a closed mesh: outside, bore and both end faces as they are cut, and its sharp edges."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from geometry.arrays import Floats
from geometry.end_cut import EndCut, height_at
from geometry.fitup import FittedPart
from geometry.kept import Kept
from geometry.mesh import SolidMesh, closed_mesh, mirrored_mesh
from geometry.mesh_lines import bore_ends_at, follows_outside, is_plane, line_places, round_end
from geometry.outline import BoxOutline, Outline
from geometry.parts import Part, PartEnd
from geometry.path import Arc
from geometry.section import RoundTube
from geometry.skin import arc_steps, turned
from geometry.straight_meshes import Cuts, Work, straight_meshes

_HAIR = 1e-9
_KEPT: Kept[tuple[Part, Cuts, tuple[Part, ...]], SolidMesh] = Kept(1024)


def solid_mesh(one: FittedPart, others: Mapping[str, Part] | None = None) -> SolidMesh:
    """The mesh of a part; that of the same part and cuts is kept.

    A filed end follows what it sits on all through its wall, so its bore's edge is where the bore's lines
    enter that. A square-cut end, and one at a plane, need nothing else.

    Args:
        one: the part. An end that is not cut is flat, at the end of its centreline.
        others: parts by name, what it sits on among them. A coped end onto a part that is not there is
            meshed as if its wall were cut straight through.

    Returns:
        The mesh; where a cut takes more than there is of the part, it runs through itself.
    """
    return _meshes([one], others or {})[0]


def solid_meshes(every: Sequence[FittedPart]) -> list[SolidMesh]:
    """The meshes of all parts of a frame, as ``solid_mesh`` has them: faster than one by one."""
    return _meshes(every, {one.part.name: one.part for one in every})


def _meshes(several: Sequence[FittedPart], known: Mapping[str, Part]) -> list[SolidMesh]:
    firsts = [_first(one) for one in several]
    work = []
    for one, first in zip(several, firsts, strict=True):
        made = first or one
        names = [name for cut in made.cuts if cut is not None for name in cut.onto]
        onto = tuple(known[name] for name in names if name in known)
        work.append((made.part, made.cuts, onto))
    return [
        mirrored_mesh(mesh) if first is not None else mesh
        for mesh, first in zip(_KEPT.many(work, _made), firsts, strict=True)
    ]


def _made(work: Sequence[Work]) -> list[SolidMesh]:
    straight = [one for one in work if _is_straight(one[0])]
    meshes = iter(straight_meshes(straight))
    return [next(meshes) if _is_straight(one[0]) else _meshed(*one) for one in work]


def _is_straight(part: Part) -> bool:
    return isinstance(part.section, RoundTube) and len(part.path.segments) == 1


def _first(one: FittedPart) -> FittedPart | None:
    """The other hand's part, where this one's cuts are the images of its own."""
    start, finish = (cut.image_of if cut is not None else None for cut in one.cuts)
    if start is None or finish is None or start.at.part is not finish.at.part:
        return None
    return FittedPart(start.at.part, (start, finish)) if start.at.part is not one.part else None


def _meshed(
    part: Part, cuts: tuple[EndCut | None, EndCut | None], onto: tuple[Part, ...]
) -> SolidMesh:
    outline, wall = part.outline, part.section.wall
    centres, frames = _stations(part)
    turns = (np.eye(2), frames[-1] @ part.ends[1].across.T)
    ends = list(zip(part.ends, cuts, turns, strict=True))
    places = line_places(outline, cuts, turns)
    out = outline.normals(places)
    flat, inside = outline.at(places), outline.at(places, wall)
    stops = [_outside_stops(cut, outline, places, turn) for _, cut, turn in ends]
    bores = [
        _bore_stops(end, cut, inside @ turn, stop, onto)
        for (end, cut, turn), stop in zip(ends, stops, strict=True)
    ]
    straights = part.path.straights
    # The outermost stations give way to the cuts, but where a bend begins at the very end and that is cut.
    first = 1 if straights[0] >= _HAIR or not np.any(stops[0]) else 0
    last = len(centres) - (1 if straights[-1] >= _HAIR or not np.any(stops[1]) else 0)

    def rings(flat: Floats, beyond: list[Floats]) -> Floats:
        made = np.empty((last - first + 2, len(flat), 3))
        for row, (end, _, turn), stop in zip((0, -1), ends, beyond, strict=True):
            made[row] = end.spread(flat @ turn) + stop[:, None] * end.axis
        if last > first:
            inner = _in_space(flat, frames[first:last])
            made[1:-1] = inner + centres[first:last, None]
        return made

    skin = rings(flat, stops)
    rows = [0, *range(first, last), len(centres) - 1]
    away = _in_space(out, frames[rows])
    return closed_mesh(skin, rings(inside, bores), away, _corner_lines(outline, places, skin))


def _stations(part: Part) -> tuple[Floats, Floats]:
    """Where sections stand along the centreline: middles (m, 3), and each one's datum and third (m, 2, 3).

    They are carried along from the start, whose datum and third the first ones are.
    """
    carried = part.ends[0].across
    middles, frames = list[Floats](), list[Floats]()
    for segment in part.path.segments:
        if isinstance(segment, Arc):
            turns = arc_steps(segment.angle_rad)
            middles.append(segment.points(turns))
            frames.append(turned(carried, segment.normal, turns))
            carried = frames[-1][-1]
        else:
            middles.append(np.array((segment.start, segment.end)))
            frames.append(np.array((carried, carried)))
    along = np.concatenate(middles)
    # One bend's end is the next straight's beginning.
    new = np.append(True, np.abs(np.diff(along, axis=0)).max(axis=1) > _HAIR)
    return along[new], np.concatenate(frames)[new]


def _in_space(flat: Floats, frames: Floats) -> Floats:
    """Places or ways (n, 2) of the section at stations' datums and thirds (m, 2, 3), (m, n, 3)."""
    rows = frames.swapaxes(0, 1).reshape(2, -1)
    return np.asarray((flat @ rows).reshape(len(flat), -1, 3).swapaxes(0, 1))


def _outside_stops(cut: EndCut | None, outline: Outline, places: Floats, turn: Floats) -> Floats:
    """How far beyond the end's point the outside's lines, so far round (n,) at the start, go, mm."""
    if cut is None:
        return np.zeros(len(places))
    return cut.shift + height_at(cut, round_end(outline, places, turn))


def _bore_stops(
    end: PartEnd, cut: EndCut | None, flat: Floats, outside: Floats, onto: tuple[Part, ...]
) -> Floats:
    """How far beyond the end's point the bore's lines at places (n, 2) go, mm.

    Args:
        end: the end.
        cut: its cut.
        flat: where the lines are.
        outside: where those outside them stop (n,).
        onto: what the end may sit on.
    """
    if cut is None or follows_outside(cut):
        return outside
    if is_plane(end, cut):
        # Its slopes are those of the outside's line.
        rows = end.part.outline.at(cut.round_mm)
        known = np.column_stack((rows, np.ones(len(rows))))
        slopes = np.linalg.lstsq(known, cut.heights, rcond=None)[0]
        return np.asarray(cut.shift + flat @ slopes[:2] + slopes[2])
    starts = end.spread(flat)
    between = float(outside.min()), float(outside.max())
    pieces, least, most = bore_ends_at(end, cut, starts, between, onto)
    first = np.full(len(starts), np.inf)
    for piece in pieces:
        first = np.minimum(first, piece.entries(starts, end.axis, least))
    return np.where(first <= most, first + end.end.extra, outside)


def _corner_lines(outline: Outline, places: Floats, skin: Floats) -> list[Floats]:
    """The middles of a box section's corners along the part."""
    if not isinstance(outline, BoxOutline):
        return []
    middles = np.array(outline.corners).reshape(-1, 2).mean(axis=1)
    return [skin[:, int(np.argmin(np.abs(places - middle)))] for middle in middles]
