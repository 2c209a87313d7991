"""Bend table to space and back, over random tables, by an independent chain of rotations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from scipy.integrate import quad
from scipy.spatial.transform import Rotation

from geometry.bend import bend_marks, bend_table, end_frames, path_from_table
from geometry.path import Arc, Path, Straight
from tests.cases import examples, paths


def walked(rows, last):
    """Vertices by carrying a frame along the tube: scipy's rotations, no formula of the program."""
    frame = Rotation.identity()  # x forwards, y towards the bend's inside, z its axis
    at = np.zeros(3)
    points, setback = [at], 0.0
    for row in rows:
        frame = frame * Rotation.from_euler("x", row.rotation_deg, degrees=True)
        ahead = row.clr * math.tan(math.radians(row.angle_deg) / 2)
        at = at + frame.apply([setback + row.length + ahead, 0, 0])
        points.append(at)
        frame = frame * Rotation.from_euler("z", row.angle_deg, degrees=True)
        setback = ahead
    return np.array([*points, at + frame.apply([setback + last, 0, 0])])


@examples(500)
@given(paths())
def test_table_to_space_is_the_chain_of_rotations_and_not_its_mirror_image(case):
    rows, last = case
    path = path_from_table(rows, last)
    expected = walked(rows, last)
    assert np.allclose(np.array(path.vertices), expected, atol=1e-6)
    if len(rows) > 1 and any(1 < abs(row.rotation_deg) < 179 for row in rows):
        mirrored = Path(tuple((x, y, -z) for x, y, z in path.vertices), path.radii)
        turned = [row.rotation_deg for row in bend_table(mirrored)]
        assert turned == pytest.approx([-row.rotation_deg for row in rows], abs=1e-4)


@examples(500)
@given(paths())
def test_space_to_table_and_back(case):
    rows, last = case
    path = path_from_table(rows, last, (10.0, -20.0, 5.0), (0.3, -0.5, 0.8), (1.0, 1.0, 0.2))
    again = bend_table(path)
    for before, after in zip(rows, again, strict=True):
        assert after.length == pytest.approx(before.length, abs=1e-6)
        assert after.angle_deg == pytest.approx(before.angle_deg, abs=1e-7)
        assert after.clr == before.clr
        turn = (after.rotation_deg - before.rotation_deg + 180) % 360 - 180
        assert turn == pytest.approx(0.0, abs=1e-5)
        assert -180 < after.rotation_deg <= 180
    assert path.straights[-1] == pytest.approx(last, abs=1e-6)


@examples(300)
@given(paths())
def test_straights_and_arcs_are_one_smooth_line_of_the_developed_length(case):
    path = path_from_table(*case)
    at, way, total = np.array(path.vertices[0]), path.directions[0], 0.0
    for segment in path.segments:
        if isinstance(segment, Straight):
            assert np.allclose(segment.start, at, atol=1e-6)
            at = segment.end
        else:
            assert isinstance(segment, Arc)
            ends = segment.points(np.array([0.0, segment.angle_rad]))
            assert np.allclose(ends[0], at, atol=1e-6)
            assert np.allclose(segment.forwards, way, atol=1e-9)
            at = ends[1]
            way = math.cos(segment.angle_rad) * segment.forwards
            way = way - math.sin(segment.angle_rad) * segment.outwards
        total += segment.length
    assert np.allclose(at, path.vertices[-1], atol=1e-6)
    assert np.allclose(way, path.directions[-1], atol=1e-9)
    assert path.developed_length == pytest.approx(total, abs=1e-6)


@examples(40)
@given(paths())
def test_developed_length_is_the_integral_along_the_line(case):
    path = path_from_table(*case)
    total = 0.0
    for segment in path.segments:
        if isinstance(segment, Straight):
            total += math.dist(segment.start, segment.end)
            continue

        def speed(turn, arc=segment):
            near = arc.points(np.array([turn - 1e-5, turn + 1e-5]))
            return math.dist(near[0], near[1]) / 2e-5

        total += quad(speed, 0, segment.angle_rad)[0]
    assert path.developed_length == pytest.approx(total, abs=1e-4)


@examples(100)
@given(paths(flat=True))
def test_a_flat_table_makes_a_flat_path(case):
    path = path_from_table(*case)
    assert path.plane is not None
    for row, before in zip(bend_table(path), case[0], strict=True):
        assert row.rotation_deg == before.rotation_deg


@examples(100)
@given(paths())
def test_marks_run_along_the_bar(case):
    path = path_from_table(*case)
    marks = bend_marks(path, trim_start=25.0, tool_reference=7.0)
    at = 25.0
    for mark, straight, radius, angle in zip(
        marks, path.straights, path.radii, path.bend_angles_rad, strict=False
    ):
        at += straight
        assert mark.start == pytest.approx(at, abs=1e-6)
        assert mark.tool == pytest.approx(at - 7.0, abs=1e-6)
        assert mark.middle == pytest.approx(at + radius * angle / 2, abs=1e-6)
        at += radius * angle
        assert mark.end == pytest.approx(at, abs=1e-6)
    assert at + path.straights[-1] == pytest.approx(25.0 + path.developed_length, abs=1e-6)


@examples(100)
@given(paths())
def test_the_datum_of_an_end_is_the_outside_of_the_nearest_bend(case):
    path = path_from_table(*case)
    arcs = [segment for segment in path.segments if isinstance(segment, Arc)]
    first, last = arcs[0], arcs[-1]
    start, finish = end_frames(path)
    assert np.allclose(start.datum, first.outwards, atol=1e-9)
    out = last.points(np.array([last.angle_rad]))[0] - last.centre
    assert np.allclose(finish.datum, out / last.radius, atol=1e-9)
    assert np.allclose(start.axis, -path.directions[0])
    assert np.allclose(finish.axis, path.directions[-1])
