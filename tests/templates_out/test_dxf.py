"""The DXF files, read back with ezdxf: clean, true, and with the table's numbers."""

from __future__ import annotations

import io
import math

import ezdxf
import ezdxf.bbox
import numpy as np
import pytest
from hypothesis import given

from geometry.bend import path_from_table
from geometry.bend_plan import BendJob, solve_bend
from geometry.joint import Joint
from geometry.landing import landing
from geometry.material import MATERIALS
from geometry.path import Path
from geometry.section import RoundTube
from templates_out.bend_drawing import bend_files
from templates_out.joint_papers import joint_files
from templates_out.joint_result import solve_joint
from tests.cases import examples, joints, paths

ALLOWED = {"LINE", "ARC", "CIRCLE", "LWPOLYLINE", "TEXT", "DIMENSION"}
REAL = Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0)


def read(data: bytes):
    document = ezdxf.read(io.TextIOWrapper(io.BytesIO(data), encoding="cp1252"))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert document.dxfversion == "AC1015"
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    assert len(document.layout("Layout1")) == 0
    space = document.modelspace()
    assert {entity.dxftype() for entity in space} <= ALLOWED
    # Letters differ from reader to reader; strokes only by how it rounds arcs off: ezdxf takes them as
    # cubic curves, which lie up to 3e-4 of the radius outside.
    strokes = ezdxf.bbox.extents(space.query("LINE ARC CIRCLE LWPOLYLINE"))
    slack = 0.01 + 3e-4 * max([arc.dxf.radius for arc in space.query("ARC CIRCLE")], default=0.0)
    low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
    assert low[0] <= strokes.extmin.x + slack
    assert low[1] <= strokes.extmin.y + slack
    assert high[0] >= strokes.extmax.x - slack
    assert high[1] >= strokes.extmax.y - slack
    assert high[0] - low[0] < 50 + 3 * max(strokes.size.x, strokes.size.y, 300)
    lines = [e for e in space if e.dxftype() == "LINE"]
    keys = set()
    for line in lines:
        ends = sorted((tuple(line.dxf.start.round(6)), tuple(line.dxf.end.round(6))))
        assert math.dist(*ends) > 1e-6
        assert (line.dxf.layer, *ends) not in keys
        keys.add((line.dxf.layer, *ends))
    for text in space.query("TEXT"):
        text.dxf.text.encode("latin-1")
    return document, space


@examples(60)
@given(joints())
def test_wrap_is_one_closed_outline_with_the_profile_on_top(joint):
    result = solve_joint(joint)
    _, space = read(joint_files(result)["joint.dxf"])
    (outline,) = space.query('*[layer=="OUTLINE"]')
    assert outline.dxftype() == "LWPOLYLINE"
    assert outline.closed
    points = np.array([(x, y) for x, y, *_ in outline.get_points()])
    cut = result.cut
    upper = points[: cut.phi.size]
    assert upper[:, 0] == pytest.approx(joint.tube.radius * cut.phi, abs=1e-9)
    assert upper[:, 1] == pytest.approx(cut.line, abs=1e-9)
    assert len(points) == cut.phi.size + 2
    steps = np.hypot(*np.diff(points, axis=0).T)
    assert steps.min() > 1e-6
    assert {e.dxf.layer for e in space} <= {"OUTLINE", "DATUM", "NOTES"}
    assert {e.dxftype() for e in space.query('*[layer=="NOTES"]')} == {"TEXT"}
    datum = sorted({round(e.dxf.start.x, 6) for e in space.query('LINE[layer=="DATUM"]')})
    around = math.tau * joint.tube.radius
    assert datum == pytest.approx([around * q / 4 for q in range(5)], abs=1e-5)


def test_wrap_stays_within_a_hundredth_of_the_true_curve():
    for joint in (
        REAL,
        Joint(RoundTube(100.0, 3.0), 100.5, 12.0),
        Joint(RoundTube(60.0, 3.0), 40.0, 50.0, 8.0),
    ):
        _, space = read(joint_files(solve_joint(joint))["joint.dxf"])
        (outline,) = space.query('*[layer=="OUTLINE"]')
        points = np.array([(x, y) for x, y, *_ in outline.get_points()])[:-2]
        x = np.linspace(0, math.tau * joint.tube.radius, 200001)
        true = solve_joint(joint).cut.line_at(x / joint.tube.radius)
        off = np.abs(np.interp(x, points[:, 0], points[:, 1]) - true)
        assert off.max() < 0.01


def test_landing_is_one_closed_outline():
    result = solve_joint(REAL)
    _, space = read(joint_files(result)["joint-landing.dxf"])
    (outline,) = space.query('*[layer=="OUTLINE"]')
    assert outline.closed
    points = np.array([(x, y) for x, y, *_ in outline.get_points()])
    expected = landing(REAL).outline + (math.pi * 27.0, 0.0)
    assert points == pytest.approx(expected, abs=1e-9)


