"""Speed of one cope, as ratios to the plain formula and to OpenCascade's boolean cut, in one run.

    .venv/bin/pytest tests/benchmarks --benchmark-group-by=group --benchmark-columns=median,ops

Not part of the normal run: nothing here can fail for being slow.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

from geometry.cope import cope
from geometry.joint import Joint
from geometry.section import RoundTube

JOINTS = {
    "down tube": Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0),
    "equal square": Joint(RoundTube(38.1, 1.6), 38.1, 90.0),
    "centred": Joint(RoundTube(30.0, 2.0), 50.0, 60.0),
    "square-cut": Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0, "square-cut"),
    "shallow": Joint(RoundTube(60.0, 3.0), 76.0, 20.0, 5.0),
    "passes beside": Joint(RoundTube(38.1, 1.6), 30.0, 60.0, 12.0),
}


def formula(joint: Joint, points: int):
    """The textbook formula in plain numpy, as many points as the cope has."""
    r, big, angle = joint.tube.radius, joint.target_od / 2, math.radians(joint.angle_deg)
    phi = np.linspace(0.0, math.tau, points)
    root = np.sqrt(np.maximum(big**2 - (r * np.sin(phi) - joint.offset) ** 2, 0.0))
    return phi, (r * np.cos(phi) * math.cos(angle) - root) / math.sin(angle)


def boolean(joint: Joint):
    """The same joint cut as solids."""
    angle = math.radians(joint.angle_deg)
    x, z = math.sin(angle), math.cos(angle)
    start = gp_Ax2(gp_Pnt(0, 0, -400), gp_Dir(0, 0, 1))
    bar = BRepPrimAPI_MakeCylinder(start, joint.tube.radius, 400.0).Shape()
    bore = BRepPrimAPI_MakeCylinder(start, joint.tube.bore_radius, 400.0).Shape()
    target = BRepPrimAPI_MakeCylinder(
        gp_Ax2(gp_Pnt(-300 * x, joint.offset, -300 * z), gp_Dir(x, 0, z)),
        joint.target_od / 2,
        600.0,
    ).Shape()
    return BRepAlgoAPI_Cut(BRepAlgoAPI_Cut(bar, bore).Shape(), target).Shape()


@pytest.mark.parametrize("name", JOINTS)
@pytest.mark.parametrize("what", ["cope", "formula", "boolean"])
def test_one_cope(benchmark, name, what):
    joint = JOINTS[name]
    points = cope(joint).phi.size
    benchmark.group = f"{name}, {points} points"
    call = {
        "cope": lambda: cope(joint),
        "formula": lambda: formula(joint, points),
        "boolean": lambda: boolean(joint),
    }[what]
    benchmark(call)
