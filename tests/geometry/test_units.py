"""Lengths as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import BadText, CopewrightError
from geometry.lengths import format_inch, format_mm, in_inches
from geometry.units import (
    BWG_INCH,
    SWG_INCH,
    parse_angle,
    parse_length,
    parse_od_and_wall,
    parse_wall,
    typed_in_inches,
)


@pytest.mark.parametrize(
    "text",
    ['1-1/2"', "1 1/2 in", "1.5in", "38.1", "38,1 mm", "1½\"", "1,5 inch", "3.81cm", " 38.1MM ", "1-1/2''", "1 - 1/2 inches", "+38.1", "1\u20131/2\u2033"],
)  # fmt: skip
def test_one_length_many_ways(text):
    assert parse_length(text) == pytest.approx(38.1, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("3/4in", 19.05), ("-6", -6.0), ("-1/4in", -6.35), ("\u22126,5", -6.5), (".5", 0.5), ("0", 0.0), ("¾\"", 19.05)],
)  # fmt: skip
def test_more_lengths(text, mm):
    assert parse_length(text) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    ["", "abc", "1/2", "1 1/2", "3 4", "1,234.5", "1.2.3", "nan", "inf", "1e3", "1/0in", "12ft", "--3", "9" * 400, "1_000", "5 m", "mm", "½"],
)  # fmt: skip
def test_a_bad_length_is_answered_with_a_good_one(text):
    with pytest.raises(BadText) as error:
        parse_length(text, "--offset")
    message = str(error.value)
    assert message.startswith("--offset")
    assert "\n" not in message
    assert "in" in message


@pytest.mark.parametrize(
    ("text", "od", "wall"),
    [
        ("38.1x1.6", 38.1, 1.6),
        ("38.1 x 1.6", 38.1, 1.6),
        ("38,1 x 1,6 mm", 38.1, 1.6),
        ('1-1/2" x 0.065', 38.1, 1.651),
        ("1 1/2 in x 16bwg", 38.1, 1.651),
        ("1.5in x 16 SWG", 38.1, 1.6256),
        ("38.1X16swg", 38.1, 1.6256),
        ("1.5in\u00d71.6mm", 38.1, 1.6),
        ("1in x 1/8", 25.4, 3.175),
    ],
)
def test_od_and_wall(text, od, wall):
    assert parse_od_and_wall(text) == pytest.approx((od, wall), abs=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "38.1",
        "38.1x",
        "x1.6",
        "38.1x1.6x2",
        "38.1 1.6",
        "38.1 x 1/8",
        "38.1 x 7swg",
        "38.1 x 21bwg",
    ],
)
def test_bad_od_and_wall(text):
    with pytest.raises(BadText):
        parse_od_and_wall(text)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("62", 62.0),
        ("62,5", 62.5),
        ("62°", 62.0),
        ("62.5 deg", 62.5),
        ("-3", -3.0),
        ("86 1/2", 86.5),
        ("22-1/2°", 22.5),
        ("-½", -0.5),
    ],
)
def test_angles(text, degrees):
    assert parse_angle(text) == degrees


@pytest.mark.parametrize("text", ["", "sixty", "62 rad", "1/0", "62 1/", "62'30"])
def test_bad_angles(text):
    with pytest.raises(BadText, match="62"):
        parse_angle(text)


# BS 3737:1964 as at engineeringtoolbox.com "SWG"; Birmingham gauge at "BWG"; both in mm there.
GAUGES = {
    8: (4.064, 4.191), 9: (3.658, 3.759), 10: (3.251, 3.404), 11: (2.946, 3.048), 12: (2.642, 2.769),
    13: (2.337, 2.413), 14: (2.032, 2.108), 15: (1.829, 1.829), 16: (1.626, 1.651), 17: (1.422, 1.473),
    18: (1.219, 1.245), 19: (1.016, 1.067), 20: (0.914, 0.889), 22: (0.711, 0.711),
}  # fmt: skip


def test_gauges_are_the_published_tables():
    assert set(SWG_INCH) == set(BWG_INCH) == set(GAUGES)
    for number, (swg, bwg) in GAUGES.items():
        assert parse_wall(f"{number}swg") == pytest.approx(swg, abs=5.1e-4)
        assert parse_wall(f"{number} BWG") == pytest.approx(bwg, abs=5.1e-4)


@given(st.floats(-1999, 1999))
def test_mm_written_and_read_again(value):
    assert parse_length(format_mm(value, 6)) == pytest.approx(value, abs=5.1e-7)


@given(st.floats(-1999, 1999))
def test_inches_written_and_read_again(value):
    assert parse_length(format_inch(value)) == pytest.approx(value, abs=25.4 / 128 + 1e-9)


@given(st.text(max_size=12))
def test_any_text_is_a_length_or_one_sentence(text):
    try:
        value = parse_length(text)
    except CopewrightError as error:
        assert str(error)
    else:
        assert value == value


def test_formats():
    assert format_mm(-0.001) == "0"
    assert format_mm(12.0) == "12"
    assert format_mm(100.0, 0) == "100"
    assert format_inch(38.1) == '1-1/2"'
    assert format_inch(-6.35) == '-1/4"'
    assert format_inch(25.4) == '1"'
    assert format_inch(0.01) == '0"'


@pytest.mark.parametrize(
    ("mm", "inches"),
    [
        (
            "radius 100 mm is tight, under 3. Use 101.1 mm or more.",
            "radius 3.937 in is tight, under 3. Use 3.98 in or more.",
        ),
        ("a tube of 30 x 2 mm, 12.5 mm apart", "a tube of 1.181 x 0.079 in, 0.492 in apart"),
        ("it is -25.4 mm off (254 mm).", "it is -1 in off (10 in)."),
        ("bend 2 is 0.5° over, 12 % of it; 5 mmx", "bend 2 is 0.5° over, 12 % of it; 5 mmx"),
        (
            "allowed is from 3 up to 400 mm; near (0, -25.4, 305)",
            "allowed is from 0.118 up to 15.748 in; near (0, -1, 12.008)",
        ),
    ],
)
def test_a_sentence_says_its_lengths_in_inches(mm, inches):
    """By hand: 100 / 25.4 = 3.937, 101.1 / 25.4 = 3.980."""
    assert in_inches(mm) == inches


def test_a_name_that_looks_like_a_length_stays():
    words = "The 30 mm bar is 30 mm short of 30 mm bar left."
    names = ["30 mm bar", "30 mm bar left", "rail"]
    assert in_inches(words, names) == "The 30 mm bar is 1.181 in short of 30 mm bar left."


@pytest.mark.parametrize(
    ("text", "inches"),
    [("1.5IN", True), ("1-1/2\u2033", True), ("1\u00bd\u201d x 16swg", True), ("1.5 inches", True), ("38.1 mm", False), ("115", False)],
)  # fmt: skip
def test_inches_are_known_in_whatever_way_they_are_typed(text, inches):
    assert typed_in_inches("38.1", text) is inches
