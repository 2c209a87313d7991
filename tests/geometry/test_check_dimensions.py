"""Dimensions to check after tacking, against plain distances between points worked out here."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from app.document.frame_file import open_frame
from geometry.as_bent import AsBent
from geometry.check_dimensions import (
    Middle,
    Span,
    across_pairs,
    bend_points,
    end_points,
    middle_points,
    tube_spans,
)
from geometry.edits import put_tube
from geometry.fitup import solve
from geometry.frame import Frame, Stock, Tube
from geometry.near_path import nearest_along
from geometry.place import Along, At, MirrorOf
from geometry.section import RoundTube

SAMPLES = Path(__file__).parents[2] / "sample_projects"
POINTS = {
    "front left": At(400, 200, 100),
    "front right": MirrorOf("front left"),
    "rear left": At(-300, -150, 250),
    "nose": At(600, 0, 50),
    "spare": At(1, 2, 3),
    "half": Along("side", share=0.5),
}
STOCK = {"s": Stock(RoundTube(25.0, 2.0))}
FRAME = Frame(
    "f",
    STOCK,
    POINTS,
    (
        Tube("bar", "s", ("front left", "front right")),
        Tube("side", "s", ("front left", "rear left"), handed=True),
        Tube("nose tube", "s", ("nose", "half")),
    ),
)

FITTED = solve(FRAME)
NAMES = ("paddock-stand", "single-cylinder", "cargo-trike")


def test_the_points_are_those_at_which_tubes_begin_and_end():
    assert end_points(FITTED) == {
        "front left": (400, 200, 100), "front right": (400, -200, 100), "rear left": (-300, -150, 250),
        "nose": (600, 0, 50), "half": (50, 25, 175),
    }  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_every_point_is_on_the_centreline_of_some_steel(name):
    """A tape cannot be held to the corner of a bend."""
    fitted = solve(open_frame(SAMPLES / name / f"{name}.frame"))
    points = end_points(fitted) | bend_points(fitted)
    for at in points.values():
        mirrored = (at[0], -at[1], at[2])
        away = [nearest_along(one.part.path, p)[1] for one in fitted.parts for p in (at, mirrored)]
        assert min(away) < 0.01


def test_bends_begin_and_end_where_the_straights_touch_them():
    points = {"a": At(0, 0, 0), "k": At(300, 0, 0), "b": At(300, 0, 400)}
    frame = Frame("f", STOCK, points, (Tube("hook", "s", ("a", "k", "b"), (100.0,)),))
    found = bend_points(solve(frame))
    # A right angle: the radius before and after the corner.
    assert found == {
        "hook, bend 1 begins": pytest.approx((200, 0, 0)), "hook, bend 1 ends": pytest.approx((300, 0, 100)),
    }  # fmt: skip


def test_spans_are_straight_lines():
    assert tube_spans(FITTED) == [
        Span("bar", "front left", "front right", 400, 0),
        Span("side", "front left", "rear left", *rising(700, 350, 150)),
        Span("nose tube", "nose", "half", *rising(550, 25, 125)),
    ]


def rising(x, y, z):
    """Length and slope of a straight line, by Pythagoras and a right-angled triangle."""
    return (
        pytest.approx(math.sqrt(x**2 + y**2 + z**2)),
        pytest.approx(math.degrees(math.atan2(z, math.hypot(x, y)))),
    )


@pytest.mark.parametrize(("lean", "slope"), [(0, 90), (60, 81.0274), (-380, 45)])
def test_a_bent_tubes_slope_is_that_of_the_plane_of_its_bends(lean, slope):
    """By hand: a hoop 380 high that leans 60 is atan(380 / 60) from level."""
    points = {
        "a": At(0, 220, 0), "k": At(-lean, 220, 380), "l": At(-lean, -220, 380), "b": At(0, -220, 0),
        "up": At(-lean, -220, 700),
    }  # fmt: skip
    path = ("a", "k", "l", "b")
    flat = Frame("f", STOCK, points, (Tube("hoop", "s", path, (90.0, 90.0)),))
    (span,) = tube_spans(solve(flat))
    assert span.slope_deg == pytest.approx(slope, abs=1e-3)
    if lean:
        twisted = replace(flat.tubes[0], path=("a", "k", "l", "up"))
        (span,) = tube_spans(solve(replace(flat, tubes=(twisted,))))
        assert span.slope_deg is None


def test_across_and_from_corner_to_corner():
    first, second = across_pairs(FITTED)
    assert (first.point, first.image, first.apart) == ("front left", "front right", 400)
    # "half" lies on one hand of a handed tube, and "nose" in the middle: neither has a mirror image of its own.
    assert (second.point, second.image, second.apart) == ("rear left", "", 300)
    assert (first.other, second.other) == ("rear left", "")
    assert first.corner == pytest.approx(math.sqrt(700**2 + 350**2 + 150**2))


def test_pairs_are_found_by_where_they_are():
    """Mirror images of mirror images, two of one place, both sides by coordinates: each pair stands there once."""
    points = {
        "a": At(100, 80, 0), "b": MirrorOf("a"), "c": MirrorOf("b"), "d": MirrorOf("a"),
        "e": At(500, -60, 40), "f": At(500, 60, 40), "g": At(700, 60, 40), "h": At(0, 0, 300), "i": At(0, 0, 400),
    }  # fmt: skip
    tubes = (
        Tube("one", "s", ("a", "b")), Tube("two", "s", ("c", "e")), Tube("three", "s", ("d", "f")),
        Tube("four", "s", ("g", "h")), Tube("five", "s", ("h", "i")),
    )  # fmt: skip
    found = across_pairs(solve(Frame("f", STOCK, points, tubes)))
    assert [(one.point, one.image, one.apart) for one in found] == [
        ("a", "b", 160),
        ("e", "f", 120),
    ]
    assert found[0].corner == pytest.approx(math.dist((100, 80, 0), (500, -60, 40)))


@pytest.mark.parametrize(("forward", "other"), [(-100, "end"), (-500, "hoop, bend 1 ends")])
def test_diagonals_go_to_ends_that_a_tape_finds_unless_they_are_near(forward, other):
    """A hoop whose bends lie farther back than its ends' neighbours: its marks are taken only where ends lie near."""
    points = {
        "front": At(600, 200, 0), "knee": At(-600, 200, 0), "far knee": MirrorOf("knee"), "far front": MirrorOf("front"),
        "end": At(forward if other == "end" else 500, 200, 0), "far end": MirrorOf("end"),
    }  # fmt: skip
    tubes = (
        Tube("hoop", "s", ("front", "knee", "far knee", "far front"), (80.0, 80.0)),
        Tube("cross", "s", ("end", "far end")),
    )
    found = across_pairs(solve(Frame("f", STOCK, points, tubes)))
    (first,) = [one for one in found if one.point == "front"]
    assert first.other == other
    assert first.corner == pytest.approx(
        math.dist((600, 200), (forward, -200) if other == "end" else (-600, -120)), abs=1e-6
    )