def bent(rows, last, **options):
    path = path_from_table(rows, last)
    return solve_bend(BendJob(RoundTube(25.0, 2.0), path, MATERIALS["E235"], **options))


@examples(60)
@given(paths(flat=True))
def test_flat_tube_centreline_is_one_tangent_chain_of_the_developed_length(case):
    result = bent(*case)
    files = bend_files(result)
    for name in ("bend.dxf", "bend-profile.dxf"):
        _, space = read(files[name])
        pieces = list(space.query('*[layer=="CENTRELINE"]'))
        assert {piece.dxftype() for piece in pieces} <= {"LINE", "ARC"}
        total, ends = 0.0, []
        for piece in pieces:
            if piece.dxftype() == "LINE":
                total += piece.dxf.start.distance(piece.dxf.end)
                way = (piece.dxf.end - piece.dxf.start).normalize()
                ends.append(((piece.dxf.start, way), (piece.dxf.end, way)))
            else:
                sweep = math.radians((piece.dxf.end_angle - piece.dxf.start_angle) % 360)
                total += piece.dxf.radius * sweep
                out = [
                    (p - piece.dxf.center).normalize() for p in (piece.start_point, piece.end_point)
                ]
                ends.append(
                    tuple(
                        zip(
                            (piece.start_point, piece.end_point),
                            [o.orthogonal() for o in out],
                            strict=True,
                        )
                    )
                )
        assert total == pytest.approx(result.job.path.developed_length, abs=1e-3)
        # Every inner end meets just one other, in the same or the opposite direction.
        flat = [end for pair in ends for end in pair]
        open_ends = 0
        for index, (point, way) in enumerate(flat):
            near = [w for j, (q, w) in enumerate(flat) if j != index and q.distance(point) < 1e-6]
            open_ends += not near
            for other in near[:1]:
                assert abs(abs(way.dot(other)) - 1) < 1e-9
        assert open_ends == 2
    _, space = read(files["bend-profile.dxf"])
    assert {e.dxf.layer for e in space} == {"CENTRELINE", "OUTLINE"}
    assert {e.dxftype() for e in space} <= {"LINE", "ARC"}


@examples(60)
@given(paths(flat=True))
def test_dimensions_measure_what_the_table_says(case):
    result = bent(*case)
    _, space = read(bend_files(result)["bend.dxf"])
    got = {"length": [], "angle": [], "radius": []}
    for dim in space.query("DIMENSION"):
        assert dim.dxf.layer == "DIMENSIONS"
        (words,) = [e for e in dim.get_geometry_block() if e.dxftype() in ("TEXT", "MTEXT")]
        shown = float(words.plain_text().replace("%%d", "").strip("°R"))
        kind = dim.dimtype & 15
        measured = dim.get_measurement()
        measured = measured if isinstance(measured, float) else measured.magnitude
        if kind == 2:
            got["angle"].append((measured, math.degrees(dim.dxf.actual_measurement), shown))
        elif kind == 4:
            got["radius"].append((measured, dim.dxf.actual_measurement, shown))
        else:
            assert kind in (0, 1)
            got["length"].append((measured, dim.dxf.actual_measurement, shown))
    straights = [s for s in result.job.path.straights if s > 1e-6]
    expected = {
        "length": straights,
        "angle": [row.angle_deg for row in result.rows],
        "radius": [row.clr for row in result.rows],
    }
    for kind, values in expected.items():
        for column, within in ((0, 1e-6), (1, 1e-6), (2, 0.0051)):
            measured = sorted(found[column] for found in got[kind])
            assert measured == pytest.approx(sorted(values), abs=within), kind


def test_figures_in_the_blocks_are_the_table_in_words():
    path = Path(((0, 0, 0), (400, 0, 0), (700, 0, 300)), (115.0,))
    result = solve_bend(BendJob(RoundTube(38.1, 1.6), path, MATERIALS["E235"]))
    _, space = read(bend_files(result)["bend.dxf"])
    said = []
    for dim in space.query("DIMENSION"):
        for entity in dim.get_geometry_block():
            if entity.dxftype() in ("TEXT", "MTEXT"):
                said.append(entity.plain_text().replace("%%d", "°"))
    assert sorted(said) == sorted(["352.37", "376.63", "45°", "R115"])


@examples(40)
@given(paths())
def test_a_path_in_space_has_its_views(case):
    result = bent(*case)
    files = bend_files(result)
    _, space = read(files["bend.dxf"])
    assert len(space.query('*[layer=="CENTRELINE"]')) > 0
    if result.job.path.plane is None:
        assert "bend-profile.dxf" not in files


def test_same_drawing_same_bytes():
    assert joint_files(solve_joint(REAL)) == joint_files(solve_joint(REAL))


def test_letters_outside_latin_1_lose_their_accents():
    from templates_out.dxf import latin1

    assert latin1("Žebřík Ω é ½") == "Zebrík ? é ½"
