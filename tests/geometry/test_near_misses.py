"""Slips of the keys, and tubes that cannot be put in place: found where they are, and not where they are not."""

from __future__ import annotations

import pytest

from geometry.fitup import solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.frame_checks import frame_findings
from geometry.place import At, MirrorOf
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


def test_an_end_that_is_cut_far_from_its_point_is_said_to_be():
    """A post that went in before stands in its way."""
    points = {"a": (0, -200, 0), "b": (0, 200, 0), "c": (400, -200, 0), "d": (400, 200, 0), "p": (150, 0, -100),
              "q": (150, 0, 100), "s": (0, 0, 0), "t": (400, 0, 0)}  # fmt: skip
    tubes = [square("one", "a", "b"), square("two", "c", "d"), square("post", "p", "q")]
    cross = Tube("cross", "thin", ("s", "t"))
    assert [w for c, w, _ in found(points, *tubes, cross) if c == "far-from-point"] == [
        "cross, start"
    ]
    assert "far-from-point" not in [c for c, _, _ in found(points, *tubes[:2], cross)]


def test_a_cut_that_jumps_from_one_tube_to_another():
    points = {
        "a": (0, -200, 0),
        "b": (0, 200, 0),
        "c": (40, -200, 12),
        "d": (40, 200, 12),
        "s": (0, 0, 0),
        "t": (400, 0, 0),
    }
    tubes = [square("rail", "a", "b"), square("near", "c", "d", stock="rod")]
    cross = Tube("cross", "main", ("s", "t"), (), (End(), SQUARE))
    assert "cut-steps" in [c for c, _, _ in found(points, *tubes, cross)]


@pytest.mark.parametrize("other", ["same", "in line", "shifted"])
def test_tubes_in_one_place_clash(other):
    points = {**RAIL, "p": (400, 100, 0), "q": (1200, 100, 0), "r": (0, 100, 2), "s": (800, 100, 2)}
    path = {"same": ("a", "b"), "in line": ("p", "q"), "shifted": ("r", "s")}[other]
    findings = found(points, square("rail", "a", "b"), square("second", *path))
    assert "clash" in [code for code, _, _ in findings]


MITRE = {"a": (0, 0, 0), "b": (300, 0, 0), "c": (300, 0, 300)}


def mitred(one="both", two="both", stocks=("box", "box"), rolls=(0.0, 0.0), partner="mitre"):
    second = End("mitre", other="run", way=two) if partner == "mitre" else SQUARE
    findings = found(
        MITRE,
        Tube(
            "run",
            stocks[0],
            ("a", "b"),
            (),
            (SQUARE, End("mitre", other="post", way=one)),
            roll_deg=rolls[0],
        ),
        Tube("post", stocks[1], ("b", "c"), (), (second, SQUARE), roll_deg=rolls[1]),
    )
    return [code for code, _, _ in findings]


def test_mitres_that_fit_and_mitres_that_do_not():
    assert mitred() == []
    assert mitred("past", "butt") == []
    assert mitred(stocks=("main", "main")) == []
    assert "mitre-alone" in mitred("past", "past")
    assert "mitre-alone" in mitred("both", "butt")
    assert "mitre-alone" in mitred(partner="square")
    assert "mitre-uneven" in mitred(stocks=("main", "thin"))
    assert "mitre-uneven" in mitred(rolls=(0.0, 90.0))


def test_a_box_that_runs_past_comes_flush():
    """A post of 40 x 20, its height (20) in the plane of both: the run ends 10 mm past the corner, and not half a diagonal."""
    run = Tube("run", "box", ("a", "b"), (), (SQUARE, End("mitre", other="post", way="past")))
    for roll, past in ((0.0, 20.0), (90.0, 10.0)):
        post = Tube(
            "post",
            "box",
            ("b", "c"),
            (),
            (End("mitre", other="run", way="butt"), SQUARE),
            roll_deg=roll,
        )
        places = {name: At(*place) for name, place in MITRE.items()}
        parts = solve(Frame("f", STOCK, places, (run, post))).parts
        beyond = parts[0].cuts[1].beyond
        # The post stands upright: its height lies along x.
        assert beyond == pytest.approx(10.0 if roll == 0.0 else 20.0), (roll, past)


@pytest.mark.parametrize(("x", "seen"), [(785, True), (760, False)])
def test_an_end_that_lands_near_the_end_of_its_target(x, seen):
    points = {**RAIL, "p": (x, 100, 0), "q": (x, 100, 300)}
    findings = found(
        points, square("rail", "a", "b"), Tube("post", "thin", ("p", "q"), (), (End(), SQUARE))
    )
    assert ("near-end" in [code for code, _, _ in findings]) == seen
