"""Flat ends, mitres, and ends cut straight through the wall, each checked another way."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from geometry.cope import cope
from geometry.fitup import solve
from geometry.frame import End, Frame, Plane, Stock, Tube
from geometry.joint import Joint
from geometry.place import At
from geometry.section import BoxSection, RoundTube
from tests.cases import examples

STOCK = {"main": Stock(RoundTube(38.1, 2.0)), "thin": Stock(RoundTube(25.0, 3.0)), "box": Stock(BoxSection(50.0, 30.0, 3.0, 4.5))}  # fmt: skip
SQUARE = End("square")


def cuts_of(points, *tubes):
    fitted = solve(Frame("f", STOCK, {name: At(*place) for name, place in points.items()}, tubes))
    assert not fitted.findings
    return {(one.part.name, cut.at.name): cut for one in fitted.parts for cut in one.cuts if cut}


far = st.tuples(*[st.floats(-300, 300)] * 3).filter(lambda v: math.hypot(*v) > 150)


@examples(40)
@given(far, far)
def test_two_equal_round_tubes_mitred_meet_in_one_ellipse(one, two):
    """Every point of one's cut is on the other's outside and as far from both ends' planes."""
    a, b = np.array(one) / math.hypot(*one), np.array(two) / math.hypot(*two)
    assume(0.1 < math.acos(np.clip(a @ b, -1, 1)) < 3.0)
    cuts = cuts_of(
        {"p": one, "q": two, "o": (0, 0, 0)},
        Tube("one", "main", ("p", "o"), (), (SQUARE, End("mitre", other="two"))),
        Tube("two", "main", ("q", "o"), (), (SQUARE, End("mitre", other="one"))),
    )
    for name, other_way in (("one", b), ("two", a)):
        points = cuts[name, "finish"].points()
        from_other = np.linalg.norm(np.cross(points, other_way), axis=1)
        np.testing.assert_allclose(from_other, 19.05, atol=1e-9)
        np.testing.assert_allclose(points @ (a - b), 0.0, atol=1e-9)


def test_one_running_past_and_the_other_butting_it():
    cuts = cuts_of(
        {"p": (-300, 0, 0), "q": (0, 300, 0), "o": (0, 0, 0)},
        Tube("one", "main", ("p", "o"), (), (SQUARE, End("mitre", other="two", way="past"))),
        Tube("two", "main", ("q", "o"), (), (SQUARE, End("mitre", other="one", way="butt"))),
    )
    past, butt = cuts["one", "finish"], cuts["two", "finish"]
    assert past.beyond == pytest.approx(19.05)
    points = butt.points()
    np.testing.assert_allclose(np.hypot(points[:, 1], points[:, 2]), 19.05, atol=1e-9)
    assert points[:, 0].max() <= past.beyond + 1e-9


@examples(40)
@given(far, far, st.sampled_from(["main", "box"]))
def test_an_end_on_a_plate_lies_in_the_plate(start, normal, stock):
    way = -np.array(start) / math.hypot(*start)
    unit = np.array(normal) / math.hypot(*normal)
    assume(abs(way @ unit) > 0.2)
    plane = Plane((5.0, -3.0, 2.0), normal)
    cut = cuts_of(
        {"p": start, "o": (0, 0, 0)},
        Tube("t", stock, ("p", "o"), (), (SQUARE, End("plane", plane=plane)), roll_deg=33.0),
    )["t", "finish"]
    np.testing.assert_allclose((cut.points() - (5.0, -3.0, 2.0)) @ unit, 0.0, atol=1e-9)
    assert cut.angle_deg == pytest.approx(math.degrees(math.asin(min(abs(way @ unit), 1.0))))


def test_a_plate_cut_is_the_published_mitre():
    """A plane at B from square makes a total offset of D tan B: 25 at 45 degrees 25.000, 38 at 30 degrees
    21.939 (plane mitre, drawing textbooks; the second value computed)."""
    for od, degrees, offset in ((25.0, 45.0, 25.0), (38.0, 30.0, 21.939)):
        stock = {"s": Stock(RoundTube(od, 2.0))}
        turn = math.radians(degrees)
        plane = Plane((0, 0, 0), (math.cos(turn), math.sin(turn), 0))
        frame = Frame("f", stock, {"p": At(-200, 0, 0), "o": At(0, 0, 0)}, (Tube("t", "s", ("p", "o"), (), (SQUARE, End("plane", plane=plane))),))  # fmt: skip
        cut = solve(frame).parts[0].cuts[1]
        assert cut.long_point - cut.short_point == pytest.approx(offset, abs=5e-4)


@examples(30)
@given(st.floats(35, 90), st.floats(-8, 8), st.sampled_from(["rail", "bent", "box"]))
def test_cut_straight_through_is_the_lowest_through_the_wall(angle, offset, onto):
    """Against the height at every one of 300 depths; on a straight round rail, against the closed form too."""
    turn = math.radians(angle)
    points = {
        "a": (-300, offset, 0), "b": (300, offset, 0), "c": (320, offset, 200), "o": (0, 0, 0),
        "p": (-260 * math.cos(turn), 0, 260 * math.sin(turn)),
    }  # fmt: skip
    rail = {
        "rail": Tube("t", "main", ("a", "b"), (), (SQUARE, SQUARE)),
        "bent": Tube("t", "main", ("a", "b", "c"), (150.0,), (SQUARE, SQUARE)),
        "box": Tube("t", "box", ("a", "b"), (), (SQUARE, SQUARE), roll_deg=21.0),
    }[onto]
    cut = cuts_of(
        points, rail, Tube("u", "thin", ("p", "o"), (), (SQUARE, End("cope", "square-cut")))
    )["u", "finish"]
    if onto == "rail":
        lone = cope(Joint(RoundTube(25.0, 3.0), 38.1, cut.angle_deg, cut.offset, "square-cut"))
        assert (cut.long_point, cut.short_point) == pytest.approx(
            (lone.long_point, lone.short_point), abs=1e-6
        )
        assert cut.outside_gap == pytest.approx(lone.outside_gap, abs=1e-6)
        return
    step = max(len(cut.round_mm) // 40, 1)
    places, heights = cut.round_mm[::step], cut.heights[::step]
    parts = solve(Frame("f", STOCK, {n: At(*v) for n, v in points.items()}, (rail,))).parts
    pieces = parts[0].part.pieces
    lowest = np.full(len(places), np.inf)
    for depth in np.linspace(0.0, 3.0, 301):
        starts = cut.at.spread(cut.at.part.outline.at(places, float(depth)))
        for piece in pieces:
            lowest = np.minimum(lowest, piece.entries(starts, cut.at.axis, -150.0) - cut.shift)
    met = np.isfinite(lowest)
    # Never above any depth; and no lower than the depths between the 301 allow.
    assert np.all(heights[met] <= lowest[met] + 1e-6)
    assert np.quantile(lowest[met] - heights[met], 0.9) < 1e-2
