"""The joint's other numbers: ordinates, hole saw, bevels, findings, trials."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bend_plan import BendJob, on_former, solve_bend
from geometry.checks import joint_findings
from geometry.cope import cope
from geometry.hole_saw import hole_saw
from geometry.joint import Joint
from geometry.landing import landing
from geometry.material import material
from geometry.path import Path
from geometry.section import RoundTube
from geometry.springback import Trial, fit_trials
from tests.cases import plain_height

TUBE = RoundTube(38.1, 1.6)


@pytest.mark.parametrize("step", [10.0, 15.0, 22.5])
def test_ordinates_are_the_line(step):
    joint = Joint(TUBE, 54.0, 62.0, 6.0, extra=2.0)
    cut = cope(joint)
    rows = cut.ordinates(step)
    assert rows[:, 0] == pytest.approx(np.arange(0, 360 + step / 2, step))
    assert rows[:, 1] == pytest.approx(math.pi * 38.1 * rows[:, 0] / 360)
    expected = plain_height(19.05, 27.0, 62.0, 6.0, np.radians(rows[:, 0])) + 2.0
    assert rows[:, 2] == pytest.approx(expected, abs=1e-9)
    assert rows[:, 3] == pytest.approx(cut.long_point - expected, abs=1e-9)
    assert rows[:, 3].min() >= 0


def test_hole_saw_setting():
    saw = hole_saw(cope(Joint(RoundTube(30.0, 2.0), 50.0, 60.0, 5.0)))
    assert saw.fits
    assert saw.diameter == 50.0
    assert saw.from_square_deg == pytest.approx(30.0)
    # The saw's barrel must span the tube along the saw's axis: find it by the cylinder's own lines.
    phi = np.linspace(0, math.tau, 100001)
    heights = plain_height(15.0, 25.0, 60.0, 5.0, phi)
    along = 15.0 * np.cos(phi) * math.sin(math.pi / 3) + heights * math.cos(math.pi / 3)
    assert saw.reach == pytest.approx(np.ptp(along), abs=1e-2)
    assert saw.beyond_long_point == pytest.approx(-heights.max(), abs=1e-6)


@pytest.mark.parametrize(
    ("target", "offset", "fits"),
    [(38.1, 0.0, True), (38.0, 0.0, False), (50.0, 5.0, True), (50.0, 6.0, False)],
)
def test_one_hole_saw_cuts_it_only_if_the_tube_lies_inside_the_saw(target, offset, fits):
    assert hole_saw(cope(Joint(TUBE, target, 70.0, offset))).fits is fits


def test_bevels_are_where_the_angle_leaves_60_to_120():
    landed = landing(Joint(RoundTube(30.0, 1.0), 50.0, 90.0))
    assert [arc.side for arc in landed.bevels] == ["open", "open"]
    # 180 - acos(sin^2 r / R) ... at 90 degrees the cosine of the angle is -sin^2(phi) r / R: 120
    # degrees where sin^2(phi) = R / 2r.
    edge = math.degrees(math.asin(math.sqrt(0.5 / 0.6)))
    assert landed.bevels[0].start_deg == pytest.approx(edge, abs=1e-5)
    assert landed.bevels[0].end_deg == pytest.approx(180 - edge, abs=1e-5)
    assert landing(Joint(RoundTube(20.0, 1.0), 50.0, 90.0)).bevels == ()
    tight = landing(Joint(RoundTube(20.0, 1.0), 200.0, 45.0)).bevels
    assert {arc.side for arc in tight} == {"tight", "open"}
    around = next(arc for arc in tight if arc.side == "open")
    assert around.end_deg > 360 or around.start_deg < 90


def codes(joint):
    cut, landed = cope(joint), landing(joint)
    return {f.code: f for f in joint_findings(joint, cut, landed, "tube, finish")}


def test_findings_of_a_joint():
    assert codes(Joint(RoundTube(20.0, 1.0), 60.0, 90.0)) == {}
    assert set(codes(Joint(RoundTube(20.0, 1.0), 60.0, 25.0))) == {"acute-angle", "bevel"}
    beside = codes(Joint(RoundTube(38.1, 1.6), 30.0, 60.0, 20.0))
    assert {"passes-beside", "branch-larger"} <= set(beside)
    assert beside["passes-beside"].level == "warning"
    share = Joint(RoundTube(38.1, 1.6), 30.0, 60.0, 20.0).grown.beside_share(19.05)
    assert f"{share * 100:.0f} %" in beside["passes-beside"].what
    gap = codes(Joint(RoundTube(38.1, 4.0), 40.0, 45.0, fit="square-cut"))
    assert gap["wide-gap"].level == "warning"
    small = codes(Joint(RoundTube(38.1, 1.6), 80.0, 90.0, fit="square-cut", root_gap=1.5))
    assert small["wide-gap"].level == "note"


def test_findings_of_a_bent_tube():
    path = Path(((0, 0, 0), (300, 0, 0), (300, 230, 0), (600, 230, 0)), (100.0, 100.0))
    trials = (Trial(60.0, 57.0), Trial(80.0, 78.0), Trial(70.0, 66.0), Trial(20.0, 21.0))
    job = BendJob(TUBE, path, material("E235"), trials, (0.0, 5.0), 900.0)
    found = solve_bend(job).findings
    by_code = {f.code: f for f in found}
    assert set(by_code) == {
        "tight-radius", "short-straight", "extrapolated", "trial-grew", "trials-disagree", "trials-spread",
        "half-turn", "mark-off-bar", "mandrel",
    }  # fmt: skip
    assert by_code["short-straight"].where == "tube, between bends 1 and 2"
    assert by_code["tight-radius"].where == "tube, bends 1, 2"
    assert by_code["short-straight"].do.endswith("46.2 mm more between bends 1 and 2.")


@pytest.mark.parametrize(
    ("trials", "level", "tried"),
    [
        # 90 from one trial at 90, and from that and another: the line is known, 3.6 is not far.
        (((90.0, 86.5), (75.0, 72.1)), "note", "75 to 90°"),
        (((45.0, 43.3), (30.0, 28.9)), "warning", "30 to 45°"),
        # Two that are 2° apart tell little of the line between them, and nothing 3.6° on.
        (((90.0, 86.5), (88.0, 84.6)), "warning", "88 to 90°"),
        (((90.0, 86.5), (86.0, 82.7)), "note", "86 to 90°"),
        (((70.0, 67.3),), "warning", "70°"),
        (((90.0, 86.5),), "", ""),
    ],
)
def test_how_far_outside_the_trials_a_setting_lies(trials, level, tried):
    path = Path(((0, 0, 0), (300, 0, 0), (300, 300, 0)), (150.0,))
    job = BendJob(TUBE, path, material("E235"), tuple(Trial(*one) for one in trials))
    for one in (job, on_former(job, 144.0)):
        result = solve_bend(one)
        found = [each for each in result.findings if each.code == "extrapolated"]
        assert [each.level for each in found] == [level] * bool(level)
        # The mark is by the angles tried alone.
        assert result.settings[0].extrapolated is bool(level)
        for each in found:
            assert each.what.endswith(f"lies outside the trial bends, which were set to {tried}.")


def test_trials_that_scatter_are_told_of_a_former_too():
    path = Path(((0, 0, 0), (300, 0, 0), (300, 300, 0)), (115.0,))
    scatter = (Trial(90.0, 86.0), Trial(90.0, 83.0))
    job = BendJob(TUBE, path, material("E235"), scatter)
    for one in (job, on_former(job, 110.0)):
        (found,) = [each for each in solve_bend(one).findings if each.code == "trials-spread"]
        # Both lie as far from the mean.
        assert found.what == "the trial bends lie up to 1.5° from their line."


def test_trials_of_a_former_that_leaves_no_bend_are_not_said_to_be_missing():
    path = Path(((0, 0, 0), (300, 0, 0), (300, 300, 0)), (115.0,))
    job = BendJob(TUBE, path, material("E235"), (Trial(90.0, 86.0),))
    for one, words in ((on_former(job, 60.0), "no tool with trial bends leaves all"), (replace(job, trials=()), "there are no trial bends")):  # fmt: skip
        (found,) = [f for f in solve_bend(one).findings if f.code == "springback-estimate"]
        assert found.what.startswith(words)


@given(st.floats(2.0, 6.0), st.floats(0.9, 1.0), st.floats(20.0, 150.0))
def test_a_former_leaves_the_radius_that_keeps_the_neutral_fibres_length(diameters, kept, angle):
    """Its length on the former, at the angle set, is that of the finished bend."""
    former = diameters * TUBE.od
    turn = math.radians(angle)
    far = 40 * former
    corner = (far + far * math.cos(turn), far * math.sin(turn), 0.0)
    path = Path(((0, 0, 0), (far, 0, 0), corner), (former / kept,))
    job = BendJob(TUBE, path, material("E235"), (Trial(angle, kept * angle),))
    result = solve_bend(on_former(job, former))
    assert [one.code for one in result.findings if one.code in {"radius-off", "no-tool"}] == []
    assert result.radius_got(0) == pytest.approx(former / kept)
    (setting,) = result.settings
    assert former * setting.set_angle_deg == pytest.approx(result.rows[0].clr * angle)
    assert result.settings == solve_bend(job).settings


@given(st.lists(st.tuples(st.floats(10, 170), st.floats(-1, 1)), min_size=2, max_size=8))
def test_trials_are_fitted_as_numpy_does(pairs):
    trials = [Trial(s, 0.97 * s - 0.5 + e) for s, e in pairs]
    spread = max(s for s, _ in pairs) - min(s for s, _ in pairs)
    if spread < 5:
        return
    slope, base = np.polyfit([t.set_deg for t in trials], [t.got_deg for t in trials], 1)
    if slope <= 0.1:
        return
    fit = fit_trials(trials)
    assert fit.slope == pytest.approx(slope, rel=1e-9)
    assert fit.base == pytest.approx(base, abs=1e-7)


def test_one_trial_and_when_a_setting_is_extrapolated():
    one = fit_trials([Trial(90.0, 87.0)])
    near = one.setting(90.0, 100.0)
    assert near.set_angle_deg == pytest.approx(90 * 90 / 87)
    assert near.tool_radius * near.set_angle_deg == pytest.approx(100.0 * 90.0)
    assert not near.extrapolated
    assert one.setting(99.0 * 87 / 90, 100.0).extrapolated is False
    assert one.setting(101.0 * 87 / 90, 100.0).extrapolated is True
    assert one.setting(79.0 * 87 / 90, 100.0).extrapolated is True
    two = fit_trials([Trial(45.0, 43.2), Trial(90.0, 87.1)])
    assert two.setting(43.2, 100.0).extrapolated is False
    assert two.setting(43.0, 100.0).extrapolated is True
    assert two.setting(87.2, 100.0).extrapolated is True
    same = fit_trials([Trial(90.0, 87.0), Trial(90.0, 88.0)])
    assert same.slope == pytest.approx(87.5 / 90)
    assert same.base == 0.0
