"""Full-size sheets: joined by their marks they are the tube's outline; heights are where OpenCascade finds the steel."""

from __future__ import annotations

import io
import math
from pathlib import Path as File

import ezdxf
import numpy as np
import pytest
from hypothesis import assume, given
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
from scipy.spatial import cKDTree
from shapely import LineString

from app.document.frame_file import open_frame
from geometry.bend import BendRow, path_from_table
from geometry.bend_plan import BendJob, solve_bend
from geometry.errors import BadPath
from geometry.frame import Frame, Stock, Tube
from geometry.laying import envelope, ways_to_lie
from geometry.material import MATERIALS
from geometry.path import Path, Straight
from geometry.place import At
from geometry.section import RoundTube
from templates_out.book import laid_tubes
from templates_out.canvas import box_of
from templates_out.clip import texts_of
from templates_out.drawing import FOLD, NOTES, OUTLINE, Line
from templates_out.frame_result import solve_frame
from templates_out.full_size import (
    check_sheets,
    full_size_files,
    full_size_parts,
    full_size_sheets,
    roll_pages,
)
from templates_out.paper import paper
from templates_out.pdf import pdf_bytes
from templates_out.tile_plan import stroke_points
from templates_out.tiling import lay_out
from tests import occ
from tests.cases import examples, paths
from tests.readback import pages
from tests.templates_out.test_tiling import crosses

MOTORCYCLE = (
    File(__file__).parents[2] / "sample_projects" / "single-cylinder" / "single-cylinder.frame"
)
SPACE = Path(((0, 0, 0), (400, 0, 0), (550, 250, 0), (600, 300, 400), (900, 350, 420)), (80.0,) * 3)
LONG = path_from_table([BendRow(500, 0, 60, 115), BendRow(400, 180, 30, 115)], 450)


def solved(path, od=38.1, **options):
    return solve_bend(BendJob(RoundTube(od, 2.0), path, MATERIALS["E235"], **options))


def test_tiles_joined_by_their_marks_are_the_silhouette_over_a_metre_and_a_half():
    """To 0.1 mm, against the outline that shapely makes of the centreline."""
    result = solved(LONG)
    assert LONG.developed_length > 1500
    (part,) = full_size_parts(result)
    tiles = lay_out(part.drawing, paper("dual"), part.turns)
    found = pages(pdf_bytes(full_size_sheets([result], paper("dual")), "tube"))
    assert len(found) == len(tiles) > 5
    joined = []
    for page, tile in zip(found, tiles, strict=True):
        marks = crosses(page)
        assert len(marks) >= 2
        shift = np.mean([np.array(said) - at for said, at in marks.items()], axis=0)
        window = tile.paper.window
        joined += [
            points + shift
            for points, dashed, width in page["strokes"]
            if width > 0.3 and not dashed and points[:, 1].min() >= window.bottom - 0.01
            and points[:, 0].max() <= window.right + 0.01 and len(points) > 1
        ]  # fmt: skip
    # The centreline point by point, as it lies on the turned drawing.
    (lying,) = ways_to_lie(LONG, 19.05)
    turn = math.radians(tiles[0].turn_deg)
    matrix = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    centre = centreline(LONG) @ np.column_stack((lying.right, lying.up)) @ matrix.T
    outline = LineString(centre).buffer(19.05, cap_style="flat", quad_segs=64).exterior
    there = np.array([outline.interpolate(d).coords[0] for d in np.arange(0, outline.length, 1.0)])
    drawn = stroke_points(joined, 0.05)
    # Outline strokes of the tile map, which is small, are no part of the tube: only what is near counts.
    away = cKDTree(drawn).query(there)[0]
    assert away.max() < 0.1
    near = drawn[cKDTree(there).query(drawn)[0] < 5.0]
    fine = np.array([outline.interpolate(d).coords[0] for d in np.arange(0, outline.length, 0.05)])
    assert cKDTree(fine).query(near)[0].max() < 0.1
    # It is a metre and a half long: the ends are as far apart as they are on the steel.
    assert outline.length > 2 * 1500


