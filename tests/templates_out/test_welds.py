"""How coped ends are welded: by hand, and read back from the book."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.special import ellipe

from app.document.frame_file import open_frame
from geometry.frame import Frame, Stock, Tube
from geometry.landing import BEVEL_LEAST_WALL_MM
from geometry.place import At
from geometry.section import BoxSection, RoundTube
from templates_out.book import book_files, book_sheets
from templates_out.frame_result import solve_frame
from templates_out.paper import paper
from templates_out.welds import butt_stretches, weld_facts, weld_table, weld_words
from tests.readback import pages

SAMPLES = Path(__file__).parents[2] / "sample_projects"
POINTS = {"rear": At(-200, 0, 0), "front": At(200, 0, 0), "foot": At(0, 0, 0), "top": At(0, 0, 300)}
RAIL = Tube("rail", "rail", ("rear", "front"))
POST = Tube("post", "post", ("foot", "top"))


def stood(rail, post):
    return solve_frame(Frame("f", {"rail": Stock(rail), "post": Stock(post)}, POINTS, (RAIL, POST)))


def test_equal_tubes_at_a_right_angle_by_hand():
    """There the outsides' angle has the cosine -sin² of the clock from the rail's line: over 120° from 45° to 135°, both sides.

    The seam is two halves of ellipses, r by r√2: 4 r √2 E(1/2) (their perimeter; scipy has E).
    """
    result = stood(RoundTube(25.0, 2.0), RoundTube(25.0, 2.0))
    landing = result.landings["post", "start"]
    # The post's datum faces along the rail, or across it.
    end = result.fitted.parts[1].part.ends[0]
    along = math.degrees(math.atan2(end.third[0], end.datum[0]))
    girth = math.pi * 25.0
    wanted = sorted((along + at) % 360 for at in (45, 225))
    found = sorted(butt_stretches(landing))
    # The turn is looked at degree by degree: either end is found to half a one.
    assert [start / girth * 360 for start, _ in found] == pytest.approx(wanted, abs=0.51)
    assert [(stop - start) / girth * 360 for start, stop in found] == pytest.approx(
        [90, 90], abs=1.01
    )
    assert landing.seam == pytest.approx(4 * 12.5 * math.sqrt(2) * ellipe(0.5), rel=1e-3)
    (row,) = weld_table(result).rows
    assert row[:3] == ("post, start", "rail", f"{landing.seam:.1f}")
    numbers = [float(one) for one in re.findall(r"[\d.]+", row[3])]
    assert numbers == pytest.approx(
        [at % girth for both in butt_stretches(landing) for at in both], abs=0.051
    )
    words = weld_facts(landing)
    assert words.startswith(f"weld: {round(landing.seam, 1):g} mm long; a butt weld ")
    assert words.endswith(" round from its wrap's left edge, else a fillet weld")
    assert f"{round(butt_stretches(landing)[0][0], 1):g} mm to " in words


@pytest.mark.parametrize("post", [RoundTube(20.0, 2.0), BoxSection(20.0, 20.0, 2.0)])
def test_a_post_square_on_a_flat_side_is_a_fillet_weld_all_round(post):
    result = stood(BoxSection(40.0, 40.0, 2.0), post)
    landing = result.landings["post", "start"]
    assert butt_stretches(landing) == []
    (row,) = weld_table(result).rows
    assert row[3] == "nowhere"
    assert (
        weld_facts(landing) == f"weld: {round(landing.seam, 1):g} mm long, a fillet weld all round"
    )
    # Its own girth, as it stands flat.
    assert landing.seam == pytest.approx(
        math.pi * 20 if isinstance(post, RoundTube) else 80, abs=0.7
    )


def test_a_weld_that_is_a_butt_weld_all_round_is_said_to_be():
    landing = stood(RoundTube(25.0, 2.0), RoundTube(25.0, 2.0)).landings["post", "start"]
    whole = replace(landing.bevels[0], start_deg=10.0, end_deg=370.0)
    assert weld_facts(replace(landing, bevels=(whole,))).endswith("mm long, a butt weld all round")


def test_the_words_name_the_wall_that_is_bevelled():
    assert f"A wall of {BEVEL_LEAST_WALL_MM:g} mm or more" in weld_words("mm")


@pytest.mark.parametrize(("name", "unit"), [("single-cylinder", "mm"), ("cargo-trike", "in")])
def test_every_end_that_lands_has_its_weld_in_the_book(name, unit):
    result = solve_frame(open_frame(SAMPLES / name / f"{name}.frame"))
    files = book_files(result, book_sheets(result, paper("dual"), 0.1))
    words = " ".join(
        " ".join(page["text"].split())
        for page in pages(files["book.pdf"])
        if "Landing marks" in page["text"]
    )
    assert " ".join(weld_words(unit).split()) in words
    scale, places = (25.4, 3) if unit == "in" else (1.0, 1)
    for (part, end), landing in result.landings.items():
        seam = f"{landing.seam / scale:.{places}f}"
        girth = landing.cut.at.part.outline.girth
        parts = [
            f"{start / scale:.{places}f} to {stop % girth / scale:.{places}f}"
            for start, stop in butt_stretches(landing)
        ]
        # Two of them in a row.
        rows = [", ".join(parts[at : at + 2]) for at in range(0, len(parts), 2)] or ["nowhere"]
        row = f"{part}, {end} {', '.join(landing.cut.onto)} {seam} {' '.join(rows)}"
        assert row in words, row


@pytest.mark.parametrize("corner", [0.0, 4.2])
def test_a_post_as_wide_as_its_rail_is_a_butt_weld_on_the_flush_sides(corner):
    """There is no ledge for a fillet there, whether the corners are sharp or round."""
    box = BoxSection(25.4, 25.4, 2.1, corner)
    result = stood(box, box)
    landing = result.landings["post", "start"]
    girth, end = landing.cut.at.part.outline.girth, result.fitted.parts[1].part.ends[0]
    covered = sum(stop - start for start, stop in butt_stretches(landing))
    # Two of the four sides, the rounds of the corners more or less.
    assert covered == pytest.approx(girth / 2, abs=2 * 4.2 if corner else 1.0)
    for start, stop in butt_stretches(landing):
        (middle,) = landing.cut.at.part.outline.normals(np.array([(start + stop) / 2 % girth]))
        out = middle[0] * end.datum + middle[1] * end.third
        # The rail runs along x: its sides face y.
        assert abs(out[1]) == pytest.approx(1.0)


def test_where_an_end_touches_nothing_no_weld_is_said_to_be():
    landing = stood(BoxSection(30.0, 30.0, 2.0), BoxSection(50.0, 30.0, 2.0)).landings[
        "post", "start"
    ]
    assert landing.opens
    words = weld_facts(landing)
    assert words.endswith("where it touches")
    assert "all round" not in words