@pytest.mark.parametrize("name", NAMES)
def test_both_diagonals_are_alike(name):
    fitted = solve(open_frame(SAMPLES / name / f"{name}.frame"))
    at, pairs = end_points(fitted) | bend_points(fitted), across_pairs(fitted)
    assert pairs
    mirror = np.array((1.0, -1.0, 1.0))
    for one in pairs:
        here = np.array(at[one.point])
        assert one.apart == pytest.approx(np.linalg.norm(here - mirror * here))
        if one.other:
            there = np.array(at[one.other])
            across = there if here[1] * there[1] < 0 else mirror * there
            assert one.corner == pytest.approx(np.linalg.norm(here - across))
            assert one.corner == pytest.approx(np.linalg.norm(mirror * here - mirror * across))
            assert one.back == pytest.approx(one.corner)
            # The far corner is named as what stands there.
            named = at.get(one.far)
            there = mirror * at[one.far.removesuffix(", opposite hand")] if named is None else named
            assert np.allclose(there, across, atol=0.05)


def test_a_frame_of_one_tube_has_no_pairs():
    points = {"nose": At(600, 0, 50), "spare": At(1, 2, 3)}
    frame = put_tube(Frame("f", STOCK, points, ()), Tube("nose tube", "s", ("nose", "spare")))
    assert across_pairs(solve(frame)) == []