def centreline(path, step=0.5):
    """Points (n, 3) along a path."""
    found = []
    for segment in path.segments:
        count = max(int(segment.length / step), 2)
        if isinstance(segment, Straight):
            share = np.linspace(0, 1, count)[:, None]
            found.append(segment.start + share * (segment.end - segment.start))
        else:
            found.append(segment.points(np.linspace(0, segment.angle_rad, count)))
    return np.vstack(found)


def shapes(path, radius):
    """OpenCascade's solids of a tube's pieces."""
    for segment in path.segments:
        if not isinstance(segment, Straight):
            yield occ.bend(segment, radius)
        elif segment.length > 1e-6:
            way = (segment.end - segment.start) / segment.length
            yield occ.cylinder(segment.start, way, radius, segment.length)


def lowest(shape, origin, right, up):
    """Lowest height of a solid over the plane through ``origin`` that ``right`` and ``up`` span."""
    sight = np.cross(right, up)
    move = gp_Trsf()
    move.SetTransformation(gp_Ax3(gp_Pnt(*origin), gp_Dir(*sight), gp_Dir(*right)))
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(BRepBuilderAPI_Transform(shape, move).Shape(), box, False, False)
    return box.CornerMin().Z() + box.GetGap()


@examples(12)
@given(paths())
def test_the_tube_rests_on_the_bench_and_the_blocks_touch_it(case):
    rows, last = case
    path = path_from_table(rows, last)
    radius = 12.5
    assume(min(row.clr for row in rows) > radius)
    for lying in ways_to_lie(path, radius):
        right, up = np.array(lying.right), np.array(lying.up)
        sight = np.cross(right, up)
        level = np.array(path.vertices[lying.run.first + 1])
        bench = level - lying.lift * sight
        solids = list(shapes(path, radius))
        assert min(lowest(one, bench, right, up) for one in solids) == pytest.approx(0.0, abs=0.02)
        # Every bend of the run is level.
        for corner in path.vertices[lying.run.first + 1 : lying.run.last + 2]:
            assert (np.array(corner) - bench) @ sight == pytest.approx(lying.lift, abs=0.05)
        for end, high in zip((0, -1), lying.ends, strict=True):
            assert (np.array(path.vertices[end]) - bench) @ sight == pytest.approx(high, abs=1e-6)
        for support in lying.supports:
            at = np.array(support.at)
            assert (at - bench) @ sight == pytest.approx(support.centre, abs=1e-6)
            if support.block is None:
                continue
            # Straight down from the centreline, the steel's underside.
            down = [
                t for one in solids for t in occ.crossings(one, at, -sight) if t > radius - 1e-6
            ]
            assert min(down) == pytest.approx(support.centre - support.block, abs=1e-3) or (
                support.block == 0.0
            )


def test_the_box_that_holds_a_tube():
    for path in (SPACE, LONG):
        for size, way in zip(envelope(path, 19.05), np.eye(3), strict=True):
            up = np.roll(way, 1)
            right = np.cross(up, way)
            ends = [
                min(lowest(one, np.zeros(3), right, up * side) for one in shapes(path, 19.05))
                for side in (1, -1)
            ]
            assert size == pytest.approx(-sum(ends), abs=0.02)


def test_the_side_with_the_lower_blocks_is_underneath():
    down = Path(((0, 0, 0), (300, 0, 0), (300, 300, 0), (300, 300, -300)), (60.0, 60.0))
    first, second = ways_to_lie(down, 12.5)
    # Bend 1 level, the rest would hang below it: it is turned over.
    assert first.lift == pytest.approx(12.5)
    assert first.ends[1] == pytest.approx(312.5)
    assert np.cross(first.right, first.up) @ np.array((0, 0, 1)) == pytest.approx(-1.0)
    assert second.lift == pytest.approx(12.5)


