"""The flats of a mesh's outside, and the lines along which it turns away from a viewer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.arrays import Floats, Ints

_HAIR = 1e-9
_KEPT = 1024


@dataclass(frozen=True, eq=False)
class Facets:
    """The flats of an outside, for the lines along which it turns away from a viewer.

    Attributes:
        ways: unit normals (f, 3) out of them.
        levels: each one's plane from the origin along its normal (f,), mm.
        ridges: both ends of the lines where two flats meet, (e, 2, 3).
        beside: which two flats those are, (e, 2).
    """

    ways: Floats
    levels: Floats
    ridges: Floats
    beside: Ints

    def contour(self, viewer: Floats) -> Floats:
        """The lines (k, 2, 3) where what faces a viewer meets what does not.

        Args:
            viewer: (4,): a place and 1, or the way to a viewer who is endlessly far away and 0.
        """
        # Flats seen edge on count as turned away, all of them.
        faces = self.ways @ viewer[:3] > viewer[3] * self.levels + _HAIR
        turns = faces[self.beside[:, 0]] != faces[self.beside[:, 1]]
        return np.asarray(self.ridges[turns])


def joined(facets: Sequence[Facets]) -> Facets:
    """The flats of several outsides."""
    firsts = np.cumsum([0, *(len(some.ways) for some in facets)])
    return Facets(
        np.concatenate([np.zeros((0, 3)), *(some.ways for some in facets)]),
        np.concatenate([np.zeros(0), *(some.levels for some in facets)]),
        np.concatenate([np.zeros((0, 2, 3)), *(some.ridges for some in facets)]),
        np.concatenate([
            np.zeros((0, 2), dtype=np.int64),
            *(some.beside + first for some, first in zip(facets, firsts.tolist(), strict=False)),
        ]),
    )  # fmt: skip


def facets_of(skin: Floats) -> Facets:
    """The flats between rings (m, n, 3), each between two rings and two of the lines along the part."""
    count, around = skin.shape[:2]
    beside = np.concatenate((skin[:, 1:], skin[:, :1]), axis=1)
    ways = crossed(skin[1:] - beside[:-1], beside[1:] - skin[:-1]).reshape(-1, 3)
    ways /= sizes(ways)
    flats = len(ways)
    ridges = np.empty((2 * flats - around, 2, 3))
    for end, (along, across) in enumerate(((skin[:-1], skin[1:-1]), (skin[1:], beside[1:-1]))):
        ridges[:flats, end] = along.reshape(-1, 3)
        ridges[flats:, end] = across.reshape(-1, 3)
    # Planes all of them: of straights and arcs, their ends cut along straight lines.
    levels = np.einsum("ij,ij->i", ways, skin[:-1].reshape(-1, 3))
    return Facets(ways, levels, ridges, flats_beside(count - 1, around))


@lru_cache(maxsize=_KEPT)
def flats_beside(rows: int, around: int) -> Ints:
    """Which two flats (e, 2) meet at each ridge, along the part first, of so many rows of so many flats."""
    number = np.arange(rows * around).reshape(rows, around)
    return np.concatenate((
        np.column_stack((np.roll(number, 1, axis=1).ravel(), number.ravel())),
        np.column_stack((number[:-1].ravel(), number[1:].ravel())),
    ))  # fmt: skip


def sizes(vectors: Floats) -> Floats:
    """Lengths (n, 1) of vectors (n, 3), none of them 0."""
    return np.asarray(np.sqrt(np.maximum(np.einsum("ij,ij->i", vectors, vectors), 1e-24))[:, None])


def crossed(a: Floats, b: Floats) -> Floats:
    """Cross products of vectors (…, 3), without what numpy's own does besides."""
    found = np.empty_like(a)
    for number in range(3):
        one, two = (number + 1) % 3, (number + 2) % 3
        found[..., number] = a[..., one] * b[..., two] - a[..., two] * b[..., one]
    return found
