"""A returned tube: the centreline its measurements make, how it is laid, and what fits it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from app.document.frame_file import frame_bytes, open_frame, read_frame
from geometry.as_bent import AsBent, looks_mirrored, returned
from geometry.as_bent_checks import as_drawn, built_in
from geometry.as_bent_place import best_turn
from geometry.bend import BendRow, bend_table, path_from_table
from geometry.errors import CopewrightError
from geometry.fitup import solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.path import Path
from geometry.place import Along, At, MirrorOf
from geometry.section import RoundTube
from templates_out.frame_result import solve_frame
from tests.cases import examples, paths
from tests.properties.test_bend import walked
from tests.test_import_rule import ROOT


def made(case):
    rows, last = case
    return path_from_table(rows, last, (10.0, -20.0, 5.0), (0.3, -0.5, 0.8), (1.0, 1.0, 0.2))


@examples(200)
@given(paths(), st.data())
def test_measured_as_drawn_it_lies_where_it_is_drawn(case, data):
    path = made(case)
    rows = bend_table(path)
    measured = AsBent(
        angles=tuple(row.angle_deg for row in rows),
        straights=path.straights,
        rotations=(None, *(row.rotation_deg for row in rows[1:])),
        radii=path.radii,
        hold=data.draw(st.sampled_from(["all", "start", "finish"])),
    )
    came = returned(path, measured)
    assert np.abs(came.off).max() < 1e-5
    assert came.steel == pytest.approx((0.0, 0.0), abs=1e-9)
    assert came.left_over == (0.0, 0.0)


@examples(200)
@given(paths(), st.data())
def test_the_real_centreline_is_the_chain_of_what_was_measured(case, data):
    """Against scipy's rotations: same distances between all points, and the same hand."""
    path = made(case)
    rows = bend_table(path)
    off = [data.draw(st.floats(-2.0, 2.0)) for _ in rows]
    turns = [data.draw(st.floats(-2.0, 2.0)) for _ in rows]
    real = tuple(
        replace(
            row,
            length=row.length + (3.0 if index else 0.0),
            angle_deg=row.angle_deg + off[index],
            rotation_deg=row.rotation_deg + turns[index] if index else 0.0,
        )
        for index, row in enumerate(rows)
    )
    assume(all(1 < row.angle_deg < 179 and abs(row.rotation_deg) <= 180 for row in real))
    measured = AsBent(
        angles=tuple(row.angle_deg for row in real),
        straights=(None, *(row.length for row in real[1:]), None),
        rotations=(None, *(row.rotation_deg for row in real[1:])),
    )
    came = returned(path, measured)
    expected = walked(real, path.straights[-1])
    points = np.array(came.path.vertices)
    turn, _ = Rotation.align_vectors(points - points.mean(axis=0), expected - expected.mean(axis=0))
    again = turn.apply(expected - expected.mean(axis=0)) + points.mean(axis=0)
    assert np.abs(again - points).max() < 1e-5
    # Laid by least squares: scipy's own best turn onto the drawing leaves the same distances.
    drawn = np.array(path.vertices)
    best, _ = Rotation.align_vectors(drawn - drawn.mean(axis=0), expected - expected.mean(axis=0))
    left = best.apply(expected - expected.mean(axis=0)) + drawn.mean(axis=0) - drawn
    assert (came.off**2).sum() == pytest.approx((left**2).sum(), rel=1e-6, abs=1e-8)


@examples(100)
@given(st.integers(3, 8), st.integers(0, 2**32 - 1))
def test_the_best_turn_is_scipys(count, seed):
    chance = np.random.default_rng(seed)
    points, wanted = chance.normal(size=(2, count, 3)) * 100
    turn, _ = Rotation.align_vectors(wanted - wanted.mean(axis=0), points - points.mean(axis=0))
    assert best_turn(points, wanted) == pytest.approx(turn.as_matrix(), abs=1e-7)


THREE = Path(((0, 0, 0), (500, 0, 0), (700, 300, 0), (900, 350, 400), (900, 800, 500)), (90.0, 90.0, 90.0))  # fmt: skip


