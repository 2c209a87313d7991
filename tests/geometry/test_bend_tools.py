"""Bending tools: which one a bend gets, what they ask of a tube, and the change that cures what they cannot."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from geometry.bend_plan import BendJob, first_radius, radius_left, solve_bend
from geometry.bend_tool import BendTool, TrialBend, tool_for
from geometry.errors import CopewrightError
from geometry.material import material
from geometry.path import Path
from geometry.section import RoundTube
from geometry.springback import Trial, fit_trials
from tests.cases import examples

TUBE = RoundTube(28.0, 2.0)
E235 = material("E235")
TRIALS = (
    TrialBend(Trial(45.0, 43.0), "E235", 2.0, "2026-05-01"),
    TrialBend(Trial(90.0, 87.4), "E235", 2.0, "2026-05-01", 0.95),
)
HAND = BendTool(
    28.0,
    98.0,
    grip=60.0,
    between=40.0,
    tail=20.0,
    reference=12.0,
    greatest_angle=110.0,
    trials=TRIALS,
)
TIGHT = BendTool(28.0, 84.0, grip=60.0, between=40.0)
OTHER = BendTool(38.1, 100.0)
TOOLS = (("hand 98", HAND), ("tight", TIGHT), ("large tube", OTHER))
FLAT = Path(((0, 0, 0), (300, 0, 0), (500, 250, 0), (900, 250, 0)), (100.0, 100.0))


def job(path=FLAT, **more):
    return BendJob(TUBE, path, E235, **{"tools": TOOLS, **more})


def found(asked):
    return {finding.code: finding for finding in solve_bend(asked).findings}


def test_a_bend_gets_the_tool_its_radius_asks_for():
    result = solve_bend(job(Path(FLAT.vertices, (100.0, 85.0))))
    assert [name for name, _ in result.tools] == ["hand 98", "tight"]
    assert tool_for(dict(TOOLS), RoundTube(38.1, 2.0), 101.0) == ("large tube", OTHER)
    assert tool_for(dict(TOOLS), TUBE, 150.0) is None


def test_settings_from_a_tools_trials_are_numpys_line():
    result = solve_bend(job())
    slope, base = np.polyfit([45.0, 90.0], [43.0, 87.4], 1)
    for row, setting in zip(result.rows, result.settings, strict=True):
        assert setting.set_angle_deg == pytest.approx((row.angle_deg - base) / slope)
        assert setting.source == "trials"
        # The neutral fibre keeps its length.
        assert setting.tool_radius * setting.set_angle_deg == pytest.approx(row.clr * row.angle_deg)
    assert result.springback_from == "trials"
    assert result.radius_got(0) == pytest.approx(
        98.0 * result.settings[0].set_angle_deg / result.rows[0].angle_deg
    )


def test_marks_are_by_each_bends_own_tool():
    result = solve_bend(job(Path(FLAT.vertices, (100.0, 85.0))))
    assert [mark.start - mark.tool for mark in result.marks] == pytest.approx([12.0, 0.0])


def test_no_tool_fits():
    finding = found(job(Path(FLAT.vertices, (130.0, 100.0))))["no-tool"]
    assert finding.where == "tube, bend 1"
    # The radii that the tools leave, not their own: what is told is then no finding again.
    assert "84.8 mm, 102 mm" in finding.what
    assert "radius of 102 mm" in finding.do
    for radius in (84.8, 102.0):
        codes = found(job(Path(FLAT.vertices, (radius, 100.0))))
        assert not {"no-tool", "radius-off"} & {
            c for c, one in codes.items() if one.where == "tube, bend 1"
        }
    assert "no-tool" not in found(job(Path(FLAT.vertices, (130.0, 100.0)), tools=()))


@examples(40)
@given(st.floats(8, 115), st.floats(1.01, 1.06))
def test_a_radius_that_is_proposed_or_named_is_no_finding_again(degrees, ratio):
    """Springback has a part that does not grow with the angle: the less a bend turns, the wider it is left."""
    trials = tuple(TrialBend(Trial(angle * ratio + 0.8, angle)) for angle in (30.0, 60.0))
    tool = BendTool(30.0, 90.0, greatest_angle=180.0, trials=trials)
    tube, turn = RoundTube(30.0, 2.0), math.radians(degrees)
    for radius in (first_radius([tool], tube, E235), radius_left(tool, tube, E235, degrees)):
        radius = round(radius, 1)
        path = Path(
            ((0, 0, 0), (600, 0, 0), (600 + 600 * math.cos(turn), 600 * math.sin(turn), 0)),
            (radius,),
        )
        codes = {
            one.code
            for one in solve_bend(BendJob(tube, path, E235, tools=(("former", tool),))).findings
        }
        assert "no-tool" not in codes
        # What is proposed is of a square bend; another one may lie a little aside.
        assert "radius-off" not in codes or radius_left(tool, tube, E235, degrees) - radius > 1.0
    # A radius that no bend of the tool's comes to is still found.
    path = Path(path.vertices, (150.0,))
    assert "no-tool" in {
        one.code
        for one in solve_bend(BendJob(tube, path, E235, tools=(("former", tool),))).findings
    }


def test_too_far_for_the_tool():
    sharp = Path(((0, 0, 0), (400, 0, 0), (300, 300, 0)), (100.0,))
    finding = found(job(sharp))["beyond-tool"]
    assert finding.level == "error"
    # Undo it as told: bent by the angle that it names, it goes.
    angle = float(finding.do.split("by ")[1].split("°")[0])
    turn = math.radians(angle - 0.06)
    eased = Path(
        ((0, 0, 0), (400, 0, 0), (400 + 300 * math.cos(turn), 300 * math.sin(turn), 0)), (100.0,)
    )
    assert "beyond-tool" not in found(job(eased))


@examples(30)
@given(st.floats(120, 300), st.floats(40, 110), st.floats(30, 150))
def test_the_cure_for_a_short_straight_cures_it(leg, degrees, least):
    """Both the smaller radius and the longer leg that a finding names leave just the straight that is asked for."""
    turn = math.radians(degrees)
    path = stepped(leg, turn, 90.0)
    assume(path is not None)
    tool = replace(HAND, od=28.0, radius=89.0, between=least)
    asked = BendJob(TUBE, path, E235, tools=(("t", tool),))
    finding = found(asked).get("short-straight")
    if finding is None:
        assert path.straights[1] >= least - 1e-9
        return
    more = float(finding.do.split(" mm more")[0].split()[-1])
    longer = stepped(leg + more + 0.006, turn, 90.0)
    assert "short-straight" not in found(replace(asked, path=longer))
    if "Radius" in finding.do:
        radius = float(finding.do.split("Radius ")[1].split()[0])
        smaller = stepped(leg, turn, radius)
        assert smaller.straights[1] >= least - 1e-9


def stepped(leg, turn, radius):
    """An S of two bends of one angle, their corners so far apart; None where they cannot be made."""
    middle = (300 + leg * math.cos(turn), leg * math.sin(turn), 0.0)
    try:
        return Path(
            ((0, 0, 0), (300, 0, 0), middle, (middle[0] + 300, middle[1], 0.0)), (radius, radius)
        )
    except CopewrightError:
        return None


def test_the_end_to_begin_from_has_the_straight_that_is_gripped():
    """The start's straight is shorter than the grip, the finish's is not."""
    short = Path(((0, 0, 0), (100, 0, 0), (300, 250, 0), (700, 250, 0)), (100.0, 100.0))
    result = solve_bend(job(short))
    assert short.straights[0] == pytest.approx(100 - short.setbacks[0])
    assert result.first_end == "finish"
    assert "short-end" not in {f.code for f in result.findings}
    assert solve_bend(job()).first_end == "start"


def test_an_end_that_is_too_short_says_by_how_much():
    short = Path(((0, 0, 0), (100, 0, 0), (300, 250, 0), (400, 250, 0)), (100.0, 100.0))
    finding = found(job(short))["short-end"]
    missing = 60.0 - short.straights[0]
    assert f"{missing:.2f}".rstrip("0") in finding.what
    trimmed = found(job(short, trim=(missing + 0.01, 0.0)))
    assert "short-end" not in trimmed


def test_what_is_bent_already_hangs_into_the_floor():
    """Up, over and along: while the second bend lies level, the first leg hangs straight down."""
    path = Path(((0, 0, -700), (0, 0, 0), (400, 0, 0), (400, 900, 0)), (100.0, 100.0))
    low = replace(HAND, height=600.0, turns="right")
    finding = found(job(path, tools=(("hand 98", low),)))["swings-low"]
    # 700 down and half a tube, less the 600 that there are.
    assert "114 mm lower" in finding.what
    assert finding.do == "Raise the bender to 714 mm."
    assert "swings-low" not in found(job(path, tools=(("hand 98", replace(low, height=714.1)),)))
    # Begun at the other end, a shorter last leg would hang free of the floor: that end is proposed.
    shorter = Path((*path.vertices[:3], (400, 400, 0)), path.radii)
    assert solve_bend(job(shorter, tools=(("hand 98", low),))).first_end == "finish"
    # Turned the other way, it stands up.
    for turns in ("left", "either"):
        assert "swings-low" not in found(job(path, tools=(("hand 98", replace(low, turns=turns)),)))


def test_a_bar_that_is_too_short_and_legs_that_meet():
    assert found(job(bar_length=900.0))["longer-than-bar"].level == "error"
    loop = Path(
        ((0, 0, 0), (500, 0, 0), (500, 300, 0), (200, 300, 0), (200, -300, 0)), (100.0,) * 3
    )
    assert found(job(loop))["meets-itself"].level == "error"
    assert "meets-itself" not in found(job())


def test_the_wall_that_is_wanted_and_the_radius_that_keeps_it():
    finding = found(job(least_wall=1.8))["thin-wall"]
    radius = float(finding.do.split("radius ")[1].split()[0])
    # t R / (R + D/2), bendtooling.com "Tube bending formulas".
    assert 2.0 * radius / (radius + 14.0) == pytest.approx(1.8, abs=1e-3)
    wall = float(finding.do.split("a wall of ")[1].split()[0])
    assert wall * 100 / 114 == pytest.approx(1.8, abs=5e-3)


def test_an_oval_trial_and_trials_of_another_tube():
    """Least over greatest diameter 0.9: FIA Appendix J, article 253-8."""
    oval = replace(HAND, trials=(replace(TRIALS[0], ratio=0.89), TRIALS[1]))
    assert "oval" in found(job(tools=(("hand 98", oval),)))
    assert "oval" not in found(job())
    assert "trials-of-other-tube" in found(replace(job(), tube=RoundTube(28.0, 1.5)))
    assert "trials-of-other-tube" not in found(job())


def test_only_the_same_steels_trials_count_where_there_are_some():
    others = (TrialBend(Trial(90.0, 80.0), "E355", 2.0), *TRIALS)
    tool = replace(HAND, trials=others)
    assert tool.trials_for(TUBE, "E235") == tuple(one.trial for one in TRIALS)
    assert fit_trials(tool.trials_for(TUBE, "E355")).slope == pytest.approx(80 / 90)


@pytest.mark.parametrize(
    "change",
    [
        {"od": 0.5},
        {"radius": 10.0},
        {"grip": -1.0},
        {"greatest_angle": 0.0},
        {"greatest_angle": 200.0},
        {"height": -1.0},
    ],
)
def test_what_no_tool_can_be(change):
    with pytest.raises(CopewrightError):
        replace(HAND, **change)