def test_plan_and_heights_together_are_the_tube_and_not_its_mirror_image():
    for path in (SPACE, Path(tuple((x, -y, z) for x, y, z in SPACE.vertices), SPACE.radii)):
        result = solved(path, 25.0)
        for sheet in check_sheets(result):
            right, up = np.array(sheet.lying.right), np.array(sheet.lying.up)
            crossing = np.array(path.vertices)
            seen = crossing @ np.column_stack((right, up))
            low = np.array(path.vertices[sheet.lying.run.first + 1])
            heights = (crossing - low) @ np.cross(right, up) + sheet.lying.lift
            there = np.column_stack((seen, heights))
            ways, wanted = np.diff(there, axis=0), np.diff(crossing, axis=0)
            assert np.linalg.det(ways[:3]) == pytest.approx(np.linalg.det(wanted[:3]), rel=1e-9)
            # The steel's ends, as drawn on the paper, are those of the plan.
            middles = [
                np.mean(item.points if hasattr(item, "points") else (item.start, item.end), axis=0)
                for item in sheet.drawing.items
                if getattr(item, "pen", None) is OUTLINE and not hasattr(item, "radius")
            ]
            for end in (seen[0], seen[-1]):
                assert min(math.dist(end, middle) for middle in middles) < 1e-6


def test_dxf_of_each_way_is_true_and_clean():
    result = solved(SPACE, 25.0)
    files = full_size_files(result, "tube")
    assert sorted(files) == [f"tube-full-size-{n}.dxf" for n in (1, 2, 3)]
    for data, sheet in zip(files.values(), check_sheets(result), strict=True):
        document = ezdxf.read(io.TextIOWrapper(io.BytesIO(data), encoding="cp1252"))
        assert not document.audit().errors
        words = " ".join(text.dxf.text for text in document.modelspace().query("TEXT"))
        assert "bend 2: 80.28°, R80" in words
        for one in sheet.lying.supports:
            assert f"centre {one.centre:.1f}".removesuffix(".0") in words
        lines = document.modelspace().query('LINE[layer=="NOTES"]')
        # Tangent lines stand square to the tube and reach past both of its sides.
        tangents = [e for e in lines if e.dxf.start.distance(e.dxf.end) == pytest.approx(25 + 14)]
        assert len(tangents) == 6


def test_a_roll_takes_each_way_whole():
    frame = solve_frame(open_frame(MOTORCYCLE))
    bends = laid_tubes(frame)
    sheets = roll_pages(bends)
    assert len(sheets) == sum(len(check_sheets(bend)) for bend in bends)
    for sheet, page in zip(sheets, pages(pdf_bytes(sheets, "roll")), strict=True):
        assert (page["width"], page["height"]) == pytest.approx(
            (sheet.paper.width, sheet.paper.height), abs=0.01
        )
        assert "Full size:" in page["text"]
        assert not sheet.tile


def test_flat_tubes_of_both_hands_share_their_sheets():
    frame = Frame(
        "f", {"t": Stock(RoundTube(25.0, 2.0))},
        {"a": At(0, 200, 0), "b": At(300, 200, 0), "c": At(500, 200, 300), "d": At(800, 100, 300)},
        (
            Tube("flat", "t", ("a", "b", "c"), (80.0,), handed=True),
            Tube("space", "t", ("a", "b", "c", "d"), (80.0, 80.0), handed=True),
        ),
    )  # fmt: skip
    names = [bend.job.name for bend in laid_tubes(solve_frame(frame))]
    assert names == ["flat left and right", "space left", "space right"]


def test_words_do_not_stand_on_each_other():
    for bend in laid_tubes(solve_frame(open_frame(MOTORCYCLE))):
        for sheet in check_sheets(bend):
            boxes = [
                (text.text, box_of(text)) for text in texts_of(sheet.drawing) if not text.turn_deg
            ]
            for number, (one, (low, high)) in enumerate(boxes):
                for other, (low_, high_) in boxes[number + 1 :]:
                    apart = any(high[i] <= low_[i] or high_[i] <= low[i] for i in (0, 1))
                    assert apart, (one, other)


def test_a_straight_tube_has_none():
    assert check_sheets(solved(Path(((0, 0, 0), (500, 0, 0)), ()))) == []
    with pytest.raises(BadPath):
        Path(((0, 0, 0),), ())


