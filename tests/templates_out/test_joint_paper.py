"""The joint's PDF, read back: it is rolled round the tube and must touch the target."""

from __future__ import annotations

import io
import re

import numpy as np
import pypdf
import pytest
from hypothesis import given

from geometry.joint import Joint
from geometry.section import RoundTube
from templates_out.fonts import runs
from templates_out.joint_papers import joint_sheets, ordinate_table
from templates_out.joint_result import solve_joint
from templates_out.paper import PAPERS, paper
from templates_out.pdf import pdf_bytes
from templates_out.sheet import BAR_MM
from templates_out.wrap import WrapWords, wrap_for_paper
from templates_out.wrap_line import joint_line
from tests.cases import examples, joints
from tests.readback import cut_line, misfit, pages

REAL = Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0)
CASES = [
    REAL,
    Joint(RoundTube(38.1, 1.6), 54.0, 62.0, -6.0),
    Joint(RoundTube(20.0, 1.5), 25.0, 45.0, 1.0),
    Joint(RoundTube(50.0, 3.0), 60.0, 75.0, 3.0),
]


def printed(joint, name="dual", **options):
    return pdf_bytes(joint_sheets(solve_joint(joint), paper(name), **options), "test")


@pytest.mark.parametrize("joint", CASES)
def test_rolled_round_the_tube_it_touches_the_target(joint):
    line = cut_line(pages(printed(joint))[0])
    assert misfit(line, joint) < 0.05


@pytest.mark.parametrize("joint", CASES)
def test_a_wrong_print_fails_the_same_measure(joint):
    line = cut_line(pages(printed(joint))[0])
    width = line[-1, 0] - line[0, 0]
    mirrored = np.column_stack((line[0, 0] + line[-1, 0] - line[:, 0], line[:, 1]))[::-1]
    assert misfit(mirrored, joint) > 0.05
    for scale in (0.985, 1.015, 0.94):
        assert misfit(line * scale, joint) > 0.05
    for stretched in ((0.99, 1.0), (1.0, 0.98)):
        assert misfit(line * stretched, joint) > 0.05
    # Clocked one degree off: the line begins elsewhere on the turn.
    x = line[:, 0] - line[0, 0]
    moved = np.interp((x + width / 360) % width, x, line[:, 1])
    assert misfit(np.column_stack((line[:, 0], moved)), joint) > 0.05
    # Laid out without the paper's thickness.
    assert misfit(line, joint, paper_mm=0.0) > 0.05


@examples(25)
@given(joints(misses=False, fits=("filed",)))
def test_every_wrap_that_fits_a_sheet_fits_its_tube(joint):
    if joint.tube.od > 45 or joint.angle_deg < 30 or joint.root_gap:
        return
    line = cut_line(pages(printed(joint))[0])
    assert misfit(line, joint) < 0.05


def test_thickness_of_the_paper_is_laid_out_half_of_it_outside():
    for thickness in (0.0, 0.1, 0.25):
        line = cut_line(pages(printed(REAL, paper_mm=thickness))[0])
        assert line[-1, 0] - line[0, 0] == pytest.approx(np.pi * (38.1 + thickness), abs=1e-3)


def test_the_printed_line_is_the_cut():
    result = solve_joint(REAL)
    line = cut_line(pages(printed(REAL))[0])
    assert len(line) == len(result.cut.phi)
    assert line[:, 1] - line[0, 1] == pytest.approx(result.cut.line - result.cut.line[0], abs=1e-3)


@pytest.mark.parametrize("name", sorted(PAPERS))
def test_sheets_have_exact_size_bars_and_words(name):
    joint = Joint(RoundTube(88.9, 3.0), 90.0, 40.0, -12.0, "square-cut")
    data = printed(joint, name)
    found = pages(data)
    reader = pypdf.PdfReader(io.BytesIO(data))
    for number, (page, raw) in enumerate(zip(found, reader.pages, strict=True), 1):
        sheet = paper(name)
        if name != "roll":
            assert page["width"] == pytest.approx(sheet.width, abs=1e-3)
            assert page["height"] == pytest.approx(sheet.height, abs=1e-3)
        assert raw.mediabox.left == raw.mediabox.bottom == 0
        bars = {"level": 0, "upright": 0}
        for points, _, _ in page["strokes"]:
            if len(points) == 2:
                dx, dy = np.abs(points[1] - points[0])
                bars["level"] += abs(dx - BAR_MM) < 1e-3 and dy < 1e-6
                bars["upright"] += abs(dy - BAR_MM) < 1e-3 and dx < 1e-6
        assert bars["level"] >= 1
        assert bars["upright"] >= 1
        text = " ".join(page["text"].split())
        assert "print at 100 %, measure both bars first" in text
        assert f"page {number} of {len(found)}" in text
        assert "Caution" in text
        live = sheet.live
        height = page["height"]
        for points, _, width in page["strokes"]:
            assert points[:, 0].min() >= live.left - width
            assert points[:, 0].max() <= page["width"] - live.left + width
            assert points[:, 1].min() >= live.bottom - width
            assert points[:, 1].max() <= height - live.bottom + width
    wraps = [page for page in found if "Wrap:" in page["text"]]
    assert wraps
    for page in wraps:
        for words in ("tube onto target", "fit: square-cut", "datum"):
            assert words in page["text"]
        assert re.search(r"tile row \d of \d, column \d of \d", page["text"])
    assert any("waste" in page["text"] for page in wraps)


