"""The picture in space: closed skins that face outwards, of the tube's own steel.

The volume that a closed skin encloses, by the divergence theorem, is checked against the published forms
for a tube: a cross section times its centroid's path (Pappus), and for a coped end against the same
integral over the cut's heights.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.cope import cope
from geometry.joint import Joint
from geometry.path import Path
from geometry.section import RoundTube
from geometry.solid import bend_scene, joint_scene


def volume(skins):
    """Enclosed volume, mm3: each piece as two triangles with the origin."""
    total = 0.0
    for skin in skins:
        a, b, c, d = (skin.quads[:, index] for index in range(4))
        for one, two, three in ((a, b, c), (a, c, d)):
            total += float(np.sum(np.einsum("ij,ij->i", one, np.cross(two, three)))) / 6
    return total


@pytest.mark.parametrize(
    "path",
    [
        Path(((0, 0, 0), (400, 0, 0)), ()),
        Path(((0, 0, 0), (400, 0, 0), (700, 0, 300)), (115,)),
        Path(((0, 0, 0), (400, 50, 0), (700, 0, 300), (900, 300, 250)), (115, 90)),
    ],
)
def test_a_bent_tube_has_its_own_volume_of_steel(path):
    tube = RoundTube(38.1, 1.6)
    # Polygons of 48 sides have sin(x)/x of the circle's area.
    turn = 2 * math.pi / 48
    area = math.pi * (tube.radius**2 - tube.bore_radius**2) * math.sin(turn) / turn
    assert volume(bend_scene(path, tube).skins) == pytest.approx(
        area * path.developed_length, rel=2e-3
    )


@pytest.mark.parametrize("fit", ["filed", "square-cut"])
@pytest.mark.parametrize(("angle", "offset"), [(90, 0), (62, 6), (35, -12)])
def test_a_coped_end_has_its_own_volume_of_steel(fit, angle, offset):
    joint = Joint(RoundTube(38.1, 3.0), 54.0, angle, offset, fit)
    cut = cope(joint)
    scene = joint_scene(joint, cut)
    tube = [skin for skin in scene.skins if skin.tone == 0]
    foot = min(skin.quads[:, :, 2].min() for skin in tube)
    # No face closes the foot: there the divergence theorem wants the ring's own share.
    ring = math.pi * (joint.tube.radius**2 - joint.tube.bore_radius**2)
    phi = np.linspace(0, 2 * np.pi, 4000, endpoint=False)
    rho = np.linspace(joint.tube.bore_radius, joint.tube.radius, 60)
    if fit == "square-cut":
        heights = np.broadcast_to(cut.line_at(phi), (60, 4000))
    else:
        heights = np.array([cut._edge(r, phi) for r in rho])
    mean = np.trapezoid(heights.mean(axis=1) * rho, rho) / np.trapezoid(rho, rho)
    closed = volume(tube) - foot * ring / 3
    assert closed == pytest.approx(ring * (mean - foot), rel=4e-3)


def test_every_piece_faces_the_air():
    joint = Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0)
    scene = joint_scene(joint, cope(joint))
    outer, bore, _, target, hollow, _ = scene.skins

    def normals(skin):
        quads = skin.quads
        return quads.mean(axis=1), np.cross(quads[:, 2] - quads[:, 0], quads[:, 3] - quads[:, 1])

    for skin, sign in ((outer, 1), (bore, -1)):
        middle, normal = normals(skin)
        assert np.all(sign * np.sum(middle[:, :2] * normal[:, :2], axis=1) > 0)
    way = np.array([math.sin(math.radians(62)), 0, math.cos(math.radians(62))])
    for skin, sign in ((target, 1), (hollow, -1)):
        middle, normal = normals(skin)
        out = middle - (0, 6.0, 0)
        out -= (out @ way)[:, None] * way
        assert np.all(sign * np.sum(out * normal, axis=1) > 0)


def test_the_cut_end_lies_on_the_target_and_the_datum_on_the_tube():
    joint = Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0)
    scene = joint_scene(joint, cope(joint))
    datum, edge, _ = scene.marks
    way = np.array([math.sin(math.radians(62)), 0, math.cos(math.radians(62))])
    away = np.linalg.norm(np.cross(edge.points - (0, 6.0, 0), way), axis=1)
    np.testing.assert_allclose(away, 27.0, atol=1e-9)
    np.testing.assert_allclose(datum.points[:, :2], [[19.05, 0.0]] * len(datum.points))
