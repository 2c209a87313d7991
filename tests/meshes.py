"""Tubes as meshes of a general mesh library, for checks from outside."""

from __future__ import annotations

import math

import manifold3d
import numpy as np
import trimesh

from geometry.bend_piece import BendPiece
from geometry.parts import Part
from geometry.pieces import BoxPiece, RoundPiece

SIDES = 192
BACK_MM = 60.0


def facet_error(radius):
    """How far a round skin's flat facets lie inside it, mm."""
    return radius * (1 - math.cos(math.pi / SIDES))


def manifold(mesh):
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    made = manifold3d.Manifold(
        manifold3d.Mesh64(
            np.array(mesh.vertices, dtype=np.float64), np.array(mesh.faces, dtype=np.uint64)
        )
    )
    assert made.status() == manifold3d.Error.NoError
    return made


def turned_to(axis, x):
    """The 3 x 4 matrix that puts z along ``axis`` and x along ``x``."""
    return np.column_stack((x, np.cross(axis, x), axis, np.zeros(3)))


def any_square_to(axis):
    x = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    return x / np.linalg.norm(x)


def solid(piece):
    """A piece, filled, made by the library's own primitives."""
    if isinstance(piece, BendPiece):
        arc = piece.arc
        ring = manifold3d.CrossSection.circle(piece.radius, SIDES).translate((arc.radius, 0.0))
        # Revolved about y, which becomes z; it turns from x towards y.
        made = manifold3d.Manifold.revolve(ring, 2 * SIDES, math.degrees(arc.angle_rad))
        matrix = np.column_stack((arc.outwards, arc.forwards, arc.normal, np.zeros(3)))
        return made.transform(matrix).translate(tuple(arc.centre))
    run = piece.end - piece.start
    length = float(np.linalg.norm(run))
    axis = run / length
    if isinstance(piece, RoundPiece):
        made = manifold3d.Manifold.cylinder(length, piece.radius, piece.radius, SIDES)
        return made.transform(turned_to(axis, any_square_to(axis))).translate(tuple(piece.start))
    assert isinstance(piece, BoxPiece)
    flat = manifold3d.CrossSection.square(
        (piece.height - 2 * piece.corner, piece.width - 2 * piece.corner), center=True
    )
    if piece.corner:
        flat = flat.offset(piece.corner, manifold3d.JoinType.Round, 2.0, SIDES)
    made = manifold3d.Manifold.extrude(flat, length)
    return made.transform(turned_to(axis, piece.up)).translate(tuple(piece.start))


def wall_end(cut, through_wall):
    """The last bit of a cut tube, its wall a closed mesh: its end face as it is cut, ring by ring.

    Args:
        cut: the end.
        through_wall: depths in the wall, from the outside to the inside, and the heights (n,) of the lines at
            each, at the cut's vertices.
    """
    end, part = cut.at, cut.at.part
    places = cut.round_mm[:-1]
    back = np.full(len(places), min(heights.min() for _, heights in through_wall) - BACK_MM)
    rows = [(0.0, back), *((depth, heights[:-1]) for depth, heights in through_wall)]
    rows.append((part.section.wall, back))
    rings = [
        end.spread(part.outline.at(places, depth)) + (heights + cut.shift)[:, None] * end.axis
        for depth, heights in rows
    ]
    count = len(places)
    index = np.arange(count)
    following = (index + 1) % count
    faces = []
    for ring in range(len(rings)):
        here, there = ring * count, (ring + 1) % len(rings) * count
        faces.append(np.column_stack((here + index, here + following, there + following)))
        faces.append(np.column_stack((here + index, there + following, there + index)))
    return trimesh.Trimesh(np.concatenate(rings), np.concatenate(faces), process=False)


def pieces_near(part: Part, cut):
    """The part's pieces that come near a cut, grown by its root gap."""
    near = BACK_MM + 4 * cut.at.part.reach
    kept = []
    for piece in part.pieces:
        low, high = piece.bounds()
        if np.all(low < cut.points().max(axis=0) + near) and np.all(
            high > cut.points().min(axis=0) - near
        ):
            kept.append(piece.grown(cut.at.end.root_gap))
    return kept