@pytest.mark.parametrize("share", [0.97, 1.0, 1.02])
@pytest.mark.parametrize("twist", [-3.0, 0.0, 2.5])
def test_ends_distance_and_height_tell_a_common_share_and_twist(share, twist):
    """What they must be is worked out by scipy's rotations, from the share and the twist."""
    # The bar keeps its length: what a bend is shorter, the straight after it is longer.
    drawn = bend_table(THREE)
    spared = [row.clr * math.radians(row.angle_deg) * (1 - share) for row in drawn]
    rows = [
        replace(
            row, length=row.length + (spared[i - 1] if i else 0.0), angle_deg=row.angle_deg * share,
            rotation_deg=row.rotation_deg + twist * (i > 0),
        )
        for i, row in enumerate(drawn)
    ]  # fmt: skip
    points = walked(rows, THREE.straights[-1] + spared[-1])
    way = points[-1] - points[0]
    first, second = points[1] - points[0], points[2] - points[1]
    up = np.cross(first, second)
    measured = AsBent(apart=float(np.linalg.norm(way)), height=float(way @ up / np.linalg.norm(up)))
    came = returned(THREE, measured)
    assert came.share == pytest.approx(share, abs=1e-7)
    assert came.twist_deg == pytest.approx(twist, abs=1e-4)
    assert [row.angle_deg for row in came.rows] == pytest.approx([row.angle_deg for row in rows])


def test_a_distance_beside_measured_angles_is_a_check_on_them():
    rows = bend_table(THREE)
    angles = tuple(row.angle_deg for row in rows)
    apart = math.dist(THREE.vertices[0], THREE.vertices[-1])
    came = returned(THREE, AsBent(angles=angles, apart=apart - 4.0))
    assert came.share == 1.0
    assert came.left_over == pytest.approx((4.0, 0.0))


def test_end_straights_say_how_much_steel_there_is_and_move_nothing():
    straights = (THREE.straights[0] + 12.0, None, None, THREE.straights[-1] - 3.0)
    came = returned(THREE, AsBent(straights=straights))
    assert came.steel == pytest.approx((12.0, -3.0))
    assert came.off.max() < 1e-9


@pytest.mark.parametrize("hold", ["start", "finish"])
def test_held_at_an_end_its_straight_and_bend_lie_as_drawn(hold):
    came = returned(THREE, AsBent(angles=(None, 50.0, None), hold=hold))
    if hold == "start":
        assert came.off[:2].max() < 1e-9
        assert came.off[-1] > 5
    else:
        assert came.off[-2:].max() < 1e-9
        assert came.off[0] > 5


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        ({"angles": (90.0,)}, "has 1 angle; it needs 3"),
        ({"straights": (1.0, 2.0, 3.0)}, "has 3 straights; it needs 4"),
        ({"rotations": (5.0, 1.0, 2.0)}, "rotation before bend 1 is 5°"),
        ({"apart": 100.0}, "explains its ends"),
    ],
)
def test_measurements_of_another_tube_are_refused(measured, words):
    with pytest.raises(CopewrightError, match=words):
        returned(THREE, AsBent(**measured))
    with pytest.raises(CopewrightError, match="only a bent one"):
        returned(Path(((0, 0, 0), (9, 0, 0)), ()), AsBent())
    with pytest.raises(CopewrightError, match="height says nothing"):
        returned(Path(((0, 0, 0), (500, 0, 0), (700, 300, 0)), (90.0,)), AsBent(height=3.0))


def bench(**rail):
    """A bent rail on the floor, handed, and straight tubes onto it."""
    stock = {"main": Stock(RoundTube(38.1, 2.0)), "thin": Stock(RoundTube(25.0, 1.5))}
    points = {
        "a": At(0, 300, 0), "b": At(600, 300, 0), "c": At(900, 500, 50), "d": At(1300, 500, 400),
        "on": Along("rail", distance=200.0), "off": MirrorOf("on"), "up": At(1150, 470, 700), "low": At(1100, 500, 225),
    }  # fmt: skip
    square = End("square")
    tubes = (
        Tube("rail", "main", ("a", "b", "c", "d"), (120.0, 120.0), (square, square), handed=True, **rail),
        Tube("cross", "thin", ("on", "off"), (), (End(onto=("rail left",)), End(onto=("rail right",)))),
        Tube("post", "thin", ("up", "low"), (), (square, End(onto=("rail",))), handed=True),
    )  # fmt: skip
    return Frame("bench", stock, points, tubes)


