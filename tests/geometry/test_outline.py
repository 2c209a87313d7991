"""Sections rolled out flat, and lines round them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from geometry.cope import cope
from geometry.joint import Joint
from geometry.outline import BoxOutline, RoundOutline, outline_of, sample_line
from geometry.section import BoxSection, RoundTube
from tests.cases import examples

boxes = st.tuples(st.floats(10, 80), st.floats(10, 80), st.just(0.0) | st.floats(0.01, 0.49)).map(
    lambda t: BoxOutline(t[0], t[1], t[2] * min(t[0], t[1]))
)


@examples(60)
@given(boxes)
def test_a_boxs_outline_is_shapelys_rounded_rectangle(outline):
    half_x, half_y, corner = outline.along / 2, outline.across / 2, outline.corner
    core = box(-half_x + corner, -half_y + corner, half_x - corner, half_y - corner)
    rounded = core.buffer(corner, quad_segs=256) if corner else core
    s = np.linspace(0, outline.girth, 1500)
    places = outline.at(s)
    ring = rounded.exterior
    assert max(ring.distance(Point(p)) for p in places[::25]) < 1e-3
    assert outline.girth == pytest.approx(ring.length, rel=1e-4)
    assert Polygon(places).area == pytest.approx(rounded.area, rel=1e-3)
    # As long on the way as the distance round says, and right-handed.
    steps = np.linalg.norm(np.diff(places, axis=0), axis=1)
    assert np.max(steps) <= s[1] * (1 + 1e-9)
    assert np.median(steps) >= s[1] * 0.99
    assert Polygon(places).exterior.is_ccw
    assert places[0] == pytest.approx((half_x, 0))
    assert outline.at(np.array([1.0]))[0] == pytest.approx((half_x, 1.0)) or outline.across < 4


@examples(60)
@given(boxes, st.floats(0.1, 4.5))
def test_a_boxs_inside_is_as_deep_as_its_wall(outline, depth):
    s = np.linspace(0, outline.girth, 400)
    inside = outline.at(s, depth)
    corners = np.concatenate((np.linspace(0, outline.girth, 8000), outline.corners))
    ring = LineString(outline.at(np.sort(corners)))
    far = np.array([ring.distance(Point(p)) for p in inside])
    assert np.max(np.abs(far - depth)) < 0.05 + 0.01 * depth
    straight = BoxOutline(
        outline.along - 2 * depth, outline.across - 2 * depth, max(outline.corner - depth, 0)
    )
    ring = LineString(straight.at(np.linspace(0, straight.girth, 4000)))
    assert max(ring.distance(Point(p)) for p in inside) < 0.05


def test_a_published_boxs_girth_and_area():
    """EN 10219-2 Table B.3, 50 x 30 x 3 with outside corners 2 t = 6 mm: A 4.21 cm2, from memory."""
    section = BoxSection(50, 30, 3, 6)
    assert section.area / 100 == pytest.approx(4.21, abs=0.005)
    assert outline_of(section).girth == pytest.approx(section.girth)


def test_a_cope_sampled_this_way_is_the_closed_form():
    joint = Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0)
    cut = cope(joint)
    outline = RoundOutline(19.05)
    s, heights = sample_line(lambda s: cut.line_at(s / 19.05), outline)
    dense = np.linspace(0, outline.girth, 20001)
    true = cut.line_at(dense / 19.05)
    line = LineString(np.column_stack((s, heights)))
    assert max(line.distance(Point(p)) for p in np.column_stack((dense, true))[::7]) < 0.01
    assert s[0] == 0
    assert s[-1] == pytest.approx(outline.girth, abs=1e-12)
    assert np.all(np.diff(s) > 0)
    assert np.max(np.diff(s)) <= math.radians(2.5) * 19.05 + 1e-9


@pytest.mark.parametrize("jump", [0.0, 30.0])
def test_kinks_and_jumps_are_found(jump):
    outline = BoxOutline(40, 25, 4)

    def height(s):
        return np.abs(s - 37.123) + np.where(s > 61.7, jump, 0.0)

    s, heights = sample_line(height, outline)
    assert np.min(np.abs(s - 37.123)) < 0.02
    assert heights.min() < 0.02
    if jump:
        index = int(np.argmax(np.diff(heights)))
        # The chord across a jump is as near to it as any other.
        assert s[index + 1] - s[index] < 0.02
        assert s[index] <= 61.7 <= s[index + 1]
    assert len(s) < 260
