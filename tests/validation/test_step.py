"""STEP files read back by OpenCascade: they measure what the bend table says."""

from __future__ import annotations

import math
import sys

import numpy as np
import pytest
from hypothesis import assume, given
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepGProp import BRepGProp
from OCP.gp import gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_IN, TopAbs_OUT, TopAbs_SOLID

from geometry.bend import path_from_table
from geometry.bend_plan import BendJob, solve_bend
from geometry.material import MATERIALS
from geometry.path import Path
from geometry.section import RoundTube
from templates_out.step import NoStep, step_files
from tests.cases import examples, paths

SPACE = Path(((0, 0, 0), (400, 0, 0), (550, 250, 0), (600, 300, 400), (900, 350, 420)), (80.0,) * 3)


def solved(path, **options):
    return solve_bend(BendJob(RoundTube(25.0, 2.0), path, MATERIALS["E235"], **options))


def read(data, folder):
    """The shape in a STEP file, in millimetres."""
    place = folder / "one.step"
    place.write_bytes(data)
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(place)) == IFSelect_RetDone
    assert reader.TransferRoots() == 1
    return reader.OneShape()


def measured(shape, how):
    props = GProp_GProps()
    getattr(BRepGProp, f"{how}Properties_s")(shape, props)
    return props


@examples(15)
@given(paths())
def test_length_and_volume_are_the_tables(tmp_path_factory, case):
    rows, last = case
    assume(min(row.clr for row in rows) > 14.0)
    folder = tmp_path_factory.mktemp("step")
    path = path_from_table(rows, last)
    files = step_files(solved(path), "tube")
    solid = read(files["tube.step"], folder)
    assert solid.ShapeType() == TopAbs_SOLID
    assert BRepCheck_Analyzer(solid).IsValid()
    # Pappus: a section whose middle keeps to the centreline sweeps area times length.
    area = math.pi * (12.5**2 - 10.5**2)
    assert measured(solid, "Volume").Mass() == pytest.approx(area * path.developed_length, rel=1e-6)
    wire = read(files["tube-centreline.step"], folder)
    assert measured(wire, "Linear").Mass() == pytest.approx(path.developed_length, abs=1e-4)
    # The mass on the papers is that of the solid.
    kilograms = measured(solid, "Volume").Mass() * MATERIALS["E235"].density
    assert solved(path).mass == pytest.approx(kilograms, rel=1e-6)


def inside(solid, at):
    return BRepClass3d_SolidClassifier(solid, gp_Pnt(*at), 1e-6).State()


def test_the_wall_is_where_the_frame_has_it_and_no_mirror_image(tmp_path):
    solid = read(step_files(solved(SPACE), "tube")["tube.step"], tmp_path)
    for segment in SPACE.segments:
        middle = (
            segment.points(np.array([segment.angle_rad / 2]))[0]
            if hasattr(segment, "angle_rad")
            else (segment.start + segment.end) / 2
        )
        way = np.cross(segment.normal, middle - segment.centre) if hasattr(segment, "normal") else segment.end - segment.start  # fmt: skip
        aside = np.cross(way, (0.3, 0.5, 0.8))
        aside /= np.linalg.norm(aside)
        assert inside(solid, middle) == TopAbs_OUT
        assert inside(solid, middle + 11.5 * aside) == TopAbs_IN
        assert inside(solid, middle + 12.6 * aside) == TopAbs_OUT


def test_ends_are_the_delivered_tubes(tmp_path):
    area = math.pi * (12.5**2 - 10.5**2)
    length = SPACE.developed_length
    # Trim is gone when the tube is delivered; what fitted ends are cut from is not.
    for options, more in (
        ({"trim": (20.0, 5.0)}, 0.0),
        ({"trim": (12.0, -30.0), "long_points": True}, -18.0),
        ({"trim": (12.0, -30.0), "left_on": (0.0, 40.0), "long_points": True}, 22.0),
        ({"trim": (0.0, -9999.0), "long_points": True}, -SPACE.straights[-1]),
    ):
        solid = read(step_files(solved(SPACE, **options), "tube")["tube.step"], tmp_path)
        assert measured(solid, "Volume").Mass() == pytest.approx(area * (length + more), rel=1e-6)


def test_same_tube_same_bytes_and_its_name_in_it():
    one, other = (step_files(solved(SPACE, name="Häuptling's rail"), "tube") for _ in range(2))
    assert one == other
    assert b"PRODUCT('Hauptlings rail'" in one["tube.step"]
    assert b".MILLI.,.METRE." in one["tube.step"]


def test_without_opencascade_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "OCP.BRepOffsetAPI", None)
    with pytest.raises(NoStep, match="step"):
        step_files(solved(SPACE), "tube")