def test_only_the_hand_that_was_measured_is_bent_otherwise_and_only_if_it_is_used():
    drawn = solve(bench())
    for use in (False, True):
        measured = AsBent("left", angles=(None, 55.0), use=use)
        real = solve(bench(as_bent=(measured,)))
        for before, after in zip(drawn.parts, real.parts, strict=True):
            same = before.part.path == after.part.path
            assert same is not (use and after.part.name in ("rail left", "cross")), after.part.name


def test_a_point_on_the_tube_lies_on_the_real_one():
    measured = AsBent("left", angles=(None, 55.0), use=True)
    parts = {one.part.name: one.part for one in solve(bench(as_bent=(measured,))).parts}
    rail, cross = parts["rail left"].path, np.array(parts["cross"].path.vertices[0])
    along = float((cross - np.array(rail.vertices[0])) @ rail.directions[0])
    assert along == pytest.approx(200.0)
    assert np.abs(np.cross(cross - np.array(rail.vertices[0]), rail.directions[0])).max() < 1e-9


def test_the_drawing_for_the_bender_stays_the_nominal_one():
    drawn = solve_frame(bench())
    real = solve_frame(bench(as_bent=(AsBent("left", angles=(None, 50.0), use=True),)))
    assert real.bends["rail left"].rows == drawn.bends["rail left"].rows
    assert real.bends["rail left"].job == drawn.bends["rail left"].job


def test_it_survives_the_file():
    frame = bench(
        as_bent=(
            AsBent("left", (None, 55.0), (1.0, None, 3.0), (None, 4.0), (121.0, None), 900.0, -3.0, "start", True),
            AsBent("right", (38.0, None)),
        ),
        trim=(20.0, 0.0),
    )  # fmt: skip
    assert read_frame(frame_bytes(frame)) == frame


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"as_bent": (AsBent(),)}, "left and right"),
        ({"as_bent": (AsBent("left"), AsBent("left"))}, "twice"),
        ({"trim": (-1.0, 0.0)}, "trim at the start"),
    ],
)
def test_what_is_no_tube_is_refused(values, words):
    with pytest.raises(CopewrightError, match=words):
        bench(**values)


def test_two_degrees_short_in_the_motorcycle(tmp_path):
    """Bend 2 of the left main rail 2 degrees short: cuts move, the other side's stay."""
    frame = open_frame(ROOT / "sample_projects" / "single-cylinder" / "single-cylinder.frame")
    rail = frame.tube("main rail")
    path = next(one.part.path for one in solve(frame).parts if one.part.name == "main rail left")
    short = bend_table(path)[1].angle_deg - 2.0
    measured = AsBent("left", angles=(None, short, None), use=True)
    tubes = tuple(replace(t, as_bent=(measured,)) if t is rail else t for t in frame.tubes)
    real = replace(frame, tubes=tubes)
    assert as_drawn(real) == frame
    assert built_in(real, "main rail", "left", True) == real
    fitted = solve(real)
    assert not [f for f in fitted.findings if f.level == "error"]
    for before, after in zip(solve(frame).parts, fitted.parts, strict=True):
        if "right" in after.part.name:
            assert before.part.path == after.part.path


def test_a_perfect_tube_measured_between_its_bars_ends_is_as_drawn():
    """The bar ends 12.2 mm before the path does: that distance is measured, and not the path's."""
    drawn = bend_table(THREE)
    beyond = (-12.2, 7.0)
    rows = (replace(drawn[0], length=drawn[0].length + beyond[0]), *drawn[1:])
    points = walked(rows, THREE.straights[-1] + beyond[1])
    apart = float(np.linalg.norm(points[-1] - points[0]))
    came = returned(THREE, AsBent(apart=apart, beyond=beyond))
    assert came.share == pytest.approx(1.0, abs=1e-9)
    assert returned(THREE, AsBent(apart=apart)).share != pytest.approx(1.0, abs=1e-4)
    # An end straight that was measured says it better.
    straights = (drawn[0].length + beyond[0], None, None, THREE.straights[-1] + beyond[1])
    came = returned(THREE, AsBent(apart=apart, straights=straights, beyond=(99.0, 99.0)))
    assert came.share == pytest.approx(1.0, abs=1e-9)