def test_hands_that_lie_otherwise_have_a_row_each():
    """Ends as far apart, and one hand twisted out of its plane."""
    points = {
        "a": At(0, 200, 0),
        "k": At(400, 200, 0),
        "l": At(400, 200, 300),
        "b": At(0, 200, 300),
    }
    came = AsBent("right", rotations=(None, 8.0), use=True)
    hoop = Tube("hoop", "s", ("a", "k", "l", "b"), (80.0, 80.0), handed=True, as_bent=(came,))
    spans = tube_spans(solve(Frame("f", STOCK, points, (hoop,))))
    assert [one.tube for one in spans] == ["hoop left", "hoop right"]
    assert (spans[0].slope_deg, spans[1].slope_deg) == (pytest.approx(90), None)


def test_a_point_in_the_middle_is_as_far_from_left_and_right():
    """By Pythagoras; the pair that is farther away is the one that tells most."""
    assert middle_points(FITTED) == [
        Middle(
            "nose",
            # Drawn on the right, whatever its name.
            "rear left, opposite hand",
            "rear left",
            pytest.approx(math.sqrt(900**2 + 150**2 + 200**2)),
            pytest.approx(math.sqrt(900**2 + 150**2 + 200**2)),
        )
    ]


def test_a_frame_like_a_t_has_diagonals_from_its_foot():
    """One pair only, an axle's ends, and a drawbar: there is no far corner, but its hitch must be in the middle."""
    points = {
        "right": At(0, -450, 210), "left": MirrorOf("right"), "middle": At(0, 0, 210), "hitch": At(1200, 0, 360),
    }  # fmt: skip
    tubes = (Tube("axle", "s", ("right", "left")), Tube("drawbar", "s", ("middle", "hitch")))
    fitted = solve(Frame("f", STOCK, points, tubes))
    assert [(one.point, one.image, one.apart, one.other) for one in across_pairs(fitted)] == [
        ("right", "left", 900, "")
    ]
    far = pytest.approx(math.sqrt(1200**2 + 450**2 + 150**2))
    assert middle_points(fitted) == [
        Middle("middle", "left", "right", 450, 450),
        Middle("hitch", "left", "right", far, far),
    ]


def test_a_point_in_the_middle_is_measured_from_where_the_steel_really_is():
    """An arm that came bent otherwise ends elsewhere on the one side, and the two lengths are not alike."""
    points = {
        "a": At(0, 200, 0),
        "k": At(300, 200, 0),
        "b": At(300, 200, 300),
        "nose": At(-900, 0, 0),
        "tail": At(-500, 0, 0),
    }
    came = AsBent("left", angles=(80.0,), use=True, hold="start")
    arm = Tube("arm", "s", ("a", "k", "b"), (60.0,), handed=True, as_bent=(came,))
    tubes = (arm, Tube("x", "s", ("nose", "tail")))
    fitted = solve(Frame("f", STOCK, points, tubes))
    left, right = (one.part.path.vertices[-1] for one in fitted.parts[:2])
    nose, _ = middle_points(fitted)
    assert (nose.point, nose.left, nose.right) == ("nose", "b", "b, opposite hand")
    assert nose.from_left == pytest.approx(math.dist((-900, 0, 0), left))
    assert nose.from_right == pytest.approx(math.dist((-900, 0, 0), right))
    assert abs(nose.from_left - nose.from_right) > 5


