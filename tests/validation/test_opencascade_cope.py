"""The cope against OpenCascade's own intersection of a line and a cylinder, and of two solids."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given

from geometry.cope import cope
from geometry.joint import Joint
from geometry.section import RoundTube
from tests.cases import examples, joints

pytest.importorskip("OCP", reason="the test extra installs OpenCascade")
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Section
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.Geom import Geom_CylindricalSurface, Geom_Line
from OCP.GeomAPI import GeomAPI_IntCS
from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS


def target_axis(joint, at=0.0):
    angle = math.radians(joint.angle_deg)
    x, z = math.sin(angle), math.cos(angle)
    return gp_Pnt(at * x, joint.offset, at * z), gp_Dir(x, 0.0, z)


@examples(150)
@given(joints(fits=("filed",)))
def test_every_line_first_meets_the_target_where_opencascade_says(joint):
    surface = Geom_CylindricalSurface(gp_Ax3(*target_axis(joint)), joint.grown.radius)
    radius = joint.tube.radius
    cut = cope(joint)
    step = max(cut.phi.size // 24, 1)
    for phi, height in zip(cut.phi[::step], cut.line[::step], strict=True):
        if abs(abs(radius * math.sin(phi) - joint.offset) - joint.grown.radius) < 1e-6:
            continue  # a line that just touches: both answers hang on the last digit
        line = Geom_Line(
            gp_Pnt(radius * math.cos(phi), radius * math.sin(phi), 0.0), gp_Dir(0, 0, 1)
        )
        met = GeomAPI_IntCS(line, surface)
        heights = [met.Point(i).Z() for i in range(1, met.NbPoints() + 1)]
        assert bool(heights) == bool(joint.grown.meets(radius, np.array([math.sin(phi)]))[0])
        if heights:
            assert height - joint.extra == pytest.approx(min(heights), abs=1e-6)


CASES = [
    Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0),
    Joint(RoundTube(25.4, 2.0), 38.1, 45.0, -3.0),
    Joint(RoundTube(30.0, 2.0), 50.0, 90.0, 0.0),
    Joint(RoundTube(20.0, 1.5), 60.0, 30.0, 12.0),
]


@pytest.mark.parametrize("joint", CASES)
def test_opencascades_curve_of_two_solids_is_the_line(joint):
    branch = BRepPrimAPI_MakeCylinder(
        gp_Ax2(gp_Pnt(0, 0, -300), gp_Dir(0, 0, 1)), joint.tube.radius, 300.0
    ).Shape()
    target = BRepPrimAPI_MakeCylinder(
        gp_Ax2(*target_axis(joint, -300.0)), joint.target_od / 2, 600.0
    ).Shape()
    section = BRepAlgoAPI_Section(branch, target)
    section.Build()
    cut = cope(joint)
    found = 0
    explorer = TopExp_Explorer(section.Shape(), TopAbs_EDGE)
    while explorer.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge(explorer.Current()))
        for share in np.linspace(0, 1, 41):
            first, last = curve.FirstParameter(), curve.LastParameter()
            point = curve.Value(first + share * (last - first))
            if (
                abs(math.hypot(point.X(), point.Y()) - joint.tube.radius) > 1e-4
                or point.Z() > -1e-6
            ):
                continue  # the end faces of the solids are not the joint
            phi = np.array([math.atan2(point.Y(), point.X())])
            assert point.Z() == pytest.approx(cut.line_at(phi)[0], abs=2e-4)
            found += 1
        explorer.Next()
    assert found > 20  # the rest lies beyond the bar's end


@pytest.mark.parametrize("joint", CASES)
def test_volume_of_the_cut_solid(joint):
    """A solid bar cut by OpenCascade holds as much as the heights, summed over its section, say."""
    bar = BRepPrimAPI_MakeCylinder(
        gp_Ax2(gp_Pnt(0, 0, -300), gp_Dir(0, 0, 1)), joint.tube.radius, 300.0
    ).Shape()
    target = BRepPrimAPI_MakeCylinder(
        gp_Ax2(*target_axis(joint, -600.0)), joint.target_od / 2, 1200.0
    ).Shape()
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(BRepAlgoAPI_Cut(bar, target).Shape(), properties, 1e-7)
    nodes, weights = np.polynomial.legendre.leggauss(200)
    phi = (np.arange(720) + 0.5) * math.tau / 720
    volume = 0.0
    for node, weight in zip(nodes, weights, strict=True):
        rho = joint.tube.radius * (node + 1) / 2
        heights = joint.surface.heights(rho, np.cos(phi), np.sin(phi))
        # What stands beyond the target, up to the bar's end at 0, stays a part of OpenCascade's solid.
        span = np.sin(joint.surface.angle_rad)
        root = np.sqrt(joint.surface.radius**2 - (rho * np.sin(phi) - joint.offset) ** 2)
        far = np.minimum(heights + 2 * root / span, 0.0)
        length = np.minimum(heights, 0.0) + 300.0 - far
        volume += weight * joint.tube.radius / 2 * rho * float(np.mean(length)) * math.tau
    assert properties.Mass() == pytest.approx(volume, rel=1e-6)