def test_both_hands_reach_a_bent_tube_on_the_centre_plane_where_it_really_is():
    """A backbone that came back with a turn to the left: the right strut is as much longer as the left is shorter."""
    stock = {"main": Stock(RoundTube(38.1, 2.0)), "thin": Stock(RoundTube(25.0, 1.5))}
    points = {
        "a": At(0, 0, 500), "b": At(400, 0, 500), "c": At(700, 0, 300), "d": At(900, 0, 300),
        "on": Along("backbone", distance=-60.0), "out": At(800, 250, 300),
    }  # fmt: skip
    measured = AsBent("", rotations=(None, 165.0), hold="start", use=True)
    backbone = Tube("backbone", "main", ("a", "b", "c", "d"), (120.0, 120.0), as_bent=(measured,))
    strut = Tube(
        "strut", "thin", ("out", "on"), (), (End("square"), End(onto=("backbone",))), handed=True
    )
    parts = {
        one.part.name: one for one in solve(Frame("f", stock, points, (backbone, strut))).parts
    }
    ends = {
        hand: np.array(parts[f"strut {hand}"].part.path.vertices[-1]) for hand in ("left", "right")
    }
    assert abs(ends["left"][1]) > 2.0
    assert ends["left"] == pytest.approx(ends["right"])
    assert parts["strut left"].cuts[1].offset == pytest.approx(0.0, abs=1e-6)
    assert parts["strut right"].cuts[1].offset == pytest.approx(0.0, abs=1e-6)


def test_each_figure_counts():
    rows = bend_table(THREE)
    radii = (THREE.radii[0] + 2.0, None, THREE.radii[2] - 3.0)
    came = returned(THREE, AsBent(radii=radii))
    assert [row.clr for row in came.rows] == [radii[0], THREE.radii[1], radii[2]]
    turned = returned(THREE, AsBent(rotations=(None, rows[1].rotation_deg + 3.0, None)))
    assert turned.rows[1].rotation_deg == pytest.approx(rows[1].rotation_deg + 3.0)
    apart, height = math.dist(THREE.vertices[0], THREE.vertices[-1]), 7.0
    angles = tuple(row.angle_deg for row in rows)
    rotations = (None, *(row.rotation_deg for row in rows[1:]))
    over = returned(
        THREE, AsBent(angles=angles, rotations=rotations, apart=apart - 3.0, height=height)
    )
    up = np.cross(THREE.directions[0], THREE.directions[1])
    drawn = float((np.array(THREE.vertices[-1]) - THREE.vertices[0]) @ up / np.linalg.norm(up))
    assert over.left_over == pytest.approx((3.0, drawn - height))
    with pytest.raises(CopewrightError, match="ends apart"):
        AsBent(apart=-1.0)


def test_a_rotation_past_half_a_turn_comes_round():
    rows = (BendRow(200, 0, 40, 90), BendRow(200, 179, 40, 90), BendRow(200, 20, 50, 90))
    path = path_from_table(rows, 200)
    twisted = [
        replace(row, rotation_deg=row.rotation_deg + 2.0 * (i > 0)) for i, row in enumerate(rows)
    ]
    points = walked(twisted, 200.0)
    up = np.cross(points[1] - points[0], points[2] - points[1])
    height = float((points[-1] - points[0]) @ up / np.linalg.norm(up))
    came = returned(path, AsBent(height=height))
    assert came.twist_deg == pytest.approx(2.0, abs=1e-4)
    assert came.rows[1].rotation_deg == pytest.approx(-179.0, abs=1e-4)


def test_a_tube_that_measures_like_its_opposite_hand():
    rows = bend_table(THREE)
    image = AsBent(rotations=(None, *(-row.rotation_deg for row in rows[1:])))
    assert looks_mirrored(THREE, image)
    assert not looks_mirrored(
        THREE, AsBent(rotations=(None, *(row.rotation_deg for row in rows[1:])))
    )
    assert not looks_mirrored(THREE, AsBent(angles=(None, 50.0, None)))
    up = np.cross(THREE.directions[0], THREE.directions[1])
    height = float((np.array(THREE.vertices[-1]) - THREE.vertices[0]) @ up / np.linalg.norm(up))
    assert looks_mirrored(THREE, AsBent(height=-height))
    assert not looks_mirrored(THREE, AsBent(height=height))