def texts(sheet):
    return {text.text: text for text in texts_of(sheet.drawing)}


def test_words_and_crosses_say_where_and_how_high():
    result = solved(SPACE, 25.0)
    for sheet in check_sheets(result):
        lying = sheet.lying
        axes = np.column_stack((lying.right, lying.up))
        crosses_at = {
            (round(float(m[0]), 6), round(float(m[1]), 6))
            for item in sheet.drawing.items
            if isinstance(item, Line) and item.pen is NOTES and math.dist(item.start, item.end) == pytest.approx(8.0)
            for m in [np.mean((item.start, item.end), axis=0)]
        }  # fmt: skip
        wanted = {tuple(np.round(np.array(one.at) @ axes, 6).tolist()) for one in lying.supports}
        assert crosses_at == wanted
        words = " ".join(texts(sheet))
        for one in lying.supports:
            assert f"block {one.block:.1f}".removesuffix(".0") in words
            # No block under what is steeper than a block can hold.
            leg = min(
                range(4),
                key=lambda n: np.linalg.norm(
                    np.cross(np.array(one.at) - SPACE.vertices[n], SPACE.directions[n])
                ),
            )
            lean = abs(float(SPACE.directions[leg] @ np.cross(lying.right, lying.up)))
            assert lean < math.sin(math.radians(45)) + 1e-9
        for name, high in zip(("start", "finish"), lying.ends, strict=True):
            if abs(high - lying.lift) > 0.05:
                assert f"{name}, centre {high:.1f} up" in words


def test_the_bars_own_ends_lie_on_the_paper():
    """A bar left 50 longer at its finish, which hangs lowest: the blocks are that much higher."""
    path = Path(((0, 0, 0), (300, 0, 0), (300, 300, 0), (300, 300, -200)), (60.0, 60.0))
    plain, longer = solved(path, 25.0), solved(path, 25.0, trim=(0.0, 50.0))
    for one, other in zip(check_sheets(plain), check_sheets(longer), strict=True):
        assert other.lying.ends[1] - other.lying.lift == pytest.approx(
            (one.lying.ends[1] - one.lying.lift) * (250 / 200), abs=1e-6
        )
    (_, second) = check_sheets(longer)
    middle = second.lying
    words = " ".join(texts(second))
    assert "trim line" in words
    trims = [i for i in second.drawing.items if isinstance(i, Line) and i.pen is FOLD]
    assert len(trims) == 1
    at = np.mean((trims[0].start, trims[0].end), axis=0)
    axes = np.column_stack((middle.right, middle.up))
    assert at == pytest.approx(np.array(path.vertices[-1]) @ axes, abs=1e-6)


def test_a_flat_tube_lies_on_the_paper_and_needs_no_blocks():
    (lying,) = ways_to_lie(LONG, 19.05)
    assert lying.supports == ()
    assert lying.lift == pytest.approx(19.05)
    assert lying.ends == pytest.approx((19.05, 19.05))


def test_what_is_level_gets_blocks_only_where_it_is_off_the_paper():
    # Bend 2 level, the first leg hangs below it.
    path = Path(((0, 0, -200), (0, 0, 0), (300, 0, 0), (300, 300, 0), (300, 300, 150)), (60.0,) * 3)
    for lying in ways_to_lie(path, 12.5):
        level = [one for one in lying.supports if abs(one.centre - lying.lift) < 1e-6]
        assert bool(level) is (lying.lift > 12.6)


def test_no_line_is_drawn_twice_where_a_leg_stands_upright():
    path = Path(
        ((0, 0, 0), (300, 0, 0), (300, 300, 0), (300, 300, 400), (500, 300, 400)), (60.0,) * 3
    )
    for data in full_size_files(solved(path, 25.0), "t").values():
        space = ezdxf.read(io.TextIOWrapper(io.BytesIO(data), encoding="cp1252")).modelspace()
        keys = [
            (
                line.dxf.layer,
                *sorted((tuple(line.dxf.start.round(6)), tuple(line.dxf.end.round(6)))),
            )
            for line in space.query("LINE")
        ]
        assert len(keys) == len(set(keys))
