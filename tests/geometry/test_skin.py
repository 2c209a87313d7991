"""A fitted part's outside in space, and how deep a place is in it."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.fitup import solve
from geometry.skin import depth_in, skin_rings
from tests.frames import EVERYTHING

FITTED = solve(EVERYTHING)
# The strut's plane cuts more off than there is of it.
WHOLE = [one for one in FITTED.parts if one.part.name != "strut"]
PARTS = pytest.mark.parametrize("one", WHOLE, ids=lambda one: one.part.name)


@PARTS
def test_the_skin_is_the_sections_outline_along_the_centreline(one):
    rings = skin_rings(one, 48, 15.0)
    assert rings.shape[1:] == (48, 3)
    depth, _ = depth_in(one, rings[1:-1].reshape(-1, 3))
    # Between the cuts every point is on the outside: not deeper, not farther out.
    assert np.max(np.abs(depth)) < 1e-6


@PARTS
def test_the_first_and_last_rings_are_the_cuts(one):
    rings = skin_rings(one)
    for cut, ring in zip(one.cuts, rings[[0, -1]], strict=True):
        line = cut.points()
        apart = np.linalg.norm(ring[:, None] - line[None], axis=2).min(axis=1)
        assert apart.max() < 3.0
        assert np.median(apart) < 1.0


def test_the_skin_is_not_twisted():
    """Lines along a bent tube stay opposite each other, and turn no faster than its bends."""
    (one,) = [one for one in FITTED.parts if one.part.name == "top rail left"]
    rings = skin_rings(one, 48, 15.0)
    # Between the cut ends' straights.
    rings = rings[len(rings) // 3 : -len(rings) // 3]
    across = np.linalg.norm(rings - np.roll(rings, 24, axis=1), axis=2)
    np.testing.assert_allclose(across, 25.0, atol=0.1)
    assert np.linalg.norm(np.diff(rings, axis=0), axis=2).max() < 0.11 * (150 + 12.5) + 1.0


def test_depths_in_a_round_tube_and_beyond_its_cut():
    (one,) = [one for one in FITTED.parts if one.part.name == "headstock"]
    way = one.part.path.directions[0]
    start = np.array(one.part.path.vertices[0])
    side = one.part.ends[0].datum
    points = np.array(
        [start + 50 * way + 15 * side, start + 50 * way, start - 14 * way, start - 16 * way]
    )
    depth, from_bore = depth_in(one, points)
    # 15 mm is left on at this end.
    np.testing.assert_allclose(depth, [4.05, 19.05, 1.0, -1.0], atol=1e-9)
    np.testing.assert_allclose(from_bore[:2], [15 - 17.02, -17.02], atol=1e-9)
