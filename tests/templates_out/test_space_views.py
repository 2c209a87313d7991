"""Views of tubes in space, read back from the DXF: true silhouettes, nothing drawn twice."""

from __future__ import annotations

import io
import math

import ezdxf
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from geometry.bend import path_from_table
from geometry.bend_plan import BendJob, solve_bend
from geometry.material import MATERIALS
from geometry.path import Arc, Path, Straight
from geometry.section import RoundTube
from templates_out.bend_drawing import bend_files
from templates_out.bend_view import FROM_ABOVE, FROM_FRONT, FROM_RIGHT, PICTORIAL, View
from templates_out.clip import strokes_of
from templates_out.drawing import OUTLINE, Drawing, Line, Polyline, arc_points
from templates_out.drawing import Arc as DrawnArc
from templates_out.space_view import bend_in_view, sample_curves, space_view
from templates_out.tile_plan import stroke_points
from tests.cases import examples, paths

VIEWS = (FROM_RIGHT, FROM_ABOVE, FROM_FRONT, PICTORIAL)


def strokes(drawing, layer):
    found = []
    for item in drawing.items:
        if item.pen.layer != layer:
            continue
        if isinstance(item, Line):
            found.append(np.array([item.start, item.end]))
        elif isinstance(item, DrawnArc):
            found.append(arc_points(item, 0.001))
        else:
            assert isinstance(item, Polyline)
            found.append(item.points)
    return found


def sphere_centres(path):
    """Points along the centreline, close together: the tube is a sphere rolled along them."""
    parts = []
    for segment in path.segments:
        if isinstance(segment, Straight):
            count = max(int(segment.length / 0.5), 2)
            share = np.linspace(0, 1, count)[:, None]
            parts.append(segment.start + share * (segment.end - segment.start))
        else:
            assert isinstance(segment, Arc)
            parts.append(
                segment.points(np.linspace(0, segment.angle_rad, max(int(segment.length / 0.5), 4)))
            )
    return np.vstack(parts)


CASES = [
    ((0, 0, 0), (300, 20, 10), (310, 300, 40), (600, 310, 300)),
    ((0, 0, 0), (400, 1, 0), (401, 400, 0), (400, 401, 500)),
    ((0, 0, 0), (400, 0, 0), (100, 150, 0), (100, 150, 300)),
    ((0, 0, 0), (300, 0, 0), (300, 200, 0), (0, 200, 0), (0, 200, 200)),
]


@pytest.mark.parametrize("corners", CASES)
@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name[:14])
def test_no_point_of_the_tube_lies_outside_its_silhouette_and_the_silhouette_is_at_the_radius(
    corners, view
):
    radius = 15.0
    path = Path(
        tuple(map(tuple, np.array(corners, dtype=float).tolist())), (60.0,) * (len(corners) - 2)
    )
    drawing = space_view(path, view, radius)
    line = stroke_points(strokes(drawing, "OUTLINE"), 0.25)
    centres = view.flat(sphere_centres(path))
    # Every stroke of the outline is at most the radius from the centreline as seen.
    far = cKDTree(centres).query(line)[0]
    assert far.max() < radius + 0.05
    # And the farthest that the tube reaches in any direction, its outline reaches.
    for angle in np.radians(np.arange(0, 360, 7.5)):
        way = np.array([math.cos(angle), math.sin(angle)])
        inner = centres[5:-5] @ way
        if inner.max() >= max(centres[0] @ way, centres[-1] @ way) + 1.0:
            assert (line @ way).max() == pytest.approx(inner.max() + radius, abs=0.05)


@examples(40)
@given(paths())
def test_chords_of_silhouettes_are_true(case):
    path = path_from_table(*case)
    for view in VIEWS:
        for item in space_view(path, view, 12.5).items:
            if isinstance(item, Polyline):
                steps = np.hypot(*np.diff(item.points, axis=0).T)
                assert steps.min() > 1e-9


def bend_seen(radius, angle, flatness, start, tilt):
    """A bend and a view, the plane of the one so flat to the other, begun so far round."""
    normal = np.array([math.sqrt(1 - flatness**2), 0.0, flatness])
    edge = np.array([0.0, 1.0, 0.0])
    third = np.cross(normal, edge)
    out = math.cos(start) * edge + math.sin(start) * third
    bend = Arc(np.array([10.0, 20.0, 30.0]), radius, angle, out, np.cross(normal, out))
    right = np.array([math.cos(tilt), math.sin(tilt), 0.0])
    return bend, View("from the z axis", right, np.array([-right[1], right[0], 0.0]))


