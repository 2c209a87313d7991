"""A frame's book, read back: its wraps rolled on, its drawings measured, its schedule added up."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from app.document.frame_file import open_frame
from geometry.bars import bars_for
from geometry.fitup import solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.place import At
from geometry.section import BoxSection, RoundTube
from templates_out.book import book_files, book_sheets
from templates_out.drawing import Text
from templates_out.file_names import FileNames
from templates_out.frame_result import solve_frame
from templates_out.frame_words import facing
from templates_out.frame_wraps import end_line, wrapped_ends
from templates_out.paper import PAPERS, paper
from tests.readback import pages

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*/*.frame"))
BY_NAME = {path.stem: path for path in SAMPLES}
PAPER_MM = 0.1


def book(path, sheet="dual"):
    result = solve_frame(open_frame(path))
    sheets = book_sheets(result, paper(sheet), PAPER_MM)
    return result, sheets, book_files(result, sheets)


BOOKS = {path.stem: book(path) for path in SAMPLES}
EACH = pytest.mark.parametrize("name", sorted(BOOKS))


def numbers(files):
    return json.loads(files["numbers.json"])


@EACH
def test_every_sheet_has_what_every_sheet_must_have(name):
    _, sheets, files = BOOKS[name]
    read = pages(files["book.pdf"])
    assert len(read) == len(sheets)
    for number, page in enumerate(read, 1):
        assert page["width"] == pytest.approx(210.0, abs=0.01)
        assert page["height"] == pytest.approx(279.4, abs=0.01)
        text = " ".join(page["text"].split())
        assert "print at 100 %, measure both bars first" in text
        assert f"page {number} of {len(read)}" in text
        assert "a weld that fails can kill" in text
        for points, _, _ in page["strokes"]:
            assert points.min() > 9.9
            assert points[:, 0].max() < 200.1
            assert points[:, 1].max() < 266.3


@EACH
def test_every_wrap_is_on_paper_at_true_size(name):
    """Each wrap's outline, as it was drawn, is found among the strokes: by its size and its every vertex."""
    result, _, files = BOOKS[name]
    strokes = [
        points
        for page in pages(files["book.pdf"])
        for points, _, _ in page["strokes"]
        if len(points) > 60
    ]
    for one, cut in wrapped_ends(result.fitted.parts):
        line = end_line(cut, None)
        x = line.on_paper(PAPER_MM)(line.places)
        if isinstance(one.part.section, RoundTube):
            np.testing.assert_allclose(
                x, line.places * (1 + PAPER_MM / one.part.section.od), rtol=1e-9
            )
        expected = np.column_stack((x, cut.heights))
        found = False
        for points in strokes:
            count = len(expected)
            if abs(len(points) - count - 2) > 1:
                continue
            for turned in (points, np.column_stack((points[:, 1], -points[:, 0]))):
                shifted = turned[:count] - turned[0] + expected[0]
                found = found or bool(np.max(np.abs(shifted - expected)) < 0.002)
        assert found, (cut.at.where, "is not on paper as it was solved")


@EACH
def test_what_each_wrap_says(name):
    result, sheets, _ = BOOKS[name]
    # In the order they are drawn: a reader of the PDF puts the lines of turned wraps in another.
    texts = [
        item.text for sheet in sheets for item in sheet.drawing.items if isinstance(item, Text)
    ]
    whole, squeezed = " ".join(texts), "".join(texts).replace(" ", "")
    for one, cut in wrapped_ends(result.fitted.parts):
        for words in (f"{one.part.name} ({cut.at.name} end)", "cut length"):
            assert words.replace(" ", "") in squeezed, words
    assert "tile row 1 of 1, column 1 of 1" in whole
    assert "waste is above the curve" in whole
    for one in result.fitted.parts:
        assert one.part.name.replace(" ", "") in squeezed


@EACH
def test_each_wrap_in_dxf(name):
    result, _, files = BOOKS[name]
    names = FileNames()
    for one, cut in wrapped_ends(result.fitted.parts):
        data = files[f"dxf/{names.of(f'{one.part.name} {cut.at.name}')}.dxf"]
        document = ezdxf.read(io.StringIO(data.decode("cp1252")))
        assert not document.audit().errors
        assert document.header["$INSUNITS"] == 4
        (outline,) = document.modelspace().query("LWPOLYLINE[layer=='OUTLINE']")
        assert outline.closed
        points = np.array([(x, y) for x, y, *_ in outline.get_points()])
        count = len(cut.round_mm)
        np.testing.assert_allclose(points[:count, 0], cut.round_mm, atol=1e-9)
        np.testing.assert_allclose(points[:count, 1], cut.heights, atol=1e-9)
        kinds = {entity.dxftype() for entity in document.modelspace()}
        assert kinds <= {"LINE", "LWPOLYLINE", "TEXT"}
        assert len(document.modelspace().query("LINE[layer=='DATUM']")) == 5


