"""The bender of a tube on its own, into a frame: its settings and marks go along, and other tubes keep theirs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bend_plan import BendJob, on_former, solve_bend
from geometry.bend_tool import BendTool, TrialBend
from geometry.exchange import bend_into
from geometry.frame import Frame
from geometry.material import material
from geometry.path import Path
from geometry.section import RoundTube
from geometry.springback import Trial
from geometry.tool_exchange import bent_on, tools_into
from templates_out.frame_result import solve_frame

TUBE = RoundTube(38.1, 1.6)
PATH = Path(((0, 0, 0), (400, 0, 0), (700, 0, 300)), (115.0,))
JOB = BendJob(TUBE, PATH, material("E235"), (Trial(90.0, 86.0),), name="tube", material_given=False)
MINE = BendTool(
    38.1, 111.0, 80.0, 60.0, 50.0, 30.0,
    trials=(TrialBend(Trial(90.0, 87.5), "E235", 1.6, "2026-05-01", 0.95),),
)  # fmt: skip


def put(frame, job):
    """As the page does it: the tube, and its bender."""
    whole = bend_into(frame, job.name, job.tube, job.path, "", job.trim)
    return tools_into(whole, solve_bend(job), frame)


def settings(frame, name):
    bend = solve_frame(frame).bends[name]
    return [
        (round(one.set_angle_deg, 6), round(mark.tool, 6))
        for one, mark in zip(bend.settings, bend.marks, strict=True)
    ]


def alone(job):
    result = solve_bend(job)
    return [
        (round(one.set_angle_deg, 6), round(mark.tool, 6))
        for one, mark in zip(result.settings, result.marks, strict=True)
    ]


@given(
    st.lists(
        st.tuples(st.sampled_from([(90.0, 86.0), (90.0, 84.0), (60.0, 58.5), None]), st.sampled_from([0.0, 12.0, 40.0])),
        min_size=1, max_size=4,
    )
)  # fmt: skip
def test_what_was_put_in_last_counts(said):
    """However often trials and mark are corrected and put in again."""
    frame = Frame()
    for trial, reference in said:
        trials = () if trial is None else (Trial(*trial),)
        job = replace(JOB, trials=trials, tool_reference=reference)
        frame = put(frame, job)
        if trials or reference or frame.tools:
            assert len(frame.tools) == 1
        if trials or reference:
            assert settings(frame, "tube") == alone(job)
            codes = {one.code for one in solve_frame(frame).bends["tube"].findings}
            assert not codes & {"radius-off", "no-tool"}


def test_other_tubes_keep_their_bender():
    frame = replace(put(Frame(), replace(JOB, name="rail", trials=())), tools={"my bender": MINE})
    before = settings(frame, "rail")
    after = put(frame, replace(JOB, name="other", trials=(Trial(90.0, 88.0),), tool_reference=12.0))
    assert after.tools == frame.tools
    assert settings(after, "rail") == before
    assert bent_on(after)["other"] == (("my bender", 30.0, (Trial(90.0, 87.5),)),)


def test_a_former_that_the_frame_has_keeps_what_else_is_known_of_it():
    frame = replace(put(Frame(), replace(JOB, trials=())), tools={"my bender": MINE})
    taken = on_former(replace(JOB, trials=(Trial(90.0, 87.5),), tool_reference=30.0), 111.0)
    assert put(frame, taken) == frame
    (tool,) = put(frame, on_former(replace(JOB, trials=()), 111.0)).tools.values()
    assert tool == MINE, "no mark and no trials are none that were measured"
    (tool,) = put(frame, on_former(replace(JOB, tool_reference=31.0), 111.0)).tools.values()
    assert (tool.grip, tool.reference) == (80.0, 31.0)
    assert [one.trial for one in tool.trials] == [Trial(90.0, 86.0)]


def test_trials_on_another_tube_stay_with_the_former():
    other = replace(MINE, trials=(TrialBend(Trial(90.0, 84.0), "4130", 0.9),))
    frame = replace(put(Frame(), replace(JOB, trials=())), tools={"my bender": other})
    (tool,) = put(frame, on_former(JOB, 111.0)).tools.values()
    assert tool.trials == (*other.trials, TrialBend(Trial(90.0, 86.0), "", 1.6))


def test_a_radius_that_somebody_typed_stays():
    frame = put(Frame(), JOB)
    ((name, tool),) = frame.tools.items()
    typed = replace(frame, tools={name: replace(tool, radius=112.0)})
    (after,) = put(typed, replace(JOB, trials=(Trial(90.0, 85.0),))).tools.values()
    assert after.radius == 112.0
    assert [one.trial.got_deg for one in after.trials] == [85.0]


def test_two_radii_are_two_formers_and_one_is_one():
    path = Path(
        ((0, 0, 0), (400, 0, 0), (700, 0, 300), (1000, 0, 200), (1400, 0, 600)),
        (115.0, 90.0, 115.0),
    )
    frame = put(Frame(), replace(JOB, path=path))
    assert list(frame.tools) == ["bender of tube at 115", "bender of tube at 90"]
    again = put(frame, replace(JOB, path=path, trials=(Trial(90.0, 85.0),), tool_reference=7.0))
    assert list(again.tools) == list(frame.tools)
    assert {one.reference for one in again.tools.values()} == {7.0}
    assert settings(again, "tube") == alone(replace(JOB, path=path, trials=(Trial(90.0, 85.0),), tool_reference=7.0))  # fmt: skip


def test_what_no_former_can_leave_goes_in_without_one():
    tight = replace(JOB, path=replace(PATH, radii=(20.0,)), trials=(Trial(90.0, 80.0),))
    assert put(Frame(), tight).tools == {}


@pytest.mark.parametrize("trials", [(), (Trial(90.0, 86.0),)])
def test_of_a_bender_nothing_is_known_of_there_is_no_tool(trials):
    assert (put(Frame(), replace(JOB, trials=trials)).tools == {}) is not trials
    assert bool(put(Frame(), replace(JOB, trials=trials)).tools) is bool(trials)


@pytest.mark.parametrize("former", [100.0, 111.0, 130.0])
def test_a_former_that_leaves_another_radius_gives_the_frame_the_pages_settings(former):
    job = on_former(replace(JOB, tool_reference=30.0), former)
    assert settings(put(Frame(), job), "tube") == alone(job)


def test_a_trial_of_which_nothing_is_known_is_not_dropped():
    known, unknown = TrialBend(Trial(90.0, 87.5), "E235", 1.6), TrialBend(Trial(60.0, 58.0))
    frame = replace(
        put(Frame(), replace(JOB, trials=())),
        tools={"mine": replace(MINE, trials=(known, unknown))},
    )
    (tool,) = put(frame, on_former(JOB, 111.0)).tools.values()
    assert tool.trials == (unknown, TrialBend(Trial(90.0, 86.0), "", 1.6))


def test_a_reckoned_former_is_known_again_when_the_bend_has_another_angle():
    """Several trials' line leads to another former for each angle: it is reckoned anew, and no second tool beside it."""
    trials = (Trial(45.0, 43.2), Trial(90.0, 87.5), Trial(120.0, 115.5))
    frame = Frame()
    for rise in (300, 100, 500):
        path = Path(((0, 0, 0), (400, 0, 0), (700, 0, rise)), (115.0,))
        job = replace(JOB, trials=trials, path=path)
        frame = put(frame, job)
        assert list(frame.tools) == ["bender of tube"]
        assert settings(frame, "tube") == alone(job)
        (setting,) = solve_bend(job).settings
        assert frame.tools["bender of tube"].radius == pytest.approx(setting.tool_radius, abs=0.006)
        assert not [one for one in solve_frame(frame).findings if one.code == "radius-off"]
