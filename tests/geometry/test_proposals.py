"""What is proposed for a new tube's ends: what it meets, a mitre at a free corner, the floor, else square."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from app.document.frame_file import open_frame
from geometry.errors import CopewrightError
from geometry.fitup import solve
from geometry.frame import End, Frame, Plane, Stock, Tube
from geometry.place import At, MirrorOf
from geometry.proposals import add_tube, proposed
from geometry.section import BoxSection, RoundTube

SAMPLES = Path(__file__).parents[2] / "sample_projects"
POINTS = {
    "a": At(0, 0, 0), "b": At(500, 0, 0), "c": At(500, 0, 400), "d": At(250, 0, 0), "e": At(250, 0, 300),
    "f": At(900, 0, 0), "g": At(0, 100, 0), "h": MirrorOf("g"), "i": At(100, 250, 350),
}  # fmt: skip
SQUARE = End("square")
BASE = Frame(
    "base", {"main": Stock(RoundTube(30.0, 2.0)), "box": Stock(BoxSection(30.0, 30.0, 2.0, 3.0))}, POINTS,
    (Tube("rail", "main", ("a", "b"), (), (SQUARE, SQUARE)),),
)  # fmt: skip


def test_an_end_that_meets_a_tube_is_coped_onto_it_and_the_other_one_is_square():
    start, finish = proposed(BASE, Tube("post", "main", ("d", "e")))
    assert (start.cut, start.words) == (End(), "coped onto rail")
    assert (finish.cut, finish.words) == (
        SQUARE,
        "square, as it meets nothing above it in the list",
    )


@pytest.mark.parametrize("path", [("b", "c"), ("c", "b")])
def test_at_a_free_corner_both_ends_are_mitred(path):
    frame, ways = add_tube(BASE, Tube("post", "main", path))
    one = ways[path.index("b")]
    assert one.words == (
        "mitred with rail, whose finish is at the same point and is mitred too from now on"
    )
    assert frame.tube("rail").ends == (SQUARE, End("mitre", other="post"))
    assert frame.tube("post").ends[path.index("b")] == End("mitre", other="rail")
    fitted = solve(frame)
    assert not fitted.findings
    for name, which in (("rail", 1), ("post", path.index("b"))):
        cut = next(p for p in fitted.parts if p.part.name == name).cuts[which]
        # Half of 90 degrees: the cut is as deep as the tube is thick.
        assert cut.long_point - cut.short_point == pytest.approx(30.0, abs=1e-9)


def test_what_goes_on_along_one_line_is_cut_square():
    start, _ = proposed(BASE, Tube("rail 2", "main", ("b", "f")))
    assert start.words == "square, as rail goes on along the same line"


def test_a_corner_of_three_sits_on_what_runs_through():
    frame, _ = add_tube(BASE, Tube("sill", "main", ("g", "h")))
    # The rail's start lies at its middle, far from its ends.
    assert frame.tube("sill").ends == (SQUARE, SQUARE)
    start, _ = proposed(frame, Tube("post", "main", ("a", "e")))
    assert start.cut == End()
    assert "sill" in start.words


def test_a_leg_stands_on_the_floor_and_what_lies_on_it_does_not():
    start, _ = proposed(BASE, Tube("leg", "box", ("g", "i")))
    assert start.cut == End("plane", plane=Plane())
    assert "floor" in start.words
    lying, _ = proposed(BASE, Tube("sill", "main", ("g", "f")))
    assert lying.cut == SQUARE


def test_what_cannot_be_added_is_said():
    with pytest.raises(CopewrightError, match="names the point 'z'"):
        add_tube(BASE, Tube("post", "main", ("d", "z")))


@pytest.mark.parametrize("name", ["paddock-stand", "single-cylinder", "cargo-trike"])
def test_most_ends_of_the_samples_are_proposed_as_they_are(name):
    """Each tube is added to those above it in the list; of its ends' cuts, what they would be is proposed."""
    whole = open_frame(SAMPLES / name / f"{name}.frame")
    other, asked = [], 0
    for number, tube in enumerate(whole.tubes):
        before = above(whole, number)
        for end, one in zip(tube.ends, proposed(before, tube), strict=True):
            asked += 1
            if end.cut != one.cut.cut:
                other.append((tube.name, one.end, end.cut, one.words))
    assert asked == 2 * len(whole.tubes)
    # A tube that is mitred later is square until then, and what a plate above the floor asks for nobody can guess.
    assert not [one for one in other if one[2] not in ("mitre", "plane")]


def above(whole, number):
    """The frame of the tubes before this one, and the points that hang on nothing later."""
    tubes = {tube.name for tube in whole.tubes[:number]}
    points = {}
    for point, place in whole.points.items():
        hangs = getattr(place, "tube", None) in tubes | {None}
        if hangs and getattr(place, "base", None) in {*points, None}:
            points[point] = place
    later = [point for point in whole.points if point not in points]
    kept = tuple(
        replace(
            tube, ends=tuple(SQUARE if end.other not in tubes | {""} else end for end in tube.ends)
        )
        for tube in whole.tubes[:number]
        if not set(tube.path) & set(later)
    )
    return replace(whole, points=points, tubes=kept)
