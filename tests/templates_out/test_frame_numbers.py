"""A frame's numbers, read as the contract says and with nothing else."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from geometry.outline import BoxOutline
from templates_out.frame_numbers import frame_numbers
from templates_out.frame_result import solve_frame
from tests.properties.test_fitup import PLAIN, STOCK, TUBES, frame

RESULT = solve_frame(frame())
DATA = json.loads(frame_numbers(RESULT))
CUTS = {(cut["tube"], cut["end"]): cut for cut in DATA["cuts"]}
TUBE = {tube["tube"]: tube for tube in DATA["tubes"]}


def test_every_end_of_every_tube_is_there():
    assert (DATA["format"], DATA["version"]) == ("copewright-numbers", 1)
    assert set(CUTS) == {(tube.name, end) for tube in TUBES for end in ("start", "finish")}
    assert list(TUBE) == [tube.name for tube in TUBES]


@pytest.mark.parametrize("key", sorted(CUTS))
def test_the_contracts_formula_puts_the_profile_where_the_cut_is(key):
    cut = CUTS[key]
    origin, axis, datum = (np.array(cut[name]) for name in ("origin", "axis", "datum"))
    assert np.linalg.norm(axis) == pytest.approx(1.0)
    assert np.linalg.norm(datum) == pytest.approx(1.0)
    assert axis @ datum == pytest.approx(0.0, abs=1e-12)
    places, heights = np.array(cut["profile"]).T
    third = np.cross(axis, datum)
    if cut["radius"] is None:
        outline = BoxOutline(30.0, 50.0, 4.5)
        assert places[-1] == pytest.approx(outline.girth)
        flat = outline.at(places)
    else:
        assert places[-1] == pytest.approx(360.0, abs=1e-9)
        phi = np.radians(places)
        flat = cut["radius"] * np.column_stack((np.cos(phi), np.sin(phi)))
        assert np.max(np.diff(places)) <= 5.0
    points = origin + heights[:, None] * axis + flat[:, :1] * datum + flat[:, 1:] * third
    (solved,) = [c for one in PLAIN.parts for c in one.cuts if (one.part.name, c.at.name) == key]
    np.testing.assert_allclose(points, solved.points(), atol=1e-9)
    assert places[0] == 0.0
    assert heights[0] == pytest.approx(heights[-1], abs=1e-9)
    assert cut["long_point"] == max(heights)
    assert cut["short_point"] == min(heights)
    # A round tube on one straight round one: every point lies on it, by nothing but distances.
    if key == ("cross", "finish"):
        vertices = [np.array(v) for v in TUBE["other"]["vertices"]]
        way = (vertices[1] - vertices[0]) / np.linalg.norm(vertices[1] - vertices[0])
        away = np.linalg.norm(np.cross(points - vertices[0], way), axis=1)
        np.testing.assert_allclose(away, 19.05 + 0.5, atol=1e-9)


def test_the_angle_and_the_offset_are_those_of_the_two_lines():
    cut, target = CUTS["cross", "finish"], TUBE["other"]
    one, two = (np.array(v) for v in target["vertices"])
    way, axis = (two - one) / np.linalg.norm(two - one), np.array(cut["axis"])
    assert cut["angle"] == pytest.approx(math.degrees(math.acos(abs(way @ axis))))
    normal = np.cross(axis, way)
    gap = (one - np.array(cut["origin"])) @ normal / np.linalg.norm(normal)
    assert abs(cut["offset"]) == pytest.approx(abs(gap), abs=1e-9)


def test_lengths_and_masses():
    cross = TUBE["cross"]
    long_points = [CUTS["cross", end] for end in ("start", "finish")]
    ends = [np.array(c["origin"]) + c["long_point"] * np.array(c["axis"]) for c in long_points]
    assert cross["cut_length"] == pytest.approx(np.linalg.norm(ends[0] - ends[1]))
    area = STOCK["thin"].section.area
    assert cross["mass"] == pytest.approx(area * cross["cut_length"] * 7850e-9)
    rail = TUBE["rail"]
    assert rail["cut_length"] == pytest.approx(rail["developed_length"] + 8.0)
    assert [bend["clr"] for bend in rail["bends"]] == [120.0]
    assert rail["springback_from"] == "theory"


def test_the_same_frame_has_the_same_bytes():
    assert frame_numbers(solve_frame(frame())) == frame_numbers(RESULT)


def test_landings_are_where_the_ends_are():
    """A mark's outline, rolled back round its part from the numbers alone, is the end's line in space."""
    (mark,) = [
        m
        for m in DATA["landings"]
        if (m["tube"], m["end"], m["on"]) == ("cross", "finish", "other")
    ]
    one, two = (np.array(v) for v in TUBE["other"]["vertices"])
    way = (two - one) / np.linalg.norm(two - one)
    datum = np.array(mark["datum"])
    places, along = np.array(mark["outline"][0]).T
    phi = (mark["round"] + places) / 19.05
    foot = one + mark["along_path"] * way
    points = (
        foot
        + along[:, None] * way
        + 19.05 * (np.cos(phi)[:, None] * datum + np.sin(phi)[:, None] * np.cross(way, datum))
    )
    cut = CUTS["cross", "finish"]
    axis, origin = np.array(cut["axis"]), np.array(cut["origin"])
    off = points - origin
    off -= (off @ axis)[:, None] * axis
    # On the branch's outside, all round, and nearer to it than its work point.
    np.testing.assert_allclose(np.linalg.norm(off, axis=1), 12.5, atol=1e-6)
    heights = (points - origin) @ axis
    assert heights.max() == pytest.approx(
        cut["long_point"] + 0.5 / math.sin(math.radians(cut["angle"])), abs=0.2
    )
    assert mark["from_start"] + mark["from_finish"] == pytest.approx(TUBE["other"]["cut_length"])
