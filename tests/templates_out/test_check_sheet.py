"""The sheet of what is measured after tacking, read back from the book."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from app.cli import main
from app.document.frame_file import open_frame, save_frame
from geometry.as_bent import AsBent
from geometry.check_dimensions import (
    across_pairs,
    bend_points,
    beside_their_points,
    end_points,
    middle_points,
    tube_spans,
)
from geometry.fitup import solve
from geometry.frame import Frame, Tube
from geometry.place import Along, At, MirrorOf
from templates_out.check_sheet import _shared
from templates_out.drawing import SMALL_MM
from templates_out.fonts import text_width
from tests.geometry.test_check_dimensions import STOCK
from tests.readback import pages

SAMPLES = Path(__file__).parents[2] / "sample_projects"


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
    frame = Frame("f", STOCK, points, (arm, Tube("x", "s", ("m", "n"))))
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
    # What is not alike on paper is not to be made so.
    assert (
        "must be as they are printed, alike but for what tubes that came bent otherwise"
        in " ".join(words.split())
    )
    assert "must be alike" not in words
    # The shop's drawing stays, and says that the steel is otherwise.
    sheets = [one["text"] for one in pages((tmp_path / "book" / "book.pdf").read_bytes())]
    noted = [" ".join(text.split()) for text in sheets if "came back otherwise" in text]
    assert len(noted) == 1
    assert "arm left came back otherwise and is built in as it came" in noted[0]


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
    assert middle_points(fitted)
    for one in middle_points(fitted):
        left, right = (f"{far / unit:.{places}f}" for far in (one.from_left, one.from_right))
        cells = (one.point, one.left, left, one.right, right)
        assert re.search(r"\s+".join(map(re.escape, cells)), words), one
    numbers = json.loads((tmp_path / "numbers.json").read_text("utf-8"))
    assert [(one["from_left"], one["from_right"]) for one in numbers["middle"]] == [
        (one.from_left, one.from_right) for one in middle_points(fitted)
    ]
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
    save_frame(tmp_path / "f.frame", Frame("f", STOCK, points, tubes))
    main(["book", str(tmp_path / "f.frame"), "--out", str(tmp_path / "book")])
    words = " ".join(one["text"] for one in pages((tmp_path / "book" / "book.pdf").read_bytes()))
    # Class B, ISO 13920: 600 and 900 by 3, the corners' 1081.7 by 4.
    assert "lengths by 3 up to 1000, 4 up to 2000;" in " ".join(words.split())


def test_columns_that_would_stay_empty_are_left_out(tmp_path, capsys):
    """A T of straight tubes: no bent tube, whose plane has a slope, and no second pair, whose corners are far ones."""
    points = {
        "right": At(0, -450, 210), "left": MirrorOf("right"), "middle": At(0, 0, 210), "hitch": At(1200, 0, 360),
    }  # fmt: skip
    tubes = (Tube("axle", "s", ("right", "left")), Tube("drawbar", "s", ("middle", "hitch")))
    plain = Frame("f", STOCK, points, tubes)
    assert "bend plane" not in check_words(plain, tmp_path)
    assert "far corner" not in check_words(plain, tmp_path)
    # By Pythagoras.
    far = f"{math.sqrt(1200**2 + 450**2 + 150**2):.1f}"
    assert f"hitch left {far} right {far}" in check_words(plain, tmp_path)
    bent = replace(
        plain,
        points=points | {"k": At(600, 0, 210)},
        tubes=(tubes[0], Tube("drawbar", "s", ("middle", "k", "hitch"), (90.0,))),
    )
    words = check_words(bent, tmp_path)
    # It lies in the centre-plane, which stands upright; its ends are no slope to lay a level on.
    assert "slope bend plane" in words
    apart = f"{math.hypot(1200, 150):.1f}"
    assert f"drawbar middle hitch {apart} 90.0" in words
    side = {"far right": At(-900, -300, 210), "far left": MirrorOf("far right")}
    wide = replace(
        plain, points=points | side, tubes=(*tubes, Tube("rear", "s", ("far right", "far left")))
    )
    assert "far corner" in check_words(wide, tmp_path)


def check_words(frame, folder):
    save_frame(folder / "f.frame", frame)
    main(["book", str(folder / "f.frame"), "--out", str(folder / "book")])
    read = pages((folder / "book" / "book.pdf").read_bytes())
    return " ".join(
        " ".join(one["text"] for one in read if "Check dimensions" in one["text"]).split()
    )
