"""A point as it is typed: by name, by coordinates, in mm and inches, with either decimal sign; else one sentence."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.edits import put_point
from geometry.errors import CopewrightError
from geometry.frame import End, Frame, Stock, Tube
from geometry.place import Along, At, MirrorOf
from geometry.places import Places, known_places
from geometry.point_text import read_point
from geometry.section import RoundTube

FRAME = Frame(
    stock={"s": Stock(RoundTube(20.0, 2.0))},
    tubes=(
        Tube("bar", "s", ("seat", "Head low")),
        Tube("bar at front", "s", ("seat", "Head low")),
        Tube("low: left", "s", ("seat", "Head low")),
    ),
    points={"seat": At(1, 2, 3), "Head low": At(4, 5, 6), "a: b": At(0, 0, 0)},
)


@pytest.mark.parametrize(
    ("text", "inches", "point"),
    [
        ("seat", False, ("seat", None)),
        ("  SEAT ", False, ("seat", None)),
        ("head low", False, ("Head low", None)),
        ("a: b", False, ("a: b", None)),
        ("0, -190, 45", False, ("arm start", At(0, -190, 45))),
        ("0 -190 45", False, ("arm start", At(0, -190, 45))),
        ("0;-190,5;45", False, ("arm start", At(0, -190.5, 45))),
        ("0,5 -190,25 45,0", False, ("arm start", At(0.5, -190.25, 45))),
        ("0,5, -190,25, 45", False, ("arm start", At(0.5, -190.25, 45))),
        ("0,5, 120, 0", False, ("arm start", At(0.5, 120, 0))),
        ("on BAR at 120,5", False, ("arm start", Along("bar", distance=120.5))),
        ("foot: on bar at -1", True, ("foot", Along("bar", distance=-25.4))),
        ("on bar at front at 12", False, ("arm start", Along("bar at front", distance=12.0))),
        ("on low: left at 3", False, ("arm start", Along("low: left", distance=3.0))),
        ("foot: up: on low: left at 3", False, ("foot: up", Along("low: left", distance=3.0))),
        ("on bar at height 4,5", False, ("arm start", Along("bar", distance=2.598076))),
        ("foot: on bar at Height 3", False, ("foot", Along("bar", distance=0.0))),
        ("knee: mirror of a: b", False, ("knee", MirrorOf("a: b"))),
        ("1, 2, 1/2", True, ("arm start", At(25.4, 50.8, 12.7))),
        ('2-1/2", 2in, 3 mm', False, ("arm start", At(63.5, 50.8, 3))),
        ("knee: 1, 2, 3", False, ("knee", At(1, 2, 3))),
        ("knee: low: 1, 2, 3", False, ("knee: low", At(1, 2, 3))),
        ("knee: Mirror of SEAT", False, ("knee", MirrorOf("seat"))),
        ("mirror of seat", False, ("arm start", MirrorOf("seat"))),
    ],
)
def test_read(text, inches, point):
    assert read_point(text, FRAME, "arm start", inches=inches) == point


def test_a_point_that_is_not_named_gets_a_free_name():
    assert read_point("1, 2, 3", FRAME, "seat") == ("seat 2", At(1, 2, 3))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "",
            "'' is no point: there are 'seat', 'Head low', 'a: b'; type a point's name, or x, y, z",
        ),
        ("set", "'set' is no point"),
        ("1, 2", "'1, 2' has 2 numbers"),
        ("1, 2, 3, 4", "has 4 numbers"),
        ("seat: 1, 2, 3", "there is a point 'seat' already"),
        ("knee: mirror of nowhere", "no point 'nowhere' to take the mirror image of"),
        ("0,240,5,600", "'0,240,5,600' has 4 numbers; x, y and z are three"),
        ("knee: 1; 2; 3; 4,5", "'1; 2; 3; 4,5' has 5 numbers; x, y and z are three"),
        ("7", "'7' has 1 number; x, y and z are three"),
        ("on beam at 12", "no tube 'beam' for the point to lie on"),
        (
            "on bar at height 9",
            "bar does not pass through it: height 9 mm, its points lie from 3 to 6",
        ),
        ("on bar at height up", "the height on the tube 'up' is not a length"),
        ("on bar at half", "the place on the tube 'half' is not a length"),
        ("1, two, 3", "y of the point 'two' is not a length"),
        ("1e9, 0, 0", "x of the point"),
    ],
)
def test_refused(text, words):
    with pytest.raises(CopewrightError, match=re.escape(words)):
        read_point(text, FRAME, "arm start")


@given(
    st.lists(st.integers(-9999, 9999), min_size=3, max_size=3), st.sampled_from([", ", "; ", " "])
)
def test_whole_numbers_with_any_separator(numbers, separator):
    assert read_point(separator.join(map(str, numbers)), FRAME, "p") == ("p", At(*numbers))


@given(st.text(max_size=40))
def test_any_text_is_a_point_or_a_sentence(text):
    try:
        name, place = read_point(text, FRAME, "p")
    except CopewrightError as error:
        assert str(error)
    else:
        assert name in FRAME.points or place is not None


@given(st.tuples(*[st.integers(50, 900)] * 3))
def test_the_height_of_a_tubes_end_is_on_the_tube(top):
    frame = Frame(
        stock={"s": Stock(RoundTube(20.0, 2.0))},
        points={"low": At(0, 0, 0), "top": At(*top)},
        tubes=(Tube("rail", "s", ("low", "top")),),
    )
    _, place = read_point(f"on rail at height {top[2]}", frame, "p")
    at = Places(replace(frame, points={**frame.points, "p": place})).point("p")
    assert at == pytest.approx(top, abs=1e-5)


BOW = Frame(
    "f",
    {"s": Stock(RoundTube(25.0, 2.0))},
    {"a": At(0, 150, 15), "k": At(120, 150, 260), "l": At(120, -150, 260), "b": At(0, -150, 15)},
    (Tube("bow", "s", ("a", "k", "l", "b"), (75.0, 75.0), (End("square"), End("square"))),),
)


@pytest.mark.parametrize(
    ("words", "share"),
    [
        ("on bow at middle", 0.5),
        ("on Bow at the middle", 0.5),
        ("on bow at 50%", 0.5),
        ("on bow at 12,5 %", 0.125),
        ("on bow at 100 %", 1.0),
    ],
)
def test_a_share_of_a_tube(words, share):
    _, place = read_point(f"top: {words}", BOW, "arm start")
    assert place == Along("bow", share=share)
    if share == 0.5:
        # By symmetry.
        frame = put_point(BOW, "top", place)
        assert known_places(frame)["top"] == pytest.approx((120, 0, 260))


def test_a_share_that_no_tube_has():
    with pytest.raises(CopewrightError, match=r"share is 1\.01"):
        read_point("top: on bow at 101 %", BOW, "arm start")


def test_a_height_at_which_a_tube_lies_is_no_one_place():
    with pytest.raises(CopewrightError, match="bow lies level there"):
        read_point("top: on bow at height 260", BOW, "arm start")
