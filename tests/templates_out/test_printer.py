"""A measured printer: the correction moves both bars by what was asked; the page stays as it is."""

from __future__ import annotations

import io

import numpy as np
import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import OutOfRange
from geometry.joint import Joint
from geometry.section import RoundTube
from templates_out.correction import LEAST, MOST, Correction
from templates_out.drawing import CHECK, Line
from templates_out.joint_papers import joint_sheets
from templates_out.joint_result import solve_joint
from templates_out.paper import PAPERS, paper
from templates_out.pdf import pdf_bytes
from templates_out.printer import bar_lengths, corrected, correction_from, diagnosis, printer_sheet
from templates_out.sheet import number_sheets
from tests.cases import examples
from tests.readback import cut_line, pages, painted_length

SHEETS = [name for name in PAPERS if name != "roll"]
FACTORS = [
    Correction(),
    Correction(1.015, 0.985, "a"),
    Correction(0.985, 1.015, "b"),
    Correction(1.0012, 0.9988, "hall laser"),
]


def printed(content, correction):
    return pdf_bytes(corrected(number_sheets([content], correction), correction), "t")


def bars(page):
    """Lengths of the level and the upright straight strokes of a page, mm."""
    level, upright = [], []
    for points, _, _ in page["strokes"]:
        if len(points) == 2:
            dx, dy = np.abs(points[1] - points[0])
            if dy < 1e-4:
                level.append(float(dx))
            elif dx < 1e-4:
                upright.append(float(dy))
    return level, upright


def has(lengths, length):
    return any(abs(one - length) < 2e-3 for one in lengths)


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("correction", FACTORS, ids=lambda c: c.words)
def test_both_bars_move_by_what_was_asked_and_stay_in_the_live_box(name, correction):
    sheet = paper(name)
    data = printed(printer_sheet(sheet, correction), correction)
    (page,) = pages(data)
    level, upright = bars(page)
    across, along = bar_lengths(sheet)
    assert across > 0.9 * sheet.live.width
    assert along > 0.9 * sheet.live.height
    assert has(level, across * correction.x)
    assert has(upright, along * correction.y)
    assert has(level, 100 * correction.x)
    assert has(upright, 100 * correction.y)
    box = pypdf.PdfReader(io.BytesIO(data)).pages[0].mediabox
    assert float(box.width) * 25.4 / 72 == pytest.approx(sheet.width, abs=1e-3)
    assert float(box.height) * 25.4 / 72 == pytest.approx(sheet.height, abs=1e-3)
    live = sheet.live
    for points, _, _ in page["strokes"]:
        assert points[:, 0].min() >= live.left - 0.01
        assert points[:, 0].max() <= live.right + 0.01
        assert points[:, 1].min() >= live.bottom - 0.01
        assert points[:, 1].max() <= live.top + 0.01
    assert correction.words in " ".join(page["text"].split())


@pytest.mark.parametrize("name", SHEETS)
def test_a_corrected_wrap_comes_out_true_on_the_printer_it_was_measured_on(name):
    joint = Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0)
    result = solve_joint(joint)
    correction = Correction(1.0031, 0.9942, "attic inkjet")
    plain = pages(pdf_bytes(joint_sheets(result, paper(name)), "t"))
    stretched = pages(pdf_bytes(joint_sheets(result, paper(name), correction=correction), "t"))
    assert len(plain) == len(stretched)
    line, wide = cut_line(plain[0]), cut_line(stretched[0])
    # What this printer does to it: it comes out of the paper as the plain line would have to.
    out = wide / (correction.x, correction.y)
    assert out - out[0] == pytest.approx(line - line[0], abs=1e-3)
    for page in stretched:
        assert "corrected X 1.0031 Y 0.9942 for attic inkjet" in " ".join(page["text"].split())
        live = paper(name).live
        for points, _, _ in page["strokes"]:
            assert points[:, 0].min() >= live.left - 0.2
            assert points[:, 0].max() <= live.right + 0.2


@examples(200)
@given(st.floats(0.986, 1.014), st.floats(0.986, 1.014), st.sampled_from(SHEETS))
def test_measuring_again_with_the_correction_leaves_it(x, y, name):
    """A printer that makes everything x and y times its size is put right by one measurement."""
    sheet = paper(name)
    across, along = bar_lengths(sheet)
    first = correction_from(across * x, along * y, sheet, "p")
    assert (first.x, first.y) == pytest.approx((1 / x, 1 / y))
    second = correction_from(across * first.x * x, along * first.y * y, sheet, "p", first)
    assert (second.x, second.y) == pytest.approx((first.x, first.y))


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        (0.94, 0.94, "printable area"),
        (0.97, 0.97, "printable area"),
        (0.925, 0.925, "onto A4"),
        (0.90, 0.90, "onto Letter"),
        (0.86, 0.86, "onto Letter"),
        (0.7, 0.7, "one page per sheet"),
        (1.03, 1.03, "enlarged"),
        (1.0, 0.97, "differ"),
    ],
)
def test_a_wrong_print_setting_is_named_and_not_corrected(x, y, words):
    sheet = paper("A4")
    across, along = bar_lengths(sheet)
    with pytest.raises(OutOfRange, match=words):
        correction_from(across * x, along * y, sheet, "p")
    assert words in diagnosis(x, y)


def test_a_correction_out_of_range_is_refused():
    for factor in (LEAST - 0.001, MOST + 0.001, float("nan")):
        with pytest.raises(OutOfRange):
            Correction(factor, 1.0, "p")


def measured_bars(sheet):
    """Start and end of the strokes of a sheet that ticks stand on, mm."""
    strokes = (one for one in sheet.drawing.items if isinstance(one, Line) and one.pen == CHECK)
    return [
        (one.start, one.end) for one in strokes if np.hypot(*np.subtract(one.end, one.start)) > 50
    ]


def assert_true_as_painted(data, sheet):
    """Each bar of the sheet, measured on the painted page as its words say: outer edge to outer edge."""
    bars = {one: float(np.hypot(*np.subtract(*one))) for one in measured_bars(sheet)}
    # On the test sheet the long ones, of which the upright one goes over the short one.
    measured = {one: length for one, length in bars.items() if length > 101} or bars
    assert len(measured) == 2
    for (start, end), length in measured.items():
        below = length > 101 and start[0] != end[0]
        painted = painted_length(data, start, end, -1.0 if below else 1.0)
        assert painted == pytest.approx(length, abs=0.03)


@pytest.mark.parametrize("name", ["dual", "A4"])
def test_bars_are_as_long_as_they_say_from_outer_edge_to_outer_edge(name):
    (test_sheet,) = number_sheets([printer_sheet(paper(name))])
    wrap = joint_sheets(solve_joint(Joint(RoundTube(38.1, 1.6), 54.0, 62.0)), paper(name))[0]
    for sheet in (test_sheet, wrap):
        assert_true_as_painted(pdf_bytes([sheet], "t"), sheet)
