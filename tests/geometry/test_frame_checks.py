"""Findings of a whole frame: each is found where it is, and not where it is not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from geometry.clash_checks import _closest
from geometry.fitup import solve
from geometry.frame import End, Frame, Plane, Stock, Tube
from geometry.frame_checks import frame_findings
from geometry.place import At
from geometry.section import RoundTube
from tests.cases import examples, plain_height
from tests.frames import EVERYTHING

STOCK = {
    "main": Stock(RoundTube(38.1, 2.0)),
    "thin": Stock(RoundTube(25.0, 1.5)),
    "fat": Stock(RoundTube(60.3, 2.0)),
}
SQUARE = (End("square"), End("square"))
RAIL = Tube("rail", "main", ("a", "b"), (), SQUARE)
BASE = {"a": At(0, 100, 0), "b": At(800, 100, 0)}


def found(points, *tubes):
    frame = Frame(
        "f", STOCK, {**BASE, **{name: At(*place) for name, place in points.items()}}, (RAIL, *tubes)
    )
    return {finding.code: finding for finding in frame_findings(solve(frame))}


def branch(stock="thin", path=("p", "q"), end=None, **more):
    return Tube("branch", stock, path, more.pop("radii", ()), (end or End(), End("square")), **more)


def test_a_sound_frame_has_no_findings():
    assert found({"p": (400, 100, 0), "q": (400, 100, 300)}, branch()) == {}


def test_how_far_a_tube_that_leans_too_much_is_to_be_moved():
    def said(x):
        one = found({"p": (x, 100, 0), "q": (700, 100, 160)}, branch()).get("acute")
        return one.do if one else ""

    # 300 - 160 / tan 30 degrees.
    assert "23 mm along rail" in said(400)
    assert said(422)
    # What is just under 30 is not said to be 30.
    (one,) = found({"p": (422.8, 100, 0), "q": (700, 100, 160)}, branch()).values()
    assert "at 29.9°, under 30°" in one.what
    assert not said(423)


@pytest.mark.parametrize(
    ("points", "tube", "code", "words"),
    [
        ({"p": (400, 100, 0), "q": (700, 100, 160)}, branch(), "acute", "28°"),
        ({"p": (400, 100, 0), "q": (400, 100, 300)}, branch("fat"), "branch-larger", "60.3 mm"),
        ({"p": (400, 112, 0), "q": (400, 112, 300)}, branch(), "end-misses", "beside"),
        ({"p": (795, 100, 0), "q": (795, 100, 300)}, branch(), "end-misses", "of the end meets nothing"),
        ({"p": (400, 100, 60), "q": (400, 100, 300)}, branch(), "end-not-cut", "does not reach"),
        ({"p": (400, 100, 0), "k": (400, 100, 38), "q": (600, 100, 300)},
         branch(path=("p", "k", "q"), radii=(70.0,)), "cut-into-bend", "into the tube's own bend"),
        ({"p": (400, 100, 300), "q": (400, 300, 300)}, branch(end=End("square")), "never-joined", "sits on nothing"),
        ({"p": (400, 50, 0), "q": (400, 150, 0)}, branch(end=End("square")), "clash", "31.6 mm into each other near (400, 100, 0)"),
        ({"p": (400, 100, 0), "q": (400, 0.4, 300)}, branch(), "off-centre-hair", "0.4 mm beside"),
        ({"p": (0, 100, 0), "q": (0, 100, 300)}, branch(), "same-place", "in one place"),
    ],
)  # fmt: skip
def test_what_a_fabricator_stops_at(points, tube, code, words):
    findings = found(points, tube)
    assert code in findings
    assert words in findings[code].what
    assert findings[code].do.endswith(".")


def test_points_in_one_place_are_found_among_others_at_the_same_x():
    points = {"p": (0, -50, 90), "q": (0, 300, 120), "r": (0, 100, 0.004)}
    tubes = (
        branch(path=("p", "q"), end=End("square")),
        Tube("third", "thin", ("r", "q"), (), (End(), End("square"))),
    )
    assert found(points, *tubes)["same-place"].where == "points a and r"


def test_a_bent_tube_that_is_joined_and_runs_through_it_elsewhere():
    points = {"p": (100, 100, 0), "k": (100, 100, 200), "m": (400, 100, 200), "n": (400, 100, -200)}
    hoop = branch(path=("p", "k", "m", "n"), radii=(60.0, 60.0))
    assert "meet once more" in found(points, hoop)["clash"].what
    points["n"] = (400, 100, 60)
    assert "clash" not in found(points, hoop)


def test_a_tube_shorter_than_its_two_cuts():
    points = {"c": (0, 150, 0), "d": (800, 150, 0), "p": (400, 100, 0), "q": (430, 150, 0)}
    other = Tube("other", "main", ("c", "d"), (), SQUARE)
    short = Tube("short", "main", ("p", "q"), (), (End(), End()))
    assert "run into each other" in found(points, other, short)["too-short"].what
    # A plane that lies beyond the tube's other end is put where the end is.
    high = {"p": (400, 100, 200), "q": (400, 150, 500)}
    floor = Tube("floor", "main", ("p", "q"), (), (End("square"), End("plane", plane=Plane())))
    told = found(high, floor)["too-short"]
    assert "go through the end's own point" in told.do
    own = replace(floor, ends=(End("square"), End("plane", plane=Plane("q"))))
    assert "too-short" not in found(high, own)


def test_the_frame_with_everything_is_listed_without_a_crash():
    codes = [finding.code for finding in frame_findings(solve(EVERYTHING))]
    assert "end-misses" in codes


chain = st.lists(st.tuples(*[st.floats(-100, 100)] * 3), min_size=2, max_size=4).map(np.array)


@examples(60)
@given(chain, chain)
def test_the_closest_places_of_two_chains(one, two):
    best = np.inf
    for a, along_a in zip(one[:-1], np.diff(one, axis=0), strict=True):
        for b, along_b in zip(two[:-1], np.diff(two, axis=0), strict=True):
            fit = lsq_linear(np.column_stack((along_a, -along_b)), b - a, (0, 1), method="bvls")
            best = min(best, np.sqrt(2 * fit.cost))
    assert _closest(one, two)[0] == pytest.approx(best, abs=2e-3)


@pytest.mark.parametrize("aside", [0.0, 0.3, -0.7])
def test_a_bar_between_the_legs_of_a_hoop_ends_at_its_own_leg(aside):
    """Even where the other leg lies nearer to the bar's axis than its own, which it just misses.

    How far the cut stands beyond is the textbook's formula for the leg that leans by that much.
    """
    points = {
        "p": At(0, 300, 0), "k": At(0, 300, 600), "m": At(0, -300, 600), "n": At(aside, -300, 0),
        "one": At(0, 300, 250), "two": At(0, -300, 250),
    }  # fmt: skip
    stock = {"main": Stock(RoundTube(25.4, 2.0)), "thin": Stock(RoundTube(20.0, 1.5))}
    hoop = Tube("hoop", "main", ("p", "k", "m", "n"), (100.0, 100.0))
    bar = Tube("bar", "thin", ("one", "two"), (), (End(onto=("hoop",)), End(onto=("hoop",))))
    _, fitted = solve(Frame("f", stock, points, (hoop, bar))).parts
    lean = np.arctan2(aside, 600.0)
    beside = abs(aside) * 350 / 600 * np.cos(lean)
    turn = np.linspace(0, 2 * np.pi, 3601)
    for cut, offset in zip(fitted.cuts, (0.0, beside), strict=True):
        assert cut.shift == pytest.approx(0.0, abs=1e-9)
        wanted = plain_height(10.0, 12.7, 90.0, offset, turn).max()
        assert cut.beyond == pytest.approx(wanted, abs=1e-4)


def test_an_end_that_names_what_lies_behind_all_that_it_looks_for():
    """The wrong end of a cross tube names the front: it is told, and nothing else stops."""
    points = {
        "a": At(0, -200, 0), "b": At(0, 200, 0), "c": At(-300, -200, 0), "d": At(-300, 200, 0),
        "s": At(-300, 0, 0), "e": At(0, 0, 0),
    }  # fmt: skip
    square = (End("square"), End("square"))
    tubes = (
        Tube("front", "m", ("a", "b"), (), square), Tube("rear", "m", ("c", "d"), (), square),
        Tube("cross", "m", ("s", "e"), (), (End(onto=("front",)), End())),
    )  # fmt: skip
    frame = Frame("f", {"m": Stock(RoundTube(25.0, 1.5))}, points, tubes)
    found = frame_findings(solve(frame))
    codes = {one.code for one in found if one.where.startswith("cross")}
    assert {"end-misses", "too-short"} <= codes