@EACH
def test_the_profiles_in_the_numbers_are_the_dxfs_vertices(name):
    result, _, files = BOOKS[name]
    names = FileNames()
    cuts = {(cut["tube"], cut["end"]): cut for cut in numbers(files)["cuts"]}
    for one, cut in wrapped_ends(result.fitted.parts):
        data = files[f"dxf/{names.of(f'{one.part.name} {cut.at.name}')}.dxf"]
        document = ezdxf.read(io.StringIO(data.decode("cp1252")))
        (outline,) = document.modelspace().query("LWPOLYLINE[layer=='OUTLINE']")
        points = np.array([(x, y) for x, y, *_ in outline.get_points()])
        profile = np.array(cuts[one.part.name, cut.at.name]["profile"])
        if cuts[one.part.name, cut.at.name]["radius"] is not None:
            profile[:, 0] *= math.pi / 180 * one.part.section.od / 2
        np.testing.assert_allclose(points[: len(profile)], profile, atol=1e-9)


@EACH
def test_every_bent_tube_has_its_sheet_and_drawing(name):
    result, sheets, files = BOOKS[name]
    titles = [sheet.title for sheet in sheets]
    for part, bend in result.bends.items():
        assert f"Bend sheet: {part}" in titles
        stem = f"dxf/{part.replace(' ', '-')}-bend"
        document = ezdxf.read(io.StringIO(files[f"{stem}.dxf"].decode("cp1252")))
        assert not document.audit().errors
        assert (f"{stem}-profile.dxf" in files) == (bend.job.path.plane is not None)


@EACH
def test_the_schedule_adds_up(name):
    result, _, files = BOOKS[name]
    rows = list(csv.DictReader(io.StringIO(files["schedule.csv"].decode())))
    assert [row["part"] for row in rows] == [one.part.name for one in result.fitted.parts]
    tubes = {tube["tube"]: tube for tube in numbers(files)["tubes"]}
    for row in rows:
        tube = tubes[row["part"]]
        assert float(row["cut_length_mm"]) == pytest.approx(tube["cut_length"], abs=6e-4)
        assert float(row["cut_length_in"]) * 25.4 == pytest.approx(tube["cut_length"], abs=2e-3)
        assert float(row["mass_kg"]) == pytest.approx(tube["mass"], abs=6e-5)


@EACH
def test_a_bent_tubes_marks_begin_at_its_long_point(name):
    """The bar is as long as the tube from long point to long point and what is left on; the marks are counted from its end."""
    result, _, files = BOOKS[name]
    tubes = {tube["tube"]: tube for tube in numbers(files)["tubes"]}
    for part in result.bends:
        tube = tubes[part]
        start, finish = next(t for t in result.fitted.frame.tubes if part.startswith(t.name)).trim
        assert tube["supplied_length"] == pytest.approx(tube["cut_length"] + start + finish)
        (one,) = [one for one in result.fitted.parts if one.part.name == part]
        first = tube["bends"][0]
        assert first["mark_start"] == pytest.approx(first["length"] + one.cuts[0].beyond + start)
        last = tube["bends"][-1]
        left = tube["supplied_length"] - last["mark_end"]
        assert left == pytest.approx(tube["last_straight"] + one.cuts[1].beyond + finish)


def test_both_hands_have_their_own_wraps_and_mirrored_words():
    result, _, _ = BOOKS["single-cylinder"]
    lines = {(o.part.name, c.at.name): c for o, c in wrapped_ends(result.fitted.parts)}
    left, right = lines["seat strut left", "start"], lines["seat strut right", "start"]
    girth = left.at.part.outline.girth
    places = np.linspace(0, girth, 60)
    np.testing.assert_allclose(
        np.interp(places, left.round_mm, left.heights),
        np.interp(girth - places, right.round_mm, right.heights),
        atol=0.02,
    )


@pytest.mark.parametrize("sheet", sorted(PAPERS))
def test_any_paper(sheet):
    result = solve_frame(open_frame(BY_NAME["paddock-stand"]))
    sheets = book_sheets(result, paper(sheet), PAPER_MM)
    read = pages(book_files(result, sheets)["book.pdf"])
    assert {round(page["width"], 1) for page in read} == {paper(sheet).width}


