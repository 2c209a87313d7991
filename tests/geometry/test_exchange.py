"""A joint and a bent tube go into a frame and come out of it as they were; their cuts are the same steel."""

from __future__ import annotations

import math
from pathlib import Path as File

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.document.frame_file import open_frame
from geometry.cope import cope
from geometry.errors import BadFrame
from geometry.exchange import bend_into, joint_into, joint_of, seats
from geometry.fitup import solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.joint import Joint
from geometry.path import Path
from geometry.place import Along, At, OffsetFrom
from geometry.places import Places
from geometry.section import RoundTube
from tests.frames import EVERYTHING

SAMPLES = File(__file__).parents[2] / "sample_projects"
JOINTS = st.builds(
    lambda od, target, angle, share, fit: Joint(
        RoundTube(od, 0.08 * od), target, angle, share * (od + target) / 2, fit
    ),
    st.floats(15, 60), st.floats(20, 80), st.floats(25, 89.9), st.sampled_from([0.0, 0.3, -0.3, 0.6, -0.7]),
    st.sampled_from(["filed", "square-cut"]),
)  # fmt: skip
WAYS = st.tuples(*[st.integers(-3, 3)] * 3).filter(any)


def cut_of(frame, name):
    part = next(one for one in solve(frame).parts if one.part.name == name)
    return part.cuts[1]


def same_cut(cut, joint):
    """The same line round the tube, though the frame counts round it from another datum."""
    alone = cope(joint)
    assert cut.kind == "cope"
    phi = cut.round_mm / joint.tube.radius
    axis, datum, third = cut.at.axis, cut.at.datum, cut.at.third
    target = solve_target(cut)
    # The joint's datum lies in the plane of the tube and its target's way, on the side away from the acute angle.
    across = target - (target @ axis) * axis
    if target @ axis < 0:
        across = -across
    across /= np.linalg.norm(across)
    turn = math.atan2(across @ third, across @ datum)
    # Where lines begin to miss the target the curve stands upright: what rounding leaves of an offset shows there.
    assert np.allclose(cut.heights, alone.line_at(phi - turn), atol=2e-3)


def solve_target(cut):
    frame_part = cut.at.part
    return TARGETS[frame_part.name]


TARGETS = {}


@settings(max_examples=40)
@given(JOINTS)
def test_a_joint_with_a_new_target_is_cut_as_on_its_own(joint):
    frame, name = joint_into(Frame(), "strut", joint)
    assert [tube.name for tube in frame.tubes] == ["under strut", "strut"]
    cut = cut_of(frame, name)
    assert cut.angle_deg == pytest.approx(joint.angle_deg, abs=1e-6)
    assert cut.offset == pytest.approx(joint.offset, abs=1e-6)
    TARGETS[name] = np.array([1.0, 0.0, 0.0])
    same_cut(cut, joint)
    back = joint_of(cut, solve(frame).parts)
    assert (back.tube, back.target_od, back.fit) == (joint.tube, joint.target_od, joint.fit)
    assert (back.angle_deg, back.offset) == pytest.approx((joint.angle_deg, joint.offset), abs=1e-6)


@settings(max_examples=40)
@given(JOINTS, WAYS)
def test_a_joint_onto_a_tube_that_is_there_whichever_way_it_runs(joint, way):
    end = tuple(2000.0 * value / np.linalg.norm(way) for value in way)
    square = End("square")
    frame = Frame(
        "one", {"big": Stock(RoundTube(joint.target_od, 3.0))}, {"a": At(10, 20, 30), "b": OffsetFrom("a", end)},
        (Tube("rail", "big", ("a", "b"), (), (square, square)),),
    )  # fmt: skip
    assert seats(frame, joint) == ["rail"]
    whole, name = joint_into(frame, "strut", joint, "rail")
    cut = cut_of(whole, name)
    assert cut.onto == ("rail",)
    assert (cut.angle_deg, cut.offset) == pytest.approx((joint.angle_deg, joint.offset), abs=1e-5)
    TARGETS[name] = np.array(end) / np.linalg.norm(end)
    same_cut(cut, joint)
    middle = (np.array(Places(whole).point("a")) + np.array(Places(whole).point("b"))) / 2
    assert np.linalg.norm(cut.origin - middle) == pytest.approx(abs(joint.offset), abs=1e-6)