@examples(150)
@given(
    radius=st.floats(20.0, 400.0),
    tube=st.floats(4.0, 19.0),
    angle=st.floats(0.1, 3.1),
    power=st.floats(-5.9, 0.0),
    start=st.floats(0.0, 6.3),
    tilt=st.floats(0.0, 6.3),
    chord=st.sampled_from([0.008, 0.05]),
)
def test_a_bend_is_seen_as_the_discs_along_it_are(radius, tube, angle, power, start, tilt, chord):
    """However nearly it is seen edge on (shapely's buffer knows nothing of silhouettes)."""
    bend, view = bend_seen(radius, angle, 10.0**power, start, tilt)
    items = bend_in_view(
        bend, view, ((tube, OUTLINE), (-tube, OUTLINE), (0.0, OUTLINE)), 1.0, chord
    )
    middle = view.flat(bend.points(np.linspace(0.0, angle, 4001)))
    swept = shapely.linestrings(middle).buffer(tube, quad_segs=120)
    drawn = shapely.multilinestrings(
        [shapely.linestrings(strokes_of(Drawing((i,)))[0].points) for i in items]
    )
    edge = shapely.points(shapely.segmentize(swept.exterior, 0.5).coords)
    beyond = shapely.distance(edge, shapely.multipoints(middle[[0, -1]])) > tube + 0.05
    assert np.max(shapely.distance(edge[beyond], drawn), initial=0.0) < 1.3 * chord
    for item in items:
        if isinstance(item, Polyline):
            # At a cusp the line comes back to where it was: its points are apart along it.
            assert np.hypot(*np.diff(item.points, axis=0).T).min() > 1e-7
            ends = view.flat(bend.points(np.array([0.0, angle])))
            reach = 0.0 if item is items[2] else tube
            for point, end in zip(item.points[[0, -1]], ends, strict=True):
                assert math.dist(point, end) == pytest.approx(reach, abs=1e-6)


def test_no_part_of_an_arc_is_cut_once_more():
    bend, view = bend_seen(100.0, math.pi / 2, 0.99, 0.3, 0.0)
    strokes = ((15.0, OUTLINE), (-15.0, OUTLINE))
    for item in bend_in_view(bend, view, strokes, 1.0, 0.05):
        assert 20 < len(item.points) < 60


def test_a_curve_that_swings_fast_is_followed():
    def curve(turn):
        swing = np.arctan((turn - 0.5) * 1e4)
        return np.column_stack((10 * np.cos(swing), 10 * np.sin(swing)))

    (points,) = sample_curves(lambda turn: curve(turn)[None], np.linspace(0.0, 1.0, 17))
    dense = curve(0.5 + np.tan(np.linspace(-1.5, 1.5, 20001)) / 1e4)
    chords = stroke_points([points], 0.005)
    assert cKDTree(chords).query(dense)[0].max() < 0.012


@pytest.mark.parametrize("corners", CASES)
def test_nothing_is_drawn_twice(corners):
    path = Path(
        tuple(map(tuple, np.array(corners, dtype=float).tolist())), (60.0,) * (len(corners) - 2)
    )
    result = solve_bend(BendJob(RoundTube(20.0, 2.0), path, MATERIALS["E235"]))
    data = bend_files(result)["bend.dxf"]
    space = ezdxf.read(io.TextIOWrapper(io.BytesIO(data), encoding="cp1252")).modelspace()
    for layer in ("OUTLINE", "CENTRELINE"):
        lines = [(e.dxf.start, e.dxf.end) for e in space.query(f'LINE[layer=="{layer}"]')]
        for index, (a, b) in enumerate(lines):
            for c, d in lines[index + 1 :]:
                way, other = (b - a).normalize(), (d - c).normalize()
                if abs(way.x * other.y - way.y * other.x) > 1e-6:
                    continue
                if abs(way.x * (c - a).y - way.y * (c - a).x) > 1e-4:
                    continue
                span, there = (
                    sorted((0.0, (b - a).magnitude)),
                    sorted(((c - a).dot(way), (d - a).dot(way))),
                )
                assert min(span[1], there[1]) - max(span[0], there[0]) < 1e-4, (layer, a, b, c, d)