def test_the_same_frame_gives_the_same_bytes():
    again = book(BY_NAME["paddock-stand"])[2]
    assert again == BOOKS["paddock-stand"][2]


def test_progress_counts_up_to_the_whole():
    result, sheets, _ = BOOKS["paddock-stand"]
    seen = []
    book_files(result, sheets, lambda done, whole, what: seen.append((done, whole, what)))
    assert [done for done, _, _ in seen] == list(range(len(seen)))
    assert seen[-1][0] == seen[-1][1]
    assert all(what for _, _, what in seen[:-1])


STOCK = {"main": Stock(RoundTube(38.1, 2.0)), "box": Stock(BoxSection(60.0, 40.0, 3.0, 6.0))}


def test_a_frame_without_tubes_has_nothing_to_make():
    result = solve_frame(Frame("empty"))
    sheets = book_sheets(result, paper("dual"))
    (page,) = pages(book_files(result, sheets)["book.pdf"])
    assert "nothing to make" in page["text"]


def test_what_cannot_be_solved_is_named_on_the_cover_and_does_not_stop_the_rest():
    points = {"a": At(0, 100, 0), "b": At(800, 100, 0), "p": At(400, 100, 90), "q": At(400, 100, 300),
              "r": At(200, 100, 0), "s": At(200, 100, 300), "t": At(0, 100, 0)}  # fmt: skip
    square = (End("square"), End("square"))
    frame = Frame("half", STOCK, points, (
        Tube("rail", "main", ("a", "b"), (), square),
        Tube("short", "main", ("p", "q"), (), (End(), End("square"))),
        Tube("post", "main", ("r", "s"), (), (End(), End("square"))),
        Tube("nowhere", "main", ("a", "t"), (), square),
    ))  # fmt: skip
    result = solve_frame(frame)
    assert result.unsolved == ("short, start", "nowhere")
    files = book_files(result, book_sheets(result, paper("dual")))
    cover = pages(files["book.pdf"])[0]["text"]
    assert "Not solved" in cover
    assert "short, start" in cover
    assert "nowhere" in cover
    assert "dxf/post-start.dxf" in files
    assert "dxf/short-start.dxf" not in files


def test_a_box_sections_wrap_has_its_corners_and_its_own_length_round():
    points = {"a": At(0, 0, 0), "b": At(500, 0, 0), "p": At(200, 0, 0), "q": At(240, 10, 300)}
    frame = Frame("box", STOCK, points, (
        Tube("rail", "main", ("a", "b"), (), (End("square"), End("square"))),
        Tube("post", "box", ("p", "q"), (), (End(), End("square"))),
    ))  # fmt: skip
    (one, cut) = wrapped_ends(solve(frame).parts)[0]
    line = end_line(cut, None)
    girth = 2 * (48.0 + 28.0) + 2 * math.pi * 6.0
    assert line.girth == pytest.approx(girth)
    x = line.on_paper(0.1)
    # Paper bent round four corners is longer by once round half its thickness.
    assert x(np.array([girth]))[0] == pytest.approx(girth + math.pi * 0.1)
    # The datum's side is the wide one across: 60 wide, its straight half 24.
    np.testing.assert_allclose(x(np.array([0.0, 24.0])), [0.0, 24.0])
    assert one.part.name == "post"


def test_names_become_safe_file_names_and_stay_apart():
    names = FileNames()
    made = [
        names.of(name)
        for name in ("a b", "a-b", "A  b!", "../../etc", "con", "Ž rail", "下管", "x" * 200)
    ]
    assert len(set(made)) == len(made)
    assert made[0] == "a-b"
    for name in made:
        assert name == name.strip("-")
        assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
        assert 0 < len(name) < 80
        assert name != "con"


@pytest.mark.parametrize(
    ("way", "words"),
    [
        ((1, 0, 0), "forward"), ((0, 1, 0), "left"), ((0, 0, -1), "down"),
        ((-0.7, 0, 0.714), "up and rearward"), ((0.1, -0.99, 0.05), "right"),
    ],
)  # fmt: skip
def test_where_a_datum_faces_in_words(way, words):
    assert facing(np.array(way, dtype=float)) == words