@pytest.mark.parametrize("name", NAMES)
def test_every_point_in_the_middle_is_as_far_from_both_sides(name):
    fitted = solve(open_frame(SAMPLES / name / f"{name}.frame"))
    at = end_points(fitted) | bend_points(fitted)
    middle = {name for name, (_, y, _) in end_points(fitted).items() if abs(y) < 1e-6}
    found = middle_points(fitted)
    assert {one.point for one in found} == middle
    for one in found:
        assert one.from_left == pytest.approx(one.from_right)
        here = at[one.left] if one.left in at else np.array((1, -1, 1)) * at[one.right]
        assert one.from_left == pytest.approx(math.dist(at[one.point], here), abs=0.05)
        assert here[1] > 0


def test_what_cannot_be_made_is_not_measured():
    """Its points are there, and no steel at them: the others' figures stay as they are."""
    points = {
        "l": At(0, 310, 0), "r": MirrorOf("l"), "a": At(0, -310, 200), "b": At(50, -310, 200), "c": At(50, -310, 260),
        "mid": At(0, 0, 200), "k": At(10, 0, 200), "m": At(0, 0, 205), "nose": At(900, 0, 0), "tail": At(500, 0, 0),
    }  # fmt: skip
    good = (Tube("bar", "s", ("l", "r")), Tube("x", "s", ("nose", "tail")))
    # Legs too short for the radius.
    bad = (
        Tube("bent", "s", ("a", "b", "c"), (100.0,), handed=True),
        Tube("kinked", "s", ("mid", "k", "m"), (75.0,)),
    )
    some = solve(Frame("f", STOCK, points, good))
    whole = solve(Frame("f", STOCK, points, (*good, *bad)))
    assert len(whole.parts) == len(some.parts) == 2
    assert across_pairs(whole) == across_pairs(some) != []
    assert middle_points(whole) == middle_points(some) != []


def test_a_bend_that_came_across_the_middle_is_measured_where_it_is():
    """A straight between two bends came short: one bend ends, the other begins, on the left; on paper they stay a pair."""
    points = {
        "bl": At(0, 200, 0),
        "k1": At(0, 30, 170),
        "k2": At(0, -30, 170),
        "br": At(0, -200, 0),
        "c": At(-300, 0, 0),
        "d": At(-500, 0, 0),
    }
    came = AsBent("", straights=(None, 4.0, None), use=True, hold="start")
    hoop = Tube("hoop", "s", ("bl", "k1", "k2", "br"), (60.0, 60.0), as_bent=(came,))
    fitted = solve(Frame("f", STOCK, points, (hoop, Tube("x", "s", ("c", "d")))))
    at = bend_points(fitted)
    one, other = "hoop, bend 1 ends", "hoop, bend 2 begins"
    # The test is of nothing unless both are on one side.
    assert at[one][1] > 0
    found = {each.point: each for each in across_pairs(fitted)}
    assert (found[one].image, found[one].apart) == (
        other,
        pytest.approx(math.dist(at[one], at[other])),
    )
    assert found[one].apart == pytest.approx(4.0, abs=1e-6)


def test_both_hands_that_end_in_the_middle_are_measured_each():
    points = {
        "c": At(0, 0, 0),
        "k": At(300, 150, 0),
        "b": At(600, 150, 200),
        "l": At(-400, 200, 0),
        "r": MirrorOf("l"),
        "m": At(-400, 0, 0),
    }
    came = tuple(
        AsBent(hand, angles=(angle,), use=True, hold="finish")
        for hand, angle in (("left", 45.0), ("right", 35.0))
    )
    rail = Tube("rail", "s", ("c", "k", "b"), (60.0,), handed=True, as_bent=came)
    fitted = solve(Frame("f", STOCK, points, (Tube("bar", "s", ("l", "r")), rail)))
    left, right = (
        one.part.path.vertices[0] for one in fitted.parts if one.part.tube.name == "rail"
    )
    (found,) = [one for one in middle_points(fitted) if one.point == "c"]
    ends = {one.part.hand: one.part.path.vertices[-1] for one in fitted.parts if one.part.hand}
    assert found.left == "b"
    assert found.from_left == pytest.approx(math.dist(left, ends["left"]))
    assert found.from_right == pytest.approx(math.dist(right, ends["right"]))
