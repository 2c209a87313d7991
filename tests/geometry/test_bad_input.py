"""What cannot be made is refused in one sentence that names it."""

from __future__ import annotations

import math

import pytest

from geometry.bend import BendRow, bend_wall, path_from_table
from geometry.cope import cope
from geometry.errors import BadPath, BadText, CopewrightError, NoContact, OutOfRange
from geometry.joint import Joint
from geometry.material import material
from geometry.path import Path
from geometry.section import RoundTube
from geometry.springback import Trial, fit_trials, parse_trials

TUBE = RoundTube(38.1, 1.6)


@pytest.mark.parametrize("od", [0.0, -1.0, math.nan, math.inf, 2001.0, 0.9])
def test_od(od):
    with pytest.raises(OutOfRange, match="tube OD"):
        RoundTube(od, 0.1)


@pytest.mark.parametrize("wall", [0.0, -1.0, math.nan, 19.05, 30.0])
def test_wall(wall):
    with pytest.raises(OutOfRange, match="tube wall"):
        RoundTube(38.1, wall)


@pytest.mark.parametrize("angle", [0.0, -5.0, 90.1, math.nan, math.inf])
def test_angle(angle):
    with pytest.raises(OutOfRange, match="angle"):
        Joint(TUBE, 50.0, angle)


def test_an_angle_so_small_that_the_cut_is_absurd():
    with pytest.raises(OutOfRange, match="allowed is from"):
        Joint(TUBE, 50.0, 0.5)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"target_od": 0.0}, "target OD"),
        ({"offset": math.nan}, "offset"),
        ({"root_gap": -0.1}, "root gap"),
        ({"root_gap": 21.0}, "root gap"),
        ({"extra": -1.0}, "extra"),
        ({"extra": 2001.0}, "extra"),
        ({"fit": "loose"}, "fit"),
    ],
)
def test_joint(options, words):
    with pytest.raises(CopewrightError, match=words):
        Joint(**{"tube": TUBE, "target_od": 50.0, "angle_deg": 60.0} | options)


@pytest.mark.parametrize("offset", [44.05, -44.05, 60.0])
def test_an_end_that_misses(offset):
    with pytest.raises(NoContact, match="misses its target"):
        Joint(TUBE, 50.0, 60.0, offset)


def test_an_end_that_just_touches_nothing_but_the_gap_misses():
    with pytest.raises(NoContact):
        Joint(TUBE, 50.0, 60.0, 44.2, root_gap=1.0)


def test_ordinate_step():
    with pytest.raises(OutOfRange, match="15"):
        cope(Joint(TUBE, 50.0, 60.0)).ordinates(7.0)


O, X = (0.0, 0.0, 0.0), (400.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("vertices", "radii", "words"),
    [
        ((), (), "0 points"),
        ((O,), (), "1 point;"),
        ((O, X, (400.0, 300.0, 0.0)), (), "0 radii"),
        ((O, X, X), (100.0,), "path points 2 and 3 are the same place"),
        ((O, O, X), (100.0,), "path points 1 and 2 are the same place"),
        ((O, X, (800.0, 0.0, 0.0)), (100.0,), r"bend 1 at path point 2 \(400, 0, 0\) is in line"),
        ((O, X, O), (100.0,), "bend 1 .* turns straight back"),
        ((O, X, (400.0, 99.0, 0.0)), (100.0,), "after bend 1 is 99.00 mm, .* 1.00 mm longer or the radius 99.00"),
        ((O, (90.0, 0.0, 0.0), (90.0, 300.0, 0.0)), (100.0,), "before bend 1 is 90.00 mm"),
        ((O, X, (400.0, 150.0, 0.0), (800.0, 150.0, 0.0)), (100.0, 100.0), "between bends 1 and 2 is 150.00 mm, and bends 1 and 2 take up 200.00 mm; .* radius 75.00"),
        ((O, X, (400.0, 300.0, math.nan)), (100.0,), "path point 3 z"),
        ((O, X, (400.0, 3e4, 0.0)), (100.0,), "path point 3 y"),
        ((O, X, (400.0, 300.0, 0.0)), (0.0,), "bend 1 radius"),
        ((O, X, (400.0, 300.0, 0.0)), (2500.0,), "bend 1 radius"),
    ],
)  # fmt: skip
def test_paths(vertices, radii, words):
    with pytest.raises(CopewrightError, match=words):
        Path(vertices, radii)


def test_a_leg_that_is_just_long_enough_is_right():
    path = Path((O, (100.0, 0.0, 0.0), (100.0, 100.0, 0.0)), (100.0,))
    assert path.straights == pytest.approx((0.0, 0.0), abs=1e-9)
    assert path.developed_length == pytest.approx(50 * math.pi)


def test_table_of_what_cannot_be():
    with pytest.raises(OutOfRange, match="bend 1 angle"):
        path_from_table([BendRow(10.0, 0.0, 180.0, 50.0)], 10.0)
    with pytest.raises(BadPath, match="plane is open"):
        path_from_table([BendRow(10.0, 0.0, 90.0, 50.0)], 10.0, towards=(1.0, 0.0, 0.0))


def test_radius_inside_the_tube():
    with pytest.raises(OutOfRange, match="half the tube's OD"):
        bend_wall(TUBE, 19.05)


@pytest.mark.parametrize(
    ("text", "error"),
    [("", BadText), ("90", BadText), ("90:", BadText), ("90:87:3", BadText), ("a:b", BadText), ("0:5", OutOfRange), ("200:180", OutOfRange)],
)  # fmt: skip
def test_trials(text, error):
    with pytest.raises(error):
        parse_trials(text)


def test_trials_that_contradict():
    with pytest.raises(OutOfRange, match="contradict"):
        fit_trials([Trial(45.0, 44.0), Trial(90.0, 43.0)])
    with pytest.raises(OutOfRange, match="no trial"):
        fit_trials([])
    with pytest.raises(OutOfRange, match="lead to a setting"):
        fit_trials([Trial(45.0, 44.0), Trial(90.0, 80.0)]).setting(5.0, 100.0) and fit_trials(
            [Trial(60.0, 58.0), Trial(90.0, 60.0)]
        ).setting(5.0, 100.0)


def test_material():
    assert material(" e235 ").name == "E235"
    with pytest.raises(BadText, match="E355"):
        material("cheese")