def test_a_large_wrap_is_tiled_and_its_tiles_join_to_the_whole():
    joint = Joint(RoundTube(120.0, 4.0), 150.0, 45.0, 10.0)
    found = pages(printed(joint))
    wraps = [page for page in found if "Wrap:" in page["text"]]
    assert len(wraps) > 1
    placed = []
    for page in wraps:
        # Every tile says by its marks where it belongs: "x 175.8 y -9.58" beside a cross.
        crosses = _crosses(page)
        assert len(crosses) >= 2
        shift = crosses[0][1] - crosses[0][0]
        for at, said in crosses:
            assert at + shift == pytest.approx(said, abs=0.02)
        for points, dash, width in page["strokes"]:
            if width > 0.3 and len(points) > 5 and not dash:
                placed.append(points + shift)
    line = np.vstack(placed)
    radius = joint.tube.radius + 0.05
    cut = solve_joint(joint).cut
    turned = abs(np.ptp(line[:, 1]) - np.pi * 120.1) < 1.0
    if turned:
        line = np.column_stack((line[:, 1], -line[:, 0]))
    upper = line[line[:, 1] > cut.short_point - 1.0]
    assert upper[:, 1] == pytest.approx(cut.line_at(upper[:, 0] / radius), abs=0.03)
    covered = np.sort(upper[:, 0])
    assert covered[0] == pytest.approx(0.0, abs=0.02)
    assert covered[-1] == pytest.approx(2 * np.pi * radius, abs=0.02)


def _crosses(page):
    """Centres of match marks on a page and the coordinates printed beside them."""
    level = [p for p, _, _ in page["strokes"] if _is_bar(p, 8.0, 0)]
    upright = [p for p, _, _ in page["strokes"] if _is_bar(p, 8.0, 1)]
    centres = [
        a.mean(axis=0)
        for a in level
        for b in upright
        if np.allclose(a.mean(axis=0), b.mean(axis=0), atol=1e-3)
    ]
    said = [
        (np.array([float(m[1]), float(m[2])]))
        for m in re.finditer(r"x (-?[\d.]+) y (-?[\d.]+)", page["text"])
    ]
    pairs = []
    for centre in centres:
        shifts = [tuple(np.round(s - centre, 1)) for s in said]
        pairs.append((centre, shifts))
    every = [shift for _, shifts in pairs for shift in shifts]
    common = max(set(every), key=every.count)
    result = []
    for centre in centres:
        best = min(said, key=lambda s: np.abs(s - centre - common).sum())
        result.append((centre, best))
    return result


def _is_bar(points, length, axis):
    step = np.abs(points[-1] - points[0])
    return len(points) == 2 and abs(step[axis] - length) < 1e-3 and step[1 - axis] < 1e-6


def test_viewers_are_asked_not_to_scale_and_letters_are_embedded():
    reader = pypdf.PdfReader(io.BytesIO(printed(REAL)))
    preferences = reader.trailer["/Root"]["/ViewerPreferences"]
    assert preferences["/PrintScaling"] == "/None"
    assert "/PrintScaling" in preferences["/Enforce"]
    assert reader.metadata.title == "test"
    assert len(reader.outline) == len(reader.pages)
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            descriptor = font.get_object()["/FontDescriptor"]
            assert "/FontFile2" in descriptor


def test_same_input_same_bytes():
    assert printed(REAL) == printed(REAL)


def test_letters_of_the_world_are_printed():
    words = WrapWords("Žebřík Ω трубка ½ 下管 다운", "facts", "datum", ("90°", "180°", "270°"))
    from templates_out.sheet import Content, number_sheets
    from templates_out.tiling import lay_out

    tile = lay_out(wrap_for_paper(joint_line(solve_joint(REAL).cut), words), paper("dual"))[0]
    sheets = number_sheets([Content(tile.paper, tile.drawing, "Žebřík", ())])
    data = pdf_bytes(sheets, "Žebřík")
    assert "Žebřík Ω трубка ½ 下管 다운" in pages(data)[0]["text"]
    fonts = pypdf.PdfReader(io.BytesIO(data)).pages[0]["/Resources"]["/Font"].values()
    assert len(fonts) >= 2
    assert all("/FontFile2" in font.get_object()["/FontDescriptor"] for font in fonts)


def test_a_letter_that_no_font_has_is_missed_on_paper():
    assert [piece for _, piece in runs("rail \U0001f9f0")] == ["rail ?"]


@pytest.mark.parametrize("offset", [0.0, 20.0, -20.0, 6.0])
def test_the_marking_table_has_each_corner_once_and_the_long_point(offset):
    result = solve_joint(Joint(RoundTube(32.0, 2.0), 48.3, 55.0, offset), "tube")
    degrees = result.corners[:, 0]
    assert np.all(np.diff(degrees) > 1e-4)
    assert np.min(result.corners[:, 3]) == pytest.approx(0.0, abs=1e-9)
    rows = [row[0] for row in ordinate_table(result, 15.0).rows]
    assert len(set(rows)) == len(rows)
    assert "0.00" in [row[3] for row in ordinate_table(result, 15.0).rows]
