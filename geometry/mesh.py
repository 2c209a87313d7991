"""What a mesh of a part is made of, and how its rings are joined to a closed surface."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.facets import Facets, crossed, facets_of, sizes

_KEPT = 1024


@dataclass(frozen=True, eq=False)
class Joined:
    """How rings of an outside and of its bore are joined to one closed surface; the same for the same rings.

    Attributes:
        rings: how many of the outside, and as many of the bore.
        around: points of each.
        triangles: indices (m, 3) of the points, anticlockwise seen from the air.
        outside: how many triangles, from the first, are the outside; as many of the bore follow, and then the
            end faces.
    """

    rings: int
    around: int
    triangles: Ints
    outside: int


@dataclass(frozen=True, eq=False)
class SolidMesh:
    """A closed surface of one piece of steel.

    Attributes:
        points: (n, 3), mm.
        joined: which of them its triangles are of.
        normals: unit normals (n, 3) at its points, those of the true round, not of its flats: at the first half
            of them out of the outside, at the other half into the bore.
        faces: unit normals (k, 3) of the end faces' triangles.
        edges: its sharp edges as polylines (k, 3): around both ends the outside's and the bore's, each closed,
            and the middles of a box section's corners.
        facets: of its outside.
    """

    points: Floats
    joined: Joined
    normals: Floats
    faces: Floats
    edges: tuple[Floats, ...]
    facets: Facets

    @property
    def triangles(self) -> Ints:
        """Indices (m, 3) of its points, anticlockwise seen from the air."""
        return self.joined.triangles

    @property
    def outside(self) -> int:
        """How many triangles, from the first, are its outside; as many of the bore follow."""
        return self.joined.outside


@lru_cache(maxsize=_KEPT)
def mirrored_mesh(mesh: SolidMesh) -> SolidMesh:
    """The mesh as it is seen in the centre-plane's mirror."""
    facets = mesh.facets
    return replace(
        mesh,
        points=_across(mesh.points),
        joined=joined_rings(mesh.joined.rings, mesh.joined.around, mirrored=True),
        normals=_across(mesh.normals),
        faces=_across(mesh.faces),
        edges=tuple(map(_across, mesh.edges)),
        facets=replace(facets, ways=_across(facets.ways), ridges=_across(facets.ridges)),
    )


def _across(places: Floats) -> Floats:
    """Places or ways (…, 3) seen in the centre-plane's mirror."""
    seen = places.copy()
    np.negative(places[..., 1], out=seen[..., 1])
    return seen


def closed_mesh(skin: Floats, bore: Floats, away: Floats, lines: list[Floats]) -> SolidMesh:
    """Rings (m, n, 3) of the outside and the bore, joined to one surface."""
    how = joined_rings(*skin.shape[:2])
    points = np.concatenate((skin.reshape(-1, 3), bore.reshape(-1, 3)))
    flat = away.reshape(-1, 3)
    corners = points[how.triangles[2 * how.outside :]]
    square = crossed(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    square /= sizes(square)
    normals = np.concatenate((flat, -flat))
    round_again = np.arange(skin.shape[1] + 1) % skin.shape[1]
    rims = [ring[round_again] for ring in (skin[0], bore[0], skin[-1], bore[-1])]
    return SolidMesh(points, how, normals, square, (*rims, *lines), facets_of(skin))


@lru_cache(maxsize=_KEPT)
def joined_rings(count: int, around: int, *, mirrored: bool = False) -> Joined:
    """So many rings of so many points, or what is seen of them in a mirror."""
    if mirrored:
        same = joined_rings(count, around)
        return replace(same, triangles=same.triangles[:, ::-1])
    index = np.arange(count * around).reshape(count, around)
    inside = index + index.size
    outer = _strips(index)
    start = _strips(np.array([index[0], inside[0]]))[:, ::-1]
    finish = _strips(np.array([index[-1], inside[-1]]))
    every = (outer, _strips(inside)[:, ::-1], start, finish)
    return Joined(count, around, np.concatenate(every).astype(np.int64), len(outer))


def _strips(rings: Ints) -> Ints:
    """Triangles (k, 3) between neighbouring rows of indices (m, n), each row closed to a ring.

    Facing away from the middle, where the rows run along the path and each runs right-handed against it.
    """
    here, there = rings[:-1].ravel(), rings[1:].ravel()
    beside, across = (np.roll(rows, -1, axis=1).ravel() for rows in (rings[:-1], rings[1:]))
    return np.concatenate(
        (np.column_stack((here, there, across)), np.column_stack((here, across, beside)))
    )
