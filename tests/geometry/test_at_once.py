"""What is worked out for many at once is what is worked out one by one."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.document.frame_file import open_frame
from geometry.end_cut import height_at, plain_cut
from geometry.fitup import changed_ends, solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.kept import Kept
from geometry.near import TOUCH_MM, Index, near_end
from geometry.parts import parts_of
from geometry.pieces import RoundPiece, round_entries
from geometry.place import At
from geometry.plain_cuts import lone_cuts, plain_cuts
from geometry.section import RoundTube
from geometry.solid_mesh import _first, _meshed, solid_meshes
from geometry.targets import target
from geometry.tolerances import CHORD_MM
from tests.frames import EVERYTHING
from tests.validation.test_samples import SAMPLES

FRAMES = [*(open_frame(path) for path in SAMPLES), EVERYTHING]
EVERY_FRAME = pytest.mark.parametrize("frame", FRAMES, ids=lambda frame: frame.name)
SQUARE = End("square")
MESH_MM = 1e-3
"""At a plane the bore's line follows the outside's polyline, not the plane itself."""
numbers = st.floats(-300, 300)
vectors = st.tuples(numbers, numbers, numbers).map(np.array)
ways = vectors.filter(lambda way: np.linalg.norm(way) > 1).map(
    lambda way: way / np.linalg.norm(way)
)


@st.composite
def sought(draw):
    start, along = draw(vectors), draw(ways)
    piece = RoundPiece(start, start + draw(st.floats(1, 500)) * along, draw(st.floats(1, 60)))
    # Along the piece, square to it, or anyhow.
    square = np.cross(along, draw(ways.filter(lambda way: abs(way @ along) < 0.99)))
    way = draw(st.sampled_from([along, -along, square / np.linalg.norm(square), draw(ways)]))
    lines = start + np.array(
        draw(st.lists(st.tuples(numbers, numbers, numbers), min_size=1, max_size=9))
    )
    return piece, lines, way, draw(st.floats(-400, 100))


@given(st.lists(sought(), max_size=5))
def test_round_pieces_are_entered_as_one_by_one(several):
    pieces, starts, along, least = zip(*several, strict=True) if several else ([], [], [], [])
    found = round_entries(pieces, starts, np.array(along), np.array(least))
    for (piece, lines, way, nearest), entries in zip(several, found, strict=True):
        alone = piece.entries(lines, way, nearest)
        both = np.isfinite(alone) & np.isfinite(entries)
        assert np.allclose(alone[both], entries[both], atol=1e-6)
        # But for rounding, where a line only just touches.
        apart = np.flatnonzero(np.isfinite(alone) != np.isfinite(entries))
        grown = RoundPiece(piece.start, piece.end, piece.radius * (1 + 1e-6))
        shrunk = RoundPiece(piece.start, piece.end, piece.radius * (1 - 1e-6))
        for row in apart:
            line = lines[row : row + 1]
            assert grown.entries(line, way, -np.inf) != pytest.approx(
                shrunk.entries(line, way, -np.inf), abs=1e-9
            )


@EVERY_FRAME
def test_what_is_near_is_as_one_by_one(frame):
    parts, _ = parts_of(frame)
    index = Index(parts, {tube.name: number for number, tube in enumerate(frame.tubes)})
    ends = [end for part in parts for end in part.ends]
    for end, near in zip(ends, index.look(ends), strict=True):
        alone = near_end(end, near.parts)
        assert near == alone
        for one, other in zip(near.ways, alone.ways, strict=True):
            for ways, others in zip(one, other, strict=True):
                assert np.allclose(ways, others, atol=1e-9)
        order = frame.tubes.index(end.part.tube)
        above = [one for one in parts if frame.tubes.index(one.tube) < order]
        outline = end.part.outline
        starts = end.spread(outline.at(np.arange(48) * outline.girth / 48))
        back = min(end.straight, 4 * end.part.reach + 200.0)
        for other in above:
            if other not in near.parts:
                # None of its lines would end there, but for what is behind all that an end looks for.
                for piece in other.pieces:
                    assert np.all(piece.entries(starts, end.axis, -back) > TOUCH_MM)


@st.composite
def joints(draw):
    """A rail of any way and size, and a branch on it whose end is asked for as it may be."""
    tube = RoundTube(draw(st.sampled_from((12.0, 25.4, 38.1))), 1.5)
    rail = RoundTube(draw(st.sampled_from((25.4, 38.1, 60.0, 76.1))), 2.0)
    along, other = draw(ways), draw(ways)
    angle = draw(st.sampled_from((90.0, 45.0)) | st.floats(3.0, 90.0) | st.floats(20.0, 90.0))
    square = np.cross(along, other)
    if np.linalg.norm(square) < 0.1:
        square = np.cross(along, np.eye(3)[np.argmin(np.abs(along))])
    square /= np.linalg.norm(square)
    turn = math.radians(angle)
    out = math.cos(turn) * along + math.sin(turn) * np.cross(square, along)
    reach = (tube.od + rail.od) / 2
    offset = draw(
        st.sampled_from((0.0, 1.0, -3.0)) | st.floats(-0.95, 0.95).map(lambda v: v * reach)
    )
    start = draw(vectors) / 10
    points = {
        "a": start - 2000.0 * along, "b": start + 2000.0 * along, "c": start + offset * square,
        "d": start + offset * square + 900.0 * out,
    }  # fmt: skip
    end = End(
        "cope", draw(st.sampled_from(("filed", "filed", "filed", "square-cut"))),
        root_gap=draw(st.sampled_from((0.0, 1.5))), extra=draw(st.sampled_from((0.0, 2.0))),
    )  # fmt: skip
    return Frame(
        "f", {"rail": Stock(rail), "tube": Stock(tube)}, {n: At(*v) for n, v in points.items()},
        (Tube("r", "rail", ("a", "b"), (), (SQUARE, SQUARE)), Tube("t", "tube", ("c", "d"), (), (end, SQUARE))),
    )  # fmt: skip


@given(st.lists(joints(), min_size=1, max_size=4))
def test_closed_form_cuts_are_those_of_joints_on_their_own(frames):
    ends = [parts_of(frame)[0][1].ends[0] for frame in frames]
    targets = [target(end, parts_of(frame)[0][0]) for end, frame in zip(ends, frames, strict=True)]
    for end, sits, cut in zip(ends, targets, plain_cuts(ends, targets), strict=True):
        alone = plain_cut(end, sits)
        if cut is None:
            seen = alone is None or alone.missing > 0 or alone.angle_deg < 10.0
            big = sits.straight.radius - end.end.root_gap
            kinked = abs(alone.offset) + end.part.reach >= big * (1 - 1e-8) if alone else False
            dense = alone is not None and len(alone.round_mm) > 400
            assert seen or kinked or dense or end.end.fit == "square-cut"
            continue
        assert (cut.onto, cut.kind, cut.fit, cut.missing) == (alone.onto, "cope", "filed", 0.0)
        assert (cut.angle_deg, cut.offset) == (alone.angle_deg, alone.offset)
        assert np.array_equal(cut.origin, alone.origin)
        assert (cut.long_point, cut.short_point) == pytest.approx(
            (alone.long_point, alone.short_point), abs=1e-9
        )
        assert cut.heights.max() == cut.long_point
        assert cut.heights.min() == cut.short_point
        girth = end.part.outline.girth
        assert (cut.round_mm[0], cut.round_mm[-1]) == (0.0, girth)
        assert cut.heights[0] == cut.heights[-1]
        assert np.all(np.diff(cut.round_mm) > 1e-6)
        # Every vertex is on the very surface; between two the line is as near as everywhere.
        met = (cut.points() - sits.nearest) - end.end.extra * end.axis
        from_axis = np.linalg.norm(met - np.outer(met @ sits.tangent, sits.tangent), axis=1)
        assert np.allclose(from_axis, sits.straight.radius, atol=1e-9)
        middles = (cut.round_mm[:-1] + cut.round_mm[1:]) / 2
        starts = end.spread(end.part.outline.at(middles))
        heights = sits.straight.entries(starts, end.axis, -end.behind) - cut.shift + end.end.extra
        assert np.allclose(height_at(cut, middles), heights, atol=CHORD_MM)


def test_a_line_that_is_cut_another_way_is_not_changed():
    """With another tube near it an end goes the long way, its vertices elsewhere on the same line."""
    points = {
        "a": At(-300, 0, 0), "b": At(300, 0, 0), "c": At(-300, 0, -33), "d": At(300, 0, -33),
        "e": At(0, 0, -19), "f": At(200, 3, 300),
    }  # fmt: skip
    stock = {
        name: Stock(RoundTube(od, 1.5)) for name, od in (("r", 40.0), ("s", 25.0), ("b", 20.0))
    }
    rail, low = (
        Tube(*one, (), (SQUARE, SQUARE))
        for one in (("rail", "r", ("a", "b")), ("low", "s", ("c", "d")))
    )
    branch = Tube("branch", "b", ("e", "f"), (), (End(), SQUARE))
    near, alone = (
        solve(Frame("f", stock, points, tubes)) for tubes in ((rail, low, branch), (rail, branch))
    )
    cut, other = near.parts[2].cuts[0], alone.parts[1].cuts[0]
    assert not np.array_equal(cut.round_mm, other.round_mm)
    assert changed_ends(alone, near) == []
    shorter = replace(branch, ends=(End(extra=0.5), SQUARE))
    assert changed_ends(alone, solve(Frame("f", stock, points, (rail, shorter)))) == [
        "branch, start"
    ]


@EVERY_FRAME
def test_ends_on_one_tube_are_as_one_by_one(frame):
    parts, _ = parts_of(frame)
    index = Index(parts, {tube.name: number for number, tube in enumerate(frame.tubes)})
    ends = [end for part in parts for end in part.ends if end.end.cut == "cope"]
    asked = list(zip(ends, index.look(ends), strict=True))
    for one, cut in zip(asked, lone_cuts(asked), strict=True):
        (alone,) = lone_cuts([one])
        assert (cut is None) == (alone is None)
        if cut is not None:
            assert np.array_equal(cut.heights, alone.heights)
            assert np.array_equal(cut.round_mm, alone.round_mm)


@EVERY_FRAME
def test_meshes_are_as_one_by_one(frame):
    fitted = solve(frame)
    parts = {one.part.name: one.part for one in fitted.parts}
    for one, mesh in zip(fitted.parts, solid_meshes(fitted.parts), strict=True):
        if _first(one) is not None:
            continue
        names = [name for cut in one.cuts if cut is not None for name in cut.onto]
        alone = _meshed(one.part, one.cuts, tuple(parts[name] for name in names if name in parts))
        assert mesh.joined is alone.joined
        for field in ("points", "normals", "faces"):
            assert np.allclose(getattr(mesh, field), getattr(alone, field), atol=MESH_MM)
        for edge, other in zip(mesh.edges, alone.edges, strict=True):
            assert np.allclose(edge, other, atol=MESH_MM)
        for field in fields(mesh.facets):
            ours, its = (getattr(some.facets, field.name) for some in (mesh, alone))
            assert np.allclose(ours, its, atol=1e-9)


def test_only_what_is_not_kept_is_asked_for():
    asked = []

    def halves(numbers):
        asked.append(list(numbers))
        return [number / 2 for number in numbers]

    kept = Kept(3)
    assert kept.many([4, 6, 4], halves) == [2, 3, 2]
    assert kept.many([6, 8], halves) == [3, 4]
    # Of four, the one that was not asked for longest is not kept.
    assert kept.many([10], halves) == [5]
    assert kept.many([8, 6, 4], halves) == [4, 3, 2]
    assert asked == [[4, 6], [8], [10], [4]]


def test_more_may_be_asked_for_at_once_than_are_kept():
    kept = Kept(2)
    assert kept.many([1, 2, 3], lambda keys: [-key for key in keys]) == [-1, -2, -3]
