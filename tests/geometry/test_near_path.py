"""The place of a centreline that is nearest to a place: against scipy's search along it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from geometry.near_path import at_height, nearest_along, step_along
from geometry.path import Path
from geometry.places import point_along
from tests.cases import examples

PATHS = (
    Path(((0.0, 0.0, 0.0), (300.0, 40.0, 20.0)), ()),
    Path(((0.0, 120.0, 0.0), (-300.0, 120.0, 0.0), (-300.0, -120.0, 0.0), (0.0, -120.0, 0.0)), (80.0, 80.0)),
    Path(((0.0, 0.0, 0.0), (200.0, 0.0, 0.0), (300.0, 150.0, 60.0), (300.0, 300.0, 400.0)), (60.0, 90.0)),
)  # fmt: skip
number = st.floats(-400, 400)


@given(
    st.sampled_from(PATHS),
    st.tuples(number, number, number),
    st.sampled_from(["xyz", "xz", "xy", "yz"]),
)
@examples(60)
def test_nothing_on_the_path_is_nearer(path, at, shown):
    axes = ["xyz".index(axis) for axis in shown]

    def away(distance):
        return float(np.linalg.norm((np.array(point_along(path, float(distance))) - at)[axes]))

    found, told = nearest_along(path, at, shown)
    assert 0 <= found <= path.developed_length + 1e-9
    assert away(found) == pytest.approx(told, abs=1e-6)
    steps = np.linspace(0, path.developed_length, 200)
    best = min(
        minimize_scalar(away, bounds=(low, high), method="bounded").fun
        for low, high in zip(steps[:-1], steps[1:], strict=True)
        if min(away(low), away(high)) < told + 20
    )
    assert told <= best + 1e-4


@pytest.mark.parametrize(("distance", "whole", "step", "found"), [
    (99.97, 100.06, 0.1, 100.0), (100.06, 100.06, 0.1, 100.0), (50.04, 100.0, 0.1, 50.0), (-3.0, 100.0, 1.0, 0.0),
    (100.0, 100.0, 0.1, 100.0), (60.0, 60.5, 25.4 / 16, 60.325), (0.3, 0.2, 1.0, 0.0),
])  # fmt: skip
def test_steps_along_a_tube_end_before_it_does(distance, whole, step, found):
    assert step_along(distance, whole, step) == pytest.approx(found)
    assert step_along(distance, whole, step) <= whole


def test_seen_from_its_end_it_is_the_middle():
    assert nearest_along(Path(((0.0, 5.0, 0.0), (0.0, 105.0, 0.0)), ()), (3.0, 0.0, 4.0), "xz") == (
        50.0,
        5.0,
    )


HILL = Path(
    ((0.0, 0.0, 0.0), (100.0, 0.0, 300.0), (300.0, 50.0, 320.0), (420.0, 50.0, -40.0)), (70.0, 90.0)
)


@given(st.sampled_from([*PATHS, HILL]), st.floats(-60, 420))
@examples(80)
def test_heights_are_where_a_search_along_the_path_finds_them(path, height):
    """Against scipy's brentq between samples on either side."""

    def above(distance):
        return point_along(path, float(distance))[2] - height

    steps = np.linspace(0, path.developed_length, 2001)
    rises = np.array([above(one) for one in steps])
    if np.min(np.abs(rises)) < 1e-3 or np.any(np.abs(np.diff(rises)) == 0):
        return
    wanted = [brentq(above, one, other, xtol=1e-9) for one, other, a, b in
              zip(steps[:-1], steps[1:], rises[:-1], rises[1:], strict=True) if (a < 0) != (b < 0)]  # fmt: skip
    assert at_height(path, height) == pytest.approx(wanted, abs=1e-6)


def test_heights_at_the_ends_and_where_it_runs_level():
    assert at_height(HILL, 0.0)[0] == 0.0
    assert at_height(HILL, -40.0) == pytest.approx([HILL.developed_length], abs=1e-6)
    assert at_height(PATHS[1], 0.0) == []
    assert at_height(HILL, 500.0) == []
    post = Path(((0.0, 0.0, 0.0), (-10.1, 0.0, 597.3), (389.9, 0.0, 597.3)), (90.0,))
    assert at_height(post, 597.3) == []