def test_the_cover_names_every_tube_and_states_its_scale():
    for name, (result, _, files) in BOOKS.items():
        cover = " ".join(pages(files["book.pdf"])[0]["text"].split())
        assert "drawn 1:" in cover, name
        for view in ("from the right", "from above", "from the front"):
            assert view in cover
        for tube in result.fitted.frame.tubes:
            assert tube.name in cover


def test_the_cover_keeps_to_one_sheet_unless_its_picture_would_be_too_small():
    """Of the 1.5 m motorcycle with its 26 parts one of 80 mm would do nobody any good."""
    for name, covers, most in (
        ("paddock-stand", 1, 10),
        ("single-cylinder", 2, 12),
        ("cargo-trike", 2, 20),
    ):
        sheets = [" ".join(page["text"].split()) for page in pages(BOOKS[name][2]["book.pdf"])]
        firsts = [text for text in sheets if "drawn 1:" in text]
        assert len(firsts) == covers, name
        assert int(firsts[0].split("drawn 1:")[1].split(":")[0]) <= most, name
        # What the numbers mean stands with them.
        assert "Key, in the order of fit-up" in firsts[0]


def test_the_books_words_are_explained_for_any_frame():
    """One without a rider, too; and for who has no full-size sheets."""
    for name, (result, _, files) in BOOKS.items():
        cover, *rest = [" ".join(page["text"].split()) for page in pages(files["book.pdf"])]
        whole = " ".join((cover, *rest))
        assert "as someone sees them who sits on it and looks forward" in whole, name
        assert "rider" not in whole
        assert ("if you had them made (full-size.pdf" in whole) == bool(result.bends)
        for said in (
            "Developed length: ",
            "Class A, B, C or D: ",
            "bevelled or not: a table after the landing marks says where. Local codes",
        ):
            assert said in whole, (name, said)
        each, groove = re.search(
            r"are (\d+)° to \d+° on each edge, for a groove of (\d+)°", whole
        ).groups()
        assert int(groove) == 2 * int(each)
        for gone in ("hand: none", "Fit: none", "waste: none"):
            assert gone not in whole
        # Both words stay on sheets that nothing is cut by.
        assert all("no fit, and no waste" in page for page in rest if "Lay the heavy line" in page)


def test_the_side_view_is_to_the_stated_scale():
    """The stand is 640 mm from bar to handle; on the cover its side view is so long over its scale."""
    result, _, files = BOOKS["paddock-stand"]
    page = pages(files["book.pdf"])[0]
    text = " ".join(page["text"].split())
    scale = int(text.split("drawn 1:")[1].split(":")[0])
    circles = [points for points, _, _ in page["strokes"] if len(points) > 12]
    widths = sorted(round(float(np.ptp(points[:, 0])) * scale, 1) for points in circles)
    # The bar and the handle are seen end on, as circles of their own diameters.
    assert any(abs(width - 33.7) < 0.2 for width in widths)
    assert any(abs(width - 30.0) < 0.2 for width in widths)
    assert result.name in text


@EACH
def test_what_steel_to_buy(name):
    """Added up from the sheets' own figures: cut lengths of the schedule, bars of the bend sheets."""
    result, _, files = BOOKS[name]
    sheet = " ".join(
        " ".join(page["text"].split())
        for page in pages(files["book.pdf"])
        if "Tube schedule" in page["text"]
    )
    inches = result.units == "in"
    small, large, places = (25.4, 304.8, (2, 2)) if inches else (1.0, 1000.0, (1, 3))
    numbered = json.loads(files["numbers.json"])
    straight = {cut["tube"] for cut in numbered["cuts"] if cut["cut"] != "square"}
    bars = {tube["tube"]: tube["supplied_length"] for tube in numbered["tubes"] if tube["bends"]}
    for stock, bought in result.fitted.frame.stock.items():
        parts = [one for one in result.fitted.parts if one.part.tube.stock == stock]
        if not parts:
            continue
        plain = [bars.get(one.part.name, one.cut_length) for one in parts]
        sawn = [
            bars.get(one.part.name, one.cut_length + 5.0 * (one.part.name in straight))
            for one in parts
        ]
        row = (
            f"{stock} .*? {bought.material} {len(parts)} {max(plain) / small:.{places[0]}f} {sum(plain) / large:.{places[1]}f} "
            rf"{bought.bar_length / large:.{places[1]}f} (\d+) [\d.]+"
        )
        found = re.search(row, sheet)
        assert found, row
        assert int(found[1]) == bars_for(sawn, bought.bar_length)
        assert int(found[1]) >= sum(plain) / bought.bar_length
