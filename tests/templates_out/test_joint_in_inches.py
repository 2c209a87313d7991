"""A joint's papers for who reads inches: every length has its inches, and they are the same length."""

from __future__ import annotations

import re

import pytest

from geometry.joint import Joint
from geometry.section import RoundTube
from templates_out.drawing import Text
from templates_out.joint_papers import joint_sheets
from templates_out.joint_pointers import joint_picture
from templates_out.joint_result import solve_joint
from templates_out.joint_words import fact_lines
from templates_out.paper import paper

JOINT = Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0, root_gap=0.5, extra=2.54)
# Of the sheet itself: its bars, its size, what an inch is told for already.
_FURNITURE = re.compile(r"bar: 100 mm|Measure both bars: 100 mm each")


def words_of(result):
    sheets = joint_sheets(result, paper("dual"))
    return [one.text for sheet in sheets for one in sheet.drawing.items if isinstance(one, Text)]


def test_each_length_has_its_inches_behind_it():
    result = solve_joint(JOINT, "brace", inches=True)
    said = " ".join(words_of(result))
    pairs = re.findall(
        r"(-?[\d.]+)(?: x ([\d.]+))?(?: mm)? \((-?[\d.]+)(?: x ([\d.]+))? in\)", said
    )
    assert len(pairs) > 15
    for mm, wall, inches, wall_inches in pairs:
        assert float(inches) == pytest.approx(float(mm) / 25.4, abs=2.6e-3)
        if wall:
            assert float(wall_inches) == pytest.approx(float(wall) / 25.4, abs=2.6e-3)
    for line in (*fact_lines(result), _FURNITURE.sub("", said)):
        for found in re.finditer(r"[\d.]+ mm(?! \()", line):
            pytest.fail(f"{found[0]!r} has no inches: {line}")


def test_the_table_without_a_printer_is_in_inches():
    metric, inches = (words_of(solve_joint(JOINT, "brace", inches=on)) for on in (False, True))
    assert "Without a printer, mm" in metric
    assert "Without a printer, in" in inches
    # The same rows; round the tube at 90 degrees.
    assert f"{38.1 * 3.14159265 / 4:.2f}" in metric
    assert f"{38.1 * 3.14159265 / 4 / 25.4:.3f}" in inches


def test_without_inches_nothing_is_said_of_them():
    result = solve_joint(JOINT, "brace")
    # A hole saw is named by both, as both are sold.
    found = [one for one in words_of(result) if " in)" in one and "hole saw" not in one.casefold()]
    # An inch rule measures the bars.
    assert {*found} == {"end to end (3.937 in)"}


def test_findings_and_the_picture_too():
    wide = Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0, "square-cut", root_gap=2.54)
    result = solve_joint(wide, "brace", inches=True)
    said = " ".join(words_of(result))
    assert "the root gap of 0.1 in included" in said
    # For machines they are in mm, whatever the paper says.
    (gap,) = [one for one in result.findings if one.code == "wide-gap"]
    assert "the root gap of 2.54 mm included" in gap.what
    texts = [
        one.text
        for one in joint_picture(wide, result.cut, inches=True).items
        if isinstance(one, Text)
    ]
    assert "0.236 in off" in texts
