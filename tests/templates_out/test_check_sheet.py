"""What is measured after tacking: against plain distances between points worked out here, and read back from the book."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from app.cli import main
from app.document.frame_file import open_frame, save_frame
from geometry.as_bent import AsBent
from geometry.edits import put_tube
from geometry.fitup import solve
from geometry.frame import Frame, Stock, Tube
from geometry.near_path import nearest_along
from geometry.place import Along, At, MirrorOf
from geometry.section import RoundTube
from templates_out.check_sheet import (
    Span,
    _shared,
    across_pairs,
    bend_points,
    beside_their_points,
    end_points,
    tube_spans,
)
from templates_out.drawing import SMALL_MM
from templates_out.fonts import text_width
from tests.readback import pages

SAMPLES = Path(__file__).parents[2] / "sample_projects"
POINTS = {
    "front left": At(400, 200, 100),
    "front right": MirrorOf("front left"),
    "rear left": At(-300, -150, 250),
    "nose": At(600, 0, 50),
    "spare": At(1, 2, 3),
    "half": Along("side", share=0.5),
}
FRAME = Frame(
    "f",
    {"s": Stock(RoundTube(25.0, 2.0))},
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
    frame = Frame("f", FRAME.stock, points, (Tube("hook", "s", ("a", "k", "b"), (100.0,)),))
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
    flat = Frame("f", FRAME.stock, points, (Tube("hoop", "s", path, (90.0, 90.0)),))
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
    found = across_pairs(solve(Frame("f", FRAME.stock, points, tubes)))
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
    found = across_pairs(solve(Frame("f", FRAME.stock, points, tubes)))
    (first,) = [one for one in found if one.point == "front"]
    assert first.other == other
    assert first.corner == pytest.approx(
        math.dist((600, 200), (forward, -200) if other == "end" else (-600, -120)), abs=1e-6
    )


def test_marks_that_places_are_measured_to_are_explained(tmp_path, capsys):
    words = {}
    for name in ("paddock-stand", "cargo-trike"):
        main(["book", str(SAMPLES / name / f"{name}.frame"), "--out", str(tmp_path / name)])
        read = pages((tmp_path / name / "book.pdf").read_bytes())
        words[name] = " ".join(" ".join(one["text"].split()) for one in read)
    said = "found by the mark that was scribed round the bar before it was bent"
    assert said in words["cargo-trike"]
    # It has no bent tube.
    assert said not in words["paddock-stand"]


def test_a_tube_built_in_as_it_came_is_measured_as_it_is(tmp_path, capsys):
    points = {
        "a": At(0, 200, 0),
        "k": At(300, 200, 0),
        "b": At(300, 200, 300),
        "m": Along("arm", distance=100.0),
        "n": MirrorOf("m"),
    }
    came = AsBent("left", angles=(80.0,), use=True, hold="start")
    arm = Tube("arm", "s", ("a", "k", "b"), (60.0,), handed=True, as_bent=(came,))
    frame = Frame("f", FRAME.stock, points, (arm, Tube("x", "s", ("m", "n"))))
    fitted = solve(frame)
    left = fitted.parts[0].part.path.vertices
    spans = {one.tube: one.apart for one in tube_spans(fitted)}
    # A point that only the drawn hand has is not named as the other hand's.
    named = {one.tube: (one.first, one.last) for one in tube_spans(fitted)}
    assert named["arm left"] == ("a", "b")
    assert named["arm right"] == ("a, opposite hand", "b, opposite hand")
    assert spans["arm left"] == pytest.approx(math.dist(left[0], left[-1]))
    assert spans["arm right"] == pytest.approx(math.sqrt(300**2 + 300**2))
    assert spans["arm left"] != pytest.approx(spans["arm right"], abs=5.0)
    assert beside_their_points(fitted) == {"arm": {"b"}}
    # Across and from corner to corner they are as far apart as they really are, which is not the same both ways.
    across = {one.point: one for one in across_pairs(fitted)}
    right = fitted.parts[1].part.path.vertices
    assert across["b"].apart == pytest.approx(math.dist(left[-1], right[-1]))
    assert across["b"].apart != pytest.approx(400.0, abs=0.01)
    diagonals = {round(math.dist(left[0], right[-1]), 6), round(math.dist(right[0], left[-1]), 6)}
    assert len(diagonals) == 2
    assert {round(each, 6) for each in (across["a"].corner, across["a"].back)} == diagonals
    save_frame(tmp_path / "f.frame", frame)
    main(["book", str(tmp_path / "f.frame"), "--out", str(tmp_path / "book")])
    words = " ".join(one["text"] for one in pages((tmp_path / "book" / "book.pdf").read_bytes()))
    assert "takes others along: ends of arm stand beside their points" in " ".join(words.split())
    # The shop's drawing stays, and says that the steel is otherwise.
    sheets = [one["text"] for one in pages((tmp_path / "book" / "book.pdf").read_bytes())]
    noted = [" ".join(text.split()) for text in sheets if "came back otherwise" in text]
    assert len(noted) == 1
    assert "arm left came back otherwise and is built in as it came" in noted[0]


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


@pytest.mark.parametrize(("name", "unit"), [("single-cylinder", 1.0), ("cargo-trike", 25.4)])
def test_they_stand_in_the_book_and_in_its_numbers(name, unit, tmp_path, capsys):
    fitted = solve(open_frame(SAMPLES / name / f"{name}.frame"))
    main(["book", str(SAMPLES / name / f"{name}.frame"), "--out", str(tmp_path)])
    sheets = pages((tmp_path / "book.pdf").read_bytes())
    words = " ".join(sheet["text"] for sheet in sheets if "Check dimensions" in sheet["text"])
    places = 1 if unit == 1.0 else 3
    points = end_points(fitted) | bend_points(fitted)
    for point, at in points.items():
        row = r"\s+".join(
            [re.escape(point), *(re.escape(f"{v / unit + 0.0:.{places}f}") for v in at)]
        )
        assert re.search(row, words), point
    for one in tube_spans(fitted):
        slope = [] if one.slope_deg is None else [f"{one.slope_deg + 0.0:.1f}"]
        cells = (one.tube, one.first, one.last, f"{one.apart / unit:.{places}f}", *slope)
        assert re.search(r"\s+".join(map(re.escape, cells)), words), one
    for one in across_pairs(fitted):
        far = (
            [one.far, *(f"{v / unit:.{places}f}" for v in (one.corner, one.back))]
            if one.other
            else []
        )
        cells = (
            one.point,
            one.image or "opposite hand",
            f"{one.apart / unit:.{places}f}",
            *far,
        )
        assert re.search(r"\s+".join(map(re.escape, cells)), words), one
    numbers = json.loads((tmp_path / "numbers.json").read_text("utf-8"))
    assert {one["point"]: tuple(one["at"]) for one in numbers["points"]} == points
    assert [one["apart"] for one in numbers["spans"]] == [one.apart for one in tube_spans(fitted)]
    assert [one["apart"] for one in numbers["across"]] == [
        one.apart for one in across_pairs(fitted)
    ]


def test_what_is_left_on_for_the_bender_is_said_where_places_are_measured(tmp_path, capsys):
    name = "single-cylinder"
    frame = open_frame(SAMPLES / name / f"{name}.frame")
    main(["book", str(SAMPLES / name / f"{name}.frame"), "--out", str(tmp_path)])
    (sheet,) = (
        one["text"]
        for one in pages((tmp_path / "book.pdf").read_bytes())
        if "Where tubes land, part by part" in one["text"]
    )
    words = " ".join(sheet.split())
    trim = frame.tube("main rail").trim
    assert f"main rail left: its bar is sawn longer, by {trim[0]:g} mm at the start" in words


def test_a_frame_of_one_tube_has_no_pairs():
    points = {"nose": At(600, 0, 50), "spare": At(1, 2, 3)}
    frame = put_tube(Frame("f", FRAME.stock, points, ()), Tube("nose tube", "s", ("nose", "spare")))
    assert across_pairs(solve(frame)) == []


@pytest.mark.parametrize("longest", [5, 30, 45, 80])
def test_columns_share_a_sheet_whatever_the_names(longest):
    columns = [["t", "rail"], ["n" * longest, "m"], ["w" * longest, "other"]]
    widths = _shared(columns, 148.0)
    assert sum(widths) == pytest.approx(148.0)
    # A short column is never pushed aside by a long one.
    assert widths[0] > text_width("rail", SMALL_MM) + 2.0
    assert min(widths) > 0


def test_tolerances_are_told_as_far_as_lengths_go(tmp_path, capsys):
    """The frame's corners are farther apart than any of its tubes is long."""
    points = {
        "a": At(0, 300, 0), "b": At(900, 300, 0), "c": MirrorOf("a"), "d": MirrorOf("b"),
    }  # fmt: skip
    tubes = (Tube("rail", "s", ("a", "b")), Tube("other rail", "s", ("c", "d")))
    save_frame(tmp_path / "f.frame", Frame("f", FRAME.stock, points, tubes))
    main(["book", str(tmp_path / "f.frame"), "--out", str(tmp_path / "book")])
    words = " ".join(one["text"] for one in pages((tmp_path / "book" / "book.pdf").read_bytes()))
    # Class B, ISO 13920: 600 and 900 by 3, the corners' 1081.7 by 4.
    assert "lengths by 3 up to 1000, 4 up to 2000;" in " ".join(words.split())


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
    spans = tube_spans(solve(Frame("f", FRAME.stock, points, (hoop,))))
    assert [one.tube for one in spans] == ["hoop left", "hoop right"]
    assert (spans[0].slope_deg, spans[1].slope_deg) == (pytest.approx(90), None)
