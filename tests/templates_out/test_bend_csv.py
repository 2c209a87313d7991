"""A bent tube's CSV tables, bent again by an independent chain of scipy's rotations."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from geometry.bend_plan import BendJob, solve_bend
from geometry.errors import CopewrightError
from geometry.material import material
from geometry.path import Path
from geometry.section import RoundTube
from templates_out.bend_csv import bend_csv_files
from tests.cases import examples

legs = st.lists(
    st.tuples(st.floats(120, 400), st.floats(20, 130), st.floats(-179, 179)), min_size=2, max_size=4
)


def rows_of(data):
    return list(csv.DictReader(io.StringIO(data.decode())))


def bent(rows, last):
    """The centreline's points, walked along the bar: a frame that rolls, then turns through each bend."""
    at, pose = np.zeros(3), Rotation.identity()
    points = [at]
    setback = 0.0
    for row in rows:
        length, rotation, angle, radius = (
            float(row[key]) for key in ("length", "rotation", "angle", "radius")
        )
        # Local axes: x along the tube, z the bend's axis.
        pose = pose * Rotation.from_rotvec(np.radians(rotation) * np.array([1.0, 0, 0]))
        next_setback = radius * np.tan(np.radians(angle) / 2)
        at = at + (setback + length + next_setback) * pose.apply([1.0, 0, 0])
        points.append(at)
        pose = pose * Rotation.from_rotvec(np.radians(angle) * np.array([0, 0, 1.0]))
        setback = next_setback
    points.append(at + (setback + last) * pose.apply([1.0, 0, 0]))
    return np.array(points)


def aligned(points):
    """Moved so that the first leg runs along x and the first bend lies in x and y, y positive: hands stay apart."""
    x = points[1] - points[0]
    x = x / np.linalg.norm(x)
    y = points[2] - points[1]
    y = y - (y @ x) * x
    y = y / np.linalg.norm(y)
    return (points - points[0]) @ np.array([x, y, np.cross(x, y)]).T


@examples(60)
@given(legs)
def test_the_table_bends_what_the_points_say_and_not_its_mirror_image(some):
    at, pose = np.zeros(3), Rotation.identity()
    points = [at]
    for length, angle, rotation in some:
        at = at + length * pose.apply([1.0, 0, 0])
        points.append(at)
        pose = pose * Rotation.from_euler("xz", [rotation, angle], degrees=True)
    points.append(at + 200.0 * pose.apply([1.0, 0, 0]))
    try:
        path = Path(tuple(tuple(float(v) for v in point) for point in points), (60.0,) * len(some))
        result = solve_bend(BendJob(RoundTube(25.0, 2.0), path, material("E235")))
    except CopewrightError:
        assume(False)
    files = bend_csv_files(result, "t")
    told = np.array([[float(row[key]) for key in "xyz"] for row in rows_of(files["t-points.csv"])])
    table = rows_of(files["t-table.csv"])
    made = bent(table[:-1], float(table[-1]["length"]))
    np.testing.assert_allclose(aligned(made), aligned(told), atol=2e-3)
    mirrored = aligned(told * (1, 1, -1))
    if np.max(np.abs(aligned(told)[:, 2])) > 1.0:
        assert np.max(np.abs(aligned(made) - mirrored)) > 0.5


def test_the_files():
    path = Path(((0, 0, 0), (400, 0, 0), (700, 0, 300)), (115.0,))
    files = bend_csv_files(
        solve_bend(BendJob(RoundTube(38.1, 1.6), path, material("E235"))), "rail"
    )
    assert sorted(files) == ["rail-points.csv", "rail-table.csv"]
    points = rows_of(files["rail-points.csv"])
    assert [row["point"] for row in points] == ["start", "bend 1", "finish"]
    assert points[1]["radius"] == "115.000000"
    (bend, last) = rows_of(files["rail-table.csv"])
    assert float(bend["angle"]) == pytest.approx(45.0)
    assert float(bend["mark_end"]) - float(bend["mark_start"]) == pytest.approx(
        115 * np.pi / 4, abs=1e-5
    )
    assert float(last["length"]) == pytest.approx(path.straights[-1], abs=1e-6)
