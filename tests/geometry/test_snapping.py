"""Where a dragged point comes to rest: the centre-plane, level with another, along a tube, on the grid, or free."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import OutOfRange
from geometry.snapping import snapped

RAIL = {"rail": [((0.0, 50.0, 0.0), (300.0, 50.0, 400.0))]}
PLACES = st.tuples(*[st.floats(-500, 500)] * 3)


@pytest.mark.parametrize(
    ("at", "shown", "rests", "words"),
    [
        ((300.4, 77.0, 20.6), "xz", (300.0, 77.0, 21.0), ""),
        ((10.4, 3.0, 20.6), "yz", (10.4, 0.0, 21.0), "on the centre-plane"),
        ((300.4, 3.0, 20.6), "xz", (300.0, 3.0, 21.0), ""),
        ((97.0, 0.0, 204.0), "xz", (100.0, 0.0, 200.0), "as far forward as seat, as high as seat"),
        ((97.0, 0.0, 250.2), "xz", (100.0, 0.0, 250.0), "as far forward as seat"),
        ((88.0, 40.0, 40.0), "xy", (88.0, 40.0, 40.0), ""),
        ((88.0, 48.0, 40.0), "xy", (88.0, 50.0, 40.0), "along rail"),
        # 3-4-5: the foot of (64, 77) on the line through (0, 0) and (3, 4) is (60, 80).
        ((64.0, 0.0, 77.0), "xz", (60.0, 0.0, 80.0), "along rail"),
    ],
)
def test_rests(at, shown, rests, words):
    rest = snapped(at, shown, {"seat": (100.0, 30.0, 200.0)}, 5.0, 1.0, RAIL)
    assert rest.at == pytest.approx(rests, abs=1e-9)
    assert rest.words == words


def test_beyond_its_ends_a_tube_holds_nothing_but_its_end():
    assert snapped((310.0, 0.0, 414.0), "xz", {}, 5.0, 0.0, RAIL).words == ""
    held = snapped((302.0, 0.0, 402.0), "xz", {}, 5.0, 0.0, RAIL)
    assert held.at == pytest.approx((300.0, 0.0, 400.0))


def test_a_tube_seen_from_its_end_holds_nothing():
    along = {"bar": [((0.0, -100.0, 0.0), (0.0, 100.0, 0.0))]}
    assert snapped((1.0, 0.0, 1.0), "xz", {}, 5.0, 0.0, along).words == ""


@given(PLACES, st.sampled_from(["xz", "xy", "yz"]), PLACES, st.floats(0, 20))
def test_it_never_moves_farther_than_it_says(at, shown, other, within):
    rest = snapped(at, shown, {"other": other}, within, 0.0, RAIL)
    assert all(abs(a - b) <= within + 1e-9 for a, b in zip(rest.at, at, strict=True))
    for number, axis in enumerate("xyz"):
        if axis not in shown:
            assert rest.at[number] == at[number]
    assert bool(rest.words) or rest.at == at


@given(PLACES, st.floats(0.5, 50))
def test_with_nothing_near_it_rests_on_the_grid(at, grid):
    rest = snapped(at, "xz", {}, 0.0, grid)
    for number in (0, 2):
        assert abs(rest.at[number] - at[number]) <= grid / 2 + 1e-9
        steps = rest.at[number] / grid
        assert math.isclose(steps, round(steps), abs_tol=1e-6)


def test_a_grid_below_nothing_is_refused():
    with pytest.raises(OutOfRange, match="grid"):
        snapped((0, 0, 0), "xz", {}, 1.0, -1.0)
