"""Slips of the keys, and tubes that cannot be put in place: found where they are, and not where they are not."""

from __future__ import annotations

import pytest

from geometry.fitup import solve
from geometry.frame import At, End, Frame, MirrorOf, Stock, Tube
from geometry.frame_checks import frame_findings
from geometry.section import BoxSection, RoundTube

STOCK = {
    "main": Stock(RoundTube(38.1, 2.0)),
    "thin": Stock(RoundTube(25.0, 1.5)),
    "rod": Stock(RoundTube(16.0, 1.5)),
    "box": Stock(BoxSection(40.0, 20.0, 2.0, 3.0)),
}
SQUARE = End("square")


def found(points, *tubes):
    places = {
        name: At(*place) if isinstance(place, tuple) else place for name, place in points.items()
    }
    return [
        (finding.code, finding.where, finding.what)
        for finding in frame_findings(solve(Frame("f", STOCK, places, tubes)))
    ]


def square(name, *path, stock="main", **more):
    return Tube(name, stock, path, (), (SQUARE, SQUARE), **more)


RAIL = {"a": (0, 100, 0), "b": (800, 100, 0)}


@pytest.mark.parametrize(("gap", "seen"), [(0.0, False), (1.5, True), (4.0, False)])
def test_a_square_end_that_stops_just_short(gap, seen):
    points = {**RAIL, "p": (400, 100, 19.05 + gap), "q": (400, 100, 300)}
    findings = found(points, square("rail", "a", "b"), square("post", "p", "q", stock="thin"))
    almost = [what for code, where, what in findings if code == "almost-touching"]
    assert bool(almost) == seen
    if seen:
        assert almost == ["It stops 1.5 mm short of rail, which looks like a slip."]


def test_a_coped_end_that_stops_short_says_by_how_much():
    points = {**RAIL, "p": (400, 100, 31), "q": (400, 100, 300)}
    findings = found(
        points, square("rail", "a", "b"), Tube("post", "thin", ("p", "q"), (), (End(), SQUARE))
    )
    assert (
        "almost-touching",
        "post, start",
        "It stops 11.95 mm short of rail, which looks like a slip.",
    ) in findings
    assert any(code == "end-not-cut" for code, _, _ in findings)


def test_points_that_are_almost_one():
    points = {**RAIL, "p": (800, 100, 1.2), "q": (900, 100, 300)}
    findings = found(
        points, square("rail", "a", "b"), Tube("post", "thin", ("p", "q"), (), (End(), SQUARE))
    )
    assert [what for code, where, what in findings if where == "points b and p"] == [
        "They are 1.2 mm apart, which looks like a slip."
    ]


@pytest.mark.parametrize(("y", "seen"), [(-100, False), (-98, True), (-60, False)])
def test_a_part_that_is_almost_the_mirror_image_of_another(y, seen):
    points = {**RAIL, "c": (0, -100, 0), "d": (800, y, 0)}
    findings = found(points, square("left rail", "a", "b"), square("right rail", "d", "c"))
    assert ("almost-mirrored" in [code for code, _, _ in findings]) == seen


@pytest.mark.parametrize(("y", "seen"), [(-100, False), (-97, True)])
def test_a_part_that_is_almost_its_own_mirror_image(y, seen):
    findings = found({"a": (0, 100, 0), "b": (0, y, 0)}, square("cross", "a", "b"))
    assert ("almost-mirrored" in [code for code, _, _ in findings]) == seen


def test_hands_that_meet_different_things():
    points = {"a": (0, 100, 0), "b": (800, 100, 0), "c": (0, -100, 0), "d": (800, -100, 60),
              "p": (400, 100, 0), "q": (400, 60, 300)}  # fmt: skip
    tubes = [square("left rail", "a", "b"), square("right rail", "c", "d"),
             Tube("stay", "thin", ("p", "q"), (), (End(), SQUARE), handed=True)]  # fmt: skip
    assert ("hands-differ", "stay, start") in [(c, w) for c, w, _ in found(points, *tubes)]
    points["d"] = MirrorOf("b")
    assert "hands-differ" not in [code for code, _, _ in found(points, *tubes)]


CAGE = {"a": (0, 100, 0), "b": (800, 100, 0), "c": (0, -100, 0), "d": (800, -100, 0),
        "e": (400, 100, 0), "f": (400, -100, 0)}  # fmt: skip


def cage(beside):
    """Two rails, cross tubes so far beside the middle on both sides, and one to be put in between them."""
    points = {**CAGE}
    tubes = [square("left rail", "a", "b"), square("right rail", "c", "d")]
    for name, x in (("front", 400 + beside), ("rear", 400 - beside)):
        points |= {f"{name} 1": (x, 100, 0), f"{name} 2": (x, -100, 0)}
        tubes.append(Tube(f"{name} cross", "main", (f"{name} 1", f"{name} 2")))
    return points, tubes, Tube("middle cross", "main", ("e", "f"))


def test_a_tube_that_can_no_longer_be_put_in_place():
    """Its ends straddle both rails, so it only slides along them, and there the others bar its way."""
    points, tubes, middle = cage(42.0)
    assert [w for c, w, _ in found(points, *tubes, middle) if c == "cannot-go-in"] == [
        "middle cross"
    ]
    # Put in before them, or with room to slide, it goes in.
    assert "cannot-go-in" not in [c for c, _, _ in found(points, *tubes[:2], middle, *tubes[2:])]
    points, tubes, middle = cage(150.0)
    assert "cannot-go-in" not in [c for c, _, _ in found(points, *tubes, middle)]


def test_shallow_ends_go_in_from_a_side():
    """A thin tube between the same barred rails: its ends hardly straddle them."""
    points, tubes, _ = cage(42.0)
    thin = Tube("middle cross", "rod", ("e", "f"))
    assert "cannot-go-in" not in [c for c, _, _ in found(points, *tubes, thin)]


def test_a_sleeve_in_a_bore_does_not_clash():
    points = {**RAIL, "p": (100, 100, 0), "q": (700, 100, 0)}
    assert "clash" not in [
        c
        for c, _, _ in found(
            points, square("rail", "a", "b"), square("sleeve", "p", "q", stock="thin")
        )
    ]


def test_a_branch_that_hangs_over_an_open_end_is_said_to_miss():
    """Leaning, its lines enter the rail through its open end: nothing to weld to."""
    points = {**RAIL, "p": (795, 100, 0), "q": (900, 100, 150)}
    findings = found(
        points, square("rail", "a", "b"), Tube("stay", "thin", ("p", "q"), (), (End(), SQUARE))
    )
    assert "end-misses" in [code for code, _, _ in findings]


def test_a_round_branch_on_the_broad_side_of_a_box_is_not_larger_than_it():
    points = {**RAIL, "p": (400, 100, 0), "q": (400, 300, 0)}
    rail = square("rail", "a", "b", stock="box")
    post = Tube("post", "thin", ("p", "q"), (), (End(), SQUARE))
    # The box's height is 20 mm, upright.
    assert "branch-larger" in [code for code, _, _ in found(points, rail, post)]
    turned = square("rail", "a", "b", stock="box", roll_deg=90.0)
    assert "branch-larger" not in [code for code, _, _ in found(points, turned, post)]
