"""The cope over thousands of random joints, against the analytic formula and brute force."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from scipy.optimize import minimize_scalar

from geometry.cope import cope
from geometry.joint import Joint
from geometry.landing import landing, seam_length
from geometry.section import RoundTube
from geometry.tolerances import CHORD_MM
from tests.cases import examples, joints, plain_height

TURN = np.linspace(0.0, math.tau, 20001)


def exact(joint, rho, phi):
    """The formula for this joint at one radius of the wall, gap and extra included."""
    return (
        plain_height(rho, joint.target_od / 2 + joint.root_gap, joint.angle_deg, joint.offset, phi)
        + joint.extra
    )


@examples(1500)
@given(joints(fits=("filed",)))
def test_filed_line_is_the_formula(joint):
    cut = cope(joint)
    assert np.max(np.abs(cut.line - exact(joint, joint.tube.radius, cut.phi))) < 1e-6
    inside = cut.edges()[1]
    assert np.max(np.abs(inside - exact(joint, joint.tube.bore_radius, cut.phi))) < 1e-6


@examples(600)
@given(joints(fits=("square-cut",)))
def test_square_cut_line_is_the_lowest_through_the_wall(joint):
    cut = cope(joint)
    tube = joint.tube
    radii = np.linspace(tube.bore_radius, tube.radius, 301)
    brute = np.min([exact(joint, rho, cut.phi) for rho in radii], axis=0)
    assert np.all(cut.line <= brute + 1e-6)
    # The grid of radii can only be too high, by less than its own steps allow.
    for index in range(0, cut.phi.size, max(cut.phi.size // 12, 1)):
        phi = cut.phi[index : index + 1]
        start = float(radii[np.argmin([exact(joint, rho, phi)[0] for rho in radii])])
        step = radii[1] - radii[0]
        low, high = max(start - step, radii[0]), min(start + step, radii[-1])
        found = minimize_scalar(
            lambda rho, phi=phi: exact(joint, rho, phi)[0],
            bounds=(low, high),
            method="bounded",
            options={"xatol": 1e-12},
        )
        lowest = min(found.fun, exact(joint, low, phi)[0], exact(joint, high, phi)[0])
        assert abs(cut.line[index] - lowest) < 1e-6


@examples(1500)
@given(joints())
def test_chords_stay_close_at_every_size(joint):
    cut = cope(joint)
    chord = np.interp(TURN, cut.phi, cut.line)
    true = cut.line_at(TURN)
    # Where the curve is upright, the distance is what counts, not the difference of heights.
    off = np.abs(chord - true)
    for index in np.flatnonzero(off > CHORD_MM):
        x, y = joint.tube.radius * TURN[index], true[index]
        assert _distance(joint.tube.radius * cut.phi, cut.line, x, y) < CHORD_MM
    assert np.max(np.diff(np.degrees(cut.phi))) <= 5.0
    assert np.min(np.diff(cut.phi)) > 0
    assert cut.phi[0] == 0.0
    assert cut.phi[-1] == math.tau
    assert cut.line[0] == pytest.approx(cut.line[-1], abs=1e-9)


def _distance(xs, ys, x, y):
    a = np.column_stack((xs[:-1], ys[:-1]))
    d = np.column_stack((np.diff(xs), np.diff(ys)))
    t = np.clip(((x, y) - a) @ np.eye(2) * d, None, None).sum(axis=1) / np.sum(d * d, axis=1)
    near = a + np.clip(t, 0, 1)[:, None] * d
    return float(np.min(np.hypot(near[:, 0] - x, near[:, 1] - y)))


@examples(800)
@given(joints())
def test_long_and_short_point_are_the_true_extremes(joint):
    cut = cope(joint)
    true = cut.line_at(TURN)
    # At an upright tangent the last digit of the angle is worth a few millionths of a mm.
    slack = 1e-5 if joint.grown.breaks(joint.tube.radius) else 1e-6
    assert cut.long_point >= np.max(true) - slack
    assert cut.short_point <= np.min(true) + slack
    assert cut.long_point == pytest.approx(np.max(cut.line), abs=0)
    assert cut.short_point == pytest.approx(np.min(cut.line), abs=0)
    # And no higher than the curve goes: a dense look round each extreme.
    for angle, value in ((cut.long_phi, cut.long_point), (cut.short_phi, cut.short_point)):
        # At an upright tangent the last digit of the angle is worth this much height.
        assert cut.line_at(np.array([angle]))[0] == pytest.approx(value, abs=2e-5)


@examples(300)
@given(joints(fits=("square-cut",)))
def test_outside_gap_is_the_greatest_difference(joint):
    cut = cope(joint)
    turn = np.concatenate((TURN, joint.grown.breaks(joint.tube.radius)))
    gap = cut.outside_edge(turn) - cut.line_at(turn)
    assert np.min(gap) > -1e-9
    assert cut.outside_gap >= np.max(gap) - 1e-6
    assert cut.outside_gap <= np.max(gap) + 0.02 + 0.01 * np.max(gap)


@examples(400)
@given(joints(fits=("filed",)))
def test_points_in_space_lie_on_both_tubes(joint):
    cut = cope(joint)
    points = cut.space_points(joint.tube.radius, cut.line - joint.extra)
    angle = math.radians(joint.angle_deg)
    way = np.array([math.sin(angle), 0.0, math.cos(angle)])
    from_axis = np.linalg.norm(np.cross(points - (0.0, joint.offset, 0.0), way), axis=1)
    meets = joint.grown.meets(joint.tube.radius, np.sin(cut.phi))
    assert np.max(np.abs(from_axis[meets] - joint.grown.radius), initial=0) < 1e-6
    # What passes beside stops on the plane through the target's centreline.
    across = points @ np.array([math.cos(angle), 0.0, -math.sin(angle)])
    assert np.max(np.abs(across[~meets]), initial=0) < 1e-6


@examples(300)
@given(joints())
def test_mirroring_the_offset_mirrors_the_line(joint):
    other = Joint(
        joint.tube, joint.target_od, joint.angle_deg, -joint.offset, joint.fit, joint.root_gap,
        joint.extra,
    )  # fmt: skip
    phi = np.linspace(0, math.tau, 73)
    assert cope(joint).line_at(phi) == pytest.approx(cope(other).line_at(-phi), abs=1e-6)


@examples(300)
@given(joints())
def test_share_beside_is_what_a_count_finds(joint):
    radius = joint.tube.radius
    counted = np.mean(~joint.grown.meets(radius, np.sin(TURN[:-1])))
    assert joint.grown.beside_share(radius) == pytest.approx(counted, abs=5e-4)


@examples(200)
@given(joints(misses=False))
def test_seam_is_as_long_as_its_outline(joint):
    landed = landing(joint)
    closed = np.vstack((landed.outline, landed.outline[:1]))
    chords = float(np.sum(np.hypot(*np.diff(closed, axis=0).T)))
    assert chords <= landed.seam_length + 1e-6
    assert landed.seam_length == pytest.approx(chords, rel=2e-3)


@examples(300)
@given(joints())
def test_landing_outline_lies_on_the_tube(joint):
    landed = landing(joint)
    around = landed.outline[:, 0] / landed.target_radius
    angle = math.radians(joint.angle_deg)
    way = np.array([math.sin(angle), 0.0, math.cos(angle)])
    facing = np.array([math.cos(angle), 0.0, -math.sin(angle)])
    points = (
        np.outer(landed.outline[:, 1], way)
        + landed.target_radius * np.outer(np.cos(around), facing)
        + np.outer(landed.target_radius * np.sin(around) + joint.offset, (0, 1, 0))
    )
    from_tube = np.hypot(points[:, 0], points[:, 1])
    assert np.max(np.abs(from_tube - joint.tube.radius)) < 1e-5


def test_equal_tubes_square_has_its_kinks_as_vertices():
    cut = cope(Joint(RoundTube(40.0, 2.0), 40.0, 90.0))
    for degrees in (90.0, 270.0):
        at = np.argmin(np.abs(np.degrees(cut.phi) - degrees))
        assert np.degrees(cut.phi[at]) == pytest.approx(degrees, abs=1e-9)
        assert cut.line[at] == pytest.approx(0.0, abs=1e-9)
    assert cut.long_point == pytest.approx(0.0, abs=1e-9)
    assert cut.short_point == pytest.approx(-20.0, abs=1e-9)


def test_gap_grows_the_target_and_extra_raises_the_line():
    plain = cope(Joint(RoundTube(30.0, 2.0), 50.0, 60.0, 4.0))
    wide = cope(Joint(RoundTube(30.0, 2.0), 52.0, 60.0, 4.0))
    gap = cope(Joint(RoundTube(30.0, 2.0), 50.0, 60.0, 4.0, root_gap=1.0))
    extra = cope(Joint(RoundTube(30.0, 2.0), 50.0, 60.0, 4.0, extra=7.0))
    phi = np.linspace(0, math.tau, 50)
    assert gap.line_at(phi) == pytest.approx(wide.line_at(phi), abs=1e-12)
    assert extra.line_at(phi) == pytest.approx(plain.line_at(phi) + 7.0, abs=1e-12)
    assert landing(Joint(RoundTube(30.0, 2.0), 50.0, 60.0, 4.0, root_gap=1.0)).seam_length == (
        pytest.approx(seam_length(Joint(RoundTube(30.0, 2.0), 50.0, 60.0, 4.0).surface, 15.0))
    )
