"""What is measured after tacking: against plain distances between points worked out here, and read back from the book."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest

from app.cli import main
from app.document.frame_file import open_frame
from geometry.edits import put_tube
from geometry.frame import Frame, Stock, Tube
from geometry.place import Along, At, MirrorOf
from geometry.section import RoundTube
from templates_out.check_sheet import across_pairs, tube_spans, used_points
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


def test_the_points_are_those_that_tubes_go_through():
    assert used_points(FRAME) == {
        "front left": (400, 200, 100), "front right": (400, -200, 100), "rear left": (-300, -150, 250),
        "nose": (600, 0, 50), "half": (50, 25, 175),
    }  # fmt: skip


def test_spans_are_straight_lines():
    assert tube_spans(FRAME) == [
        ("bar", "front left", "front right", 400),
        ("side", "front left", "rear left", pytest.approx(math.sqrt(700**2 + 350**2 + 150**2))),
        ("nose tube", "nose", "half", pytest.approx(math.sqrt(550**2 + 25**2 + 125**2))),
    ]


def test_across_and_from_corner_to_corner():
    first, second = across_pairs(FRAME)
    assert (first.point, first.image, first.apart) == ("front left", "front right", 400)
    # "half" lies on one hand of a handed tube, and "nose" in the middle: neither has a mirror image of its own.
    assert (second.point, second.image, second.apart) == ("rear left", "rear left", 300)
    assert (first.next, second.next) == ("rear left", "")
    assert first.corner == pytest.approx(math.sqrt(700**2 + 350**2 + 150**2))


@pytest.mark.parametrize("name", ["paddock-stand", "single-cylinder", "cargo-trike"])
def test_both_diagonals_are_alike(name):
    frame = open_frame(SAMPLES / name / f"{name}.frame")
    at = used_points(frame)
    pairs = across_pairs(frame)
    assert pairs
    mirror = np.array((1.0, -1.0, 1.0))
    for one in pairs:
        here = np.array(at[one.point])
        assert one.apart == pytest.approx(np.linalg.norm(here - mirror * here))
        if one.next:
            there = np.array(at[one.next])
            across = there if here[1] * there[1] < 0 else mirror * there
            assert one.corner == pytest.approx(np.linalg.norm(here - across))
            assert one.corner == pytest.approx(np.linalg.norm(mirror * here - mirror * across))


@pytest.mark.parametrize(("name", "unit"), [("single-cylinder", 1.0), ("cargo-trike", 25.4)])
def test_they_stand_in_the_book_and_in_its_numbers(name, unit, tmp_path, capsys):
    frame = open_frame(SAMPLES / name / f"{name}.frame")
    main(["book", str(SAMPLES / name / f"{name}.frame"), "--out", str(tmp_path)])
    sheets = pages((tmp_path / "book.pdf").read_bytes())
    words = " ".join(sheet["text"] for sheet in sheets if "Check dimensions" in sheet["text"])
    places = 1 if unit == 1.0 else 3
    for point, at in used_points(frame).items():
        row = r"\s+".join(
            [re.escape(point), *(re.escape(f"{v / unit + 0.0:.{places}f}") for v in at)]
        )
        assert re.search(row, words), point
    for tube, first, last, apart in tube_spans(frame):
        row = r"\s+".join(map(re.escape, (tube, first, last, f"{apart / unit:.{places}f}")))
        assert re.search(row, words), tube
    numbers = json.loads((tmp_path / "numbers.json").read_text("utf-8"))
    assert {one["point"]: tuple(one["at"]) for one in numbers["points"]} == used_points(frame)
    assert [one["apart"] for one in numbers["spans"]] == [span[3] for span in tube_spans(frame)]
    assert [one["apart"] for one in numbers["across"]] == [one.apart for one in across_pairs(frame)]


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
    assert across_pairs(frame) == []
