"""Where a frame's ends land: rolled back round its part, every mark is the end's own line in space."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from app.document.frame_file import open_frame
from geometry.fitup import solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.frame_landing import end_landings
from geometry.joint import Joint
from geometry.landing import landing
from geometry.place import At
from geometry.places import point_along
from geometry.section import BoxSection, RoundTube
from geometry.skin import depth_in


def on_bend(mark, round_mm, along):
    """A point of an outline on a bend: along the centreline, and round from the outside of the bend."""
    path = mark.target.path
    places = [np.array(point_along(path, mark.along + along + step)) for step in (-0.5, 0.0, 0.5)]
    way = (places[2] - places[0]) / np.linalg.norm(places[2] - places[0])
    out = 2 * places[1] - places[0] - places[2]
    out = out - (out @ way) * way
    x, y = mark.target.outline.at(np.array([mark.round_mm + round_mm]))[0]
    out /= np.linalg.norm(out)
    return places[1] + x * out + y * np.cross(way, out)


SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*/*.frame"))


def rolled_back(mark):
    """The outline's points in space (k, 3), from the part's centreline, its datum and the numbers."""
    part = mark.target
    foot = np.array(point_along(part.path, mark.along))
    around = [np.array(point_along(part.path, mark.along + step)) for step in (-1e-3, 1e-3)]
    way = (around[1] - around[0]) / np.linalg.norm(around[1] - around[0])
    third = np.cross(way, mark.datum)
    for line in mark.outline:
        flat = part.outline.at(mark.round_mm + line[:, 0])
        if not mark.flat:
            yield np.array([on_bend(mark, *row) for row in line])
            continue
        yield foot + line[:, 1:] * way + flat[:, :1] * mark.datum + flat[:, 1:] * third


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_mark_of_a_sample_is_on_both_tubes(path):
    fitted = solve(open_frame(path))
    parts = {one.part.name: one for one in fitted.parts}
    marks = 0
    for found in end_landings(fitted).values():
        end = found.cut.at
        for mark in found.marks:
            for points in rolled_back(mark):
                marks += 1
                # On the outside of the part it is on ...
                depth, _ = depth_in(parts[mark.target.name], points)
                assert np.max(np.abs(depth)) < 2e-3, (end.where, mark.target.name)
                # ... and on the outside of the tube that lands.
                flat = np.column_stack(
                    ((points - end.point) @ end.datum, (points - end.point) @ end.third)
                )
                on = end.part.outline.at(end.part.outline.place(flat))
                assert np.max(np.linalg.norm(flat - on, axis=1)) < 2e-3, end.where
    assert marks >= 6


def test_a_plain_joint_lands_as_the_joint_on_its_own():
    """Angles, offset, seam and bevels of one joint, with and without a root gap, against the closed form."""
    angle, offset = math.radians(57.0), 6.0
    stock = {"main": Stock(RoundTube(48.3, 3.2)), "thin": Stock(RoundTube(30.0, 2.0))}
    points = {
        "a": At(0, 0, 0), "b": At(900, 0, 0), "p": At(450, offset, 0),
        "q": At(450 + 300 * math.cos(angle), offset, 300 * math.sin(angle)),
    }  # fmt: skip
    for end in (End(), End("cope", "square-cut", root_gap=1.0, extra=2.0)):
        tubes = (
            Tube("rail", "main", ("a", "b"), (), (End("square"), End("square"))),
            Tube("stay", "thin", ("p", "q"), (), (end, End("square"))),
        )
        (found,) = end_landings(solve(Frame("f", stock, points, tubes))).values()
        own = landing(Joint(RoundTube(30.0, 2.0), 48.3, 57.0, offset))
        assert found.seam == pytest.approx(own.seam_length, rel=1e-3)
        (mark,) = found.marks
        assert mark.along == pytest.approx(450.0)
        # The rail's datum is up, and the stay comes from above.
        assert mark.round_mm == pytest.approx(0.0, abs=1e-6)
        assert mark.closed
        size, expected = np.ptp(mark.outline[0], axis=0), np.ptp(own.outline, axis=0)
        np.testing.assert_allclose(size, expected, atol=0.02)
        widths = sorted(bevel.end_deg - bevel.start_deg for bevel in found.bevels)
        expected_widths = sorted(bevel.end_deg - bevel.start_deg for bevel in own.bevels)
        np.testing.assert_allclose(widths, expected_widths, atol=2.5)


def test_a_mark_on_a_box_counts_from_the_middle_of_its_datums_side():
    stock = {"box": Stock(BoxSection(40.0, 60.0, 3.0, 5.0)), "thin": Stock(RoundTube(25.0, 2.0))}
    points = {"a": At(0, 0, 0), "b": At(500, 0, 0), "p": At(200, 0, 0), "q": At(200, 200, 0)}
    tubes = (
        Tube("rail", "box", ("a", "b"), (), (End("square"), End("square"))),
        Tube("stay", "thin", ("p", "q"), (), (End(), End("square"))),
    )
    (found,) = end_landings(solve(Frame("f", stock, points, tubes))).values()
    (mark,) = found.marks
    # Up is the datum's side; seen along the rail the left side comes first clockwise from the finish's end.
    girth = 2 * (30.0 + 50.0) + 2 * math.pi * 5.0
    assert mark.round_mm in (pytest.approx(girth / 4), pytest.approx(3 * girth / 4))
    # Right-handed about +x: from up (+z) towards -y; +y is three quarters on.
    assert mark.round_mm == pytest.approx(3 * girth / 4)
    np.testing.assert_allclose(np.ptp(mark.outline[0], axis=0), 25.0, atol=1e-3)


def test_an_end_on_two_tubes_leaves_a_part_of_its_line_on_each():
    fitted = solve(open_frame(next(path for path in SAMPLES if path.stem == "cargo-trike")))
    marks = end_landings(fitted)["seat tube", "start"].marks
    assert {mark.target.name for mark in marks} == {"crank shell", "boom"}
    assert not any(mark.closed for mark in marks)


SQUARE = End("square")
ROUND = {
    "main": Stock(RoundTube(38.1, 2.0)),
    "thin": Stock(RoundTube(25.0, 2.0)),
    "box": Stock(BoxSection(60.0, 60.0, 3.0, 5.0)),
}


@pytest.mark.parametrize("gap", [0.5, 2.0])
def test_an_end_that_only_its_root_gap_brings_to_its_target_lands_all_the_same(gap):
    points = {
        "a": At(0, 0, 0),
        "b": At(600, 0, 0),
        "p": At(300, 0, 19.05 + gap),
        "q": At(300, 0, 400),
    }
    tubes = (Tube("rail", "main", ("a", "b"), (), (SQUARE, SQUARE)),
             Tube("post", "thin", ("p", "q"), (), (End(root_gap=gap), SQUARE)))  # fmt: skip
    (found,) = end_landings(solve(Frame("f", ROUND, points, tubes))).values()
    (mark,) = found.marks
    np.testing.assert_allclose(np.ptp(mark.outline[0][:, 1]), 25.0, atol=1e-3)


@pytest.mark.parametrize("degrees", [0, 5, 20, 30])
def test_a_leaning_tube_on_a_box_faces_where_its_centreline_points(degrees):
    turn = math.radians(degrees)
    points = {"a": At(0, 0, 0), "b": At(600, 0, 0), "p": At(300, 0, 0),
              "q": At(300, -300 * math.sin(turn), 300 * math.cos(turn))}  # fmt: skip
    tubes = (Tube("rail", "box", ("a", "b"), (), (SQUARE, SQUARE)),
             Tube("post", "thin", ("p", "q"), (), (End(), SQUARE)))  # fmt: skip
    (found,) = end_landings(solve(Frame("f", ROUND, points, tubes))).values()
    assert found.marks[0].round_mm == pytest.approx(30 * math.tan(turn), abs=1e-6)


def test_a_tube_that_meets_a_bend_head_on():
    """The bend's near leg is in line with the tube: no side of it faces the tube, and the mark is where it lies."""
    points = {"a": At(0, -200, -12), "b": At(0, 200, -12), "k": At(-10, 0, 0), "u": At(-10, 0, 250), "v": At(250, 0, 0),
              "p": At(-300, 0, 0), "q": At(0, 0, 0)}  # fmt: skip
    tubes = (Tube("rail", "main", ("a", "b"), (), (SQUARE, SQUARE)),
             Tube("bent", "thin", ("u", "k", "v"), (60.0,), (SQUARE, SQUARE)),
             Tube("branch", "thin", ("p", "q"), (), (SQUARE, End())))  # fmt: skip
    (found,) = end_landings(solve(Frame("f", ROUND, points, tubes))).values()
    for mark in found.marks:
        assert math.isfinite(mark.round_mm)