@pytest.mark.parametrize("offset", [0.0, 6.0, -6.0])
def test_a_square_joint_is_the_same_steel_whichever_sign_its_offset_has(offset):
    """At 90 degrees no side is away from the acute angle: only the size of the offset says something."""
    joint = Joint(RoundTube(30.0, 2.0), 40.0, 90.0, offset)
    frame, name = joint_into(Frame(), "strut", joint)
    cut = cut_of(frame, name)
    assert abs(cut.offset) == pytest.approx(abs(offset), abs=1e-6)
    alone = cope(joint)
    assert (cut.long_point, cut.short_point) == pytest.approx(
        (alone.long_point, alone.short_point), abs=1e-9
    )


def test_what_is_put_in_twice_gets_another_name_and_the_same_stock():
    joint = Joint(RoundTube(30.0, 2.0), 40.0, 60.0, 5.0, "filed", 0.5, 3.0)
    frame, first = joint_into(Frame(), "strut", joint)
    frame, second = joint_into(frame, "strut", joint, "under strut")
    assert (first, second) == ("strut", "strut 2")
    assert list(frame.stock) == ["40x2", "30x2"]
    assert frame.tube("strut 2").ends[1] == End("cope", "filed", (), 0.5, 3.0)


def test_ends_that_are_no_joint_on_their_own_say_why():
    fitted = solve(open_frame(SAMPLES / "single-cylinder" / "single-cylinder.frame"))
    asked = {"ok": 0}
    for one in fitted.parts:
        for cut in one.cuts:
            try:
                joint_of(cut, fitted.parts)
                asked["ok"] += 1
            except BadFrame as error:
                word = str(error).split(";")[0].split(" ")[-1]
                asked[word] = asked.get(word, 0) + 1
                assert cut.at.where in str(error)
    assert asked["ok"] > 5
    assert len(asked) > 2


def test_a_bent_tube_goes_in_and_is_changed_in_place():
    path = Path(((0, 0, 0), (400, 0, 0), (700, 0, 300)), (115.0,))
    frame = bend_into(Frame(), "rail", RoundTube(38.1, 1.6), path)
    assert frame.tube("rail").path == ("rail start", "rail bend 1", "rail finish")
    assert solve(frame).parts[0].part.path == path
    longer = Path(((0, 0, 0), (450, 0, 0), (700, 0, 300)), (120.0,))
    again = bend_into(frame, "RAIL", RoundTube(38.1, 2.0), longer, "E355")
    assert len(again.tubes) == 1
    part = solve(again).parts[0].part
    assert (part.path, part.section.wall, part.stock.material) == (longer, 2.0, "E355")
    assert again.points["rail start"] == At(0, 0, 0)
    with pytest.raises(BadFrame, match="with 3 points already, and this one has 2"):
        bend_into(frame, "rail", RoundTube(38.1, 1.6), Path(((0, 0, 0), (9, 0, 0)), ()))


def test_a_tube_whose_points_hang_on_others_keeps_hanging():
    was = solve(EVERYTHING).parts[1].part
    shifted = Path(tuple((x, y + 5.0, z) for x, y, z in was.path.vertices), was.path.radii)
    frame = bend_into(EVERYTHING, "top rail", was.section, shifted)
    assert isinstance(frame.points["knee"], OffsetFrom)
    assert isinstance(frame.points["half way"], Along)
    assert frame.tube("top rail").ends == EVERYTHING.tube("top rail").ends
    for point, vertex in zip(frame.tube("top rail").path, shifted.vertices, strict=True):
        assert Places(frame).point(point) == pytest.approx(vertex, abs=1e-9)


def test_a_stock_that_is_the_same_to_buy_is_taken():
    """16swg is 1.6256 mm: read off as 1.626 it is no other tube; and what a joint sits on is the stock of its size."""
    stock = {"leg": Stock(RoundTube(19.05, 1.6256)), "hoop": Stock(RoundTube(22.0, 2.0))}
    joint = Joint(RoundTube(19.05, 1.626), 22.0, 60.0)
    frame, name = joint_into(Frame("f", stock), "brace", joint)
    assert frame.stock == stock
    assert frame.tube(name).stock == "leg"
    assert {tube.stock for tube in frame.tubes} == {"leg", "hoop"}
    frame, _ = joint_into(Frame("f", stock), "brace", Joint(RoundTube(19.05, 2.0), 22.0, 60.0))
    assert len(frame.stock) == 3
