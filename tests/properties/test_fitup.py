"""What must not change a frame's templates, and what must mirror them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.fitup import solve
from geometry.frame import End, Frame, Plane, Stock, Tube
from geometry.place import At
from geometry.section import BoxSection, RoundTube
from tests.cases import examples
from tests.frames import cuts_of

STOCK = {
    "main": Stock(RoundTube(38.1, 2.0)),
    "thin": Stock(RoundTube(25.0, 1.5)),
    "box": Stock(BoxSection(50.0, 30.0, 3.0, 4.5)),
}
SQUARE = End("square")
POINTS = {
    "a": (0, 150, 0), "b": (400, 160, 20), "c": (700, 120, 260), "d": (0, -150, 0), "e": (400, -140, 10),
    "f": (210, 155, 10.5), "g": (190, -145, 4.75), "h": (300, 20, 400), "i": (305, 157.625, 15.25),
    "j": (650, 130, 210), "k": (520, -100, 300), "top": (300, 20, 520),
}  # fmt: skip
TUBES = (
    Tube("rail", "main", ("a", "b", "c"), (120.0,), (SQUARE, End("square", extra=8.0))),
    Tube("other", "main", ("d", "e"), (), (SQUARE, SQUARE)),
    Tube("cross", "thin", ("f", "g"), (), (End(), End(root_gap=0.5))),
    Tube("post", "main", ("h", "top"), (), (SQUARE, SQUARE)),
    Tube("stay", "box", ("i", "h"), (), (End(extra=1.0), End("cope", "square-cut")), roll_deg=20.0),
    Tube("brace", "thin", ("j", "k"), (), (End("cope", "square-cut"), End("plane", plane=Plane((0, 0, 300.0))))),
)  # fmt: skip


def frame(points=POINTS, tubes=TUBES):
    return Frame("f", STOCK, {name: At(*place) for name, place in points.items()}, tubes)


PLAIN = solve(frame())


def line_at(cut, places):
    return np.interp(places % cut.at.part.outline.girth, cut.round_mm, cut.heights)


def same(one, two, *, mirrored=False):
    girth = one.at.part.outline.girth
    places = np.linspace(0, girth, 400)[1:-1]
    other = line_at(two, girth - places if mirrored else places)
    # Two polylines of one curve, each within the chord tolerance; a jump may stand a hair aside.
    away = np.abs(line_at(one, places) - other)
    assert np.quantile(away, 0.98) < 0.05
    assert one.long_point == pytest.approx(two.long_point, abs=1e-6)
    assert one.short_point == pytest.approx(two.short_point, abs=1e-6)
    assert one.angle_deg == pytest.approx(two.angle_deg, abs=1e-9)
    assert abs(one.offset) == pytest.approx(abs(two.offset), abs=1e-9)


def test_the_frame_is_solved():
    assert [finding.code for finding in PLAIN.findings] == []
    assert len(cuts_of(PLAIN)) == 12


@examples(25)
@given(st.floats(-math.pi, math.pi), st.tuples(*[st.floats(-900, 900)] * 3))
def test_moving_and_turning_about_the_upright_leaves_every_template(turn, shift):
    """About any other axis what faces up changes, and with it the datum."""
    cosine, sine = math.cos(turn), math.sin(turn)
    moved = {
        name: (cosine * x - sine * y + shift[0], sine * x + cosine * y + shift[1], z + shift[2])
        for name, (x, y, z) in POINTS.items()
    }
    lifted = End("plane", plane=Plane((0, 0, 300.0 + shift[2])))
    tubes = (*TUBES[:-1], replace(TUBES[-1], ends=(TUBES[-1].ends[0], lifted)))
    after = cuts_of(solve(frame(moved, tubes)))
    before = cuts_of(PLAIN)
    assert after.keys() == before.keys()
    for key, cut in before.items():
        # An upright tube's datum faces forward, and turns with nothing.
        if key[0] != "post":
            same(cut, after[key])


def test_mirroring_mirrors_every_template():
    mirrored = {name: (x, -y, z) for name, (x, y, z) in POINTS.items()}
    tubes = tuple(replace(tube, roll_deg=-tube.roll_deg) for tube in TUBES)
    after = cuts_of(solve(frame(mirrored, tubes)))
    for key, cut in cuts_of(PLAIN).items():
        same(cut, after[key], mirrored=True)


def test_a_handed_tubes_other_hand_is_its_mirror_image():
    points = {**POINTS, "p": (120, 152, 6), "q": (150, 60, 330), "left": (120, 152, 6)}
    rail = replace(TUBES[0], handed=True)
    stay = Tube("side", "thin", ("p", "q"), (), (End(), SQUARE), handed=True)
    strut = Tube("strut", "box", ("p", "q"), (), (End(), End("plane", plane=Plane((0, 40.0, 0), (0, 1.0, 0.5)))),
                 handed=True, roll_deg=25.0)  # fmt: skip
    strutted = cuts_of(solve(frame(points, (rail, strut))))
    for end in ("start", "finish"):
        same(strutted["strut left", end], strutted["strut right", end], mirrored=True)
    fitted = cuts_of(solve(frame(points, (rail, stay))))
    for end in ("start", "finish"):
        same(fitted["side left", end], fitted["side right", end], mirrored=True)
        same(fitted["rail left", end], fitted["rail right", end], mirrored=True)
    assert fitted["side left", "start"].onto == ("rail left",)
    assert fitted["side right", "start"].onto == ("rail right",)


def test_names_and_the_order_of_what_does_not_meet_change_nothing():
    tubes = (TUBES[1], TUBES[0], *TUBES[2:])
    renamed = tuple(replace(tube, name=f"x {tube.name}") for tube in tubes)
    after = cuts_of(solve(frame(POINTS, renamed)))
    for (name, end), cut in cuts_of(PLAIN).items():
        other = after[f"x {name}", end]
        np.testing.assert_array_equal(cut.heights, other.heights)
        np.testing.assert_array_equal(cut.round_mm, other.round_mm)


def test_the_later_tube_is_cut_to_the_earlier_one():
    tubes = [Tube("one", "main", ("a", "b")), Tube("two", "main", ("p", "q"))]
    points = {**POINTS, "p": (200, 155, 10), "q": (200, 155, 300)}
    square = (SQUARE, SQUARE)
    first = solve(
        frame(points, (replace(tubes[0], ends=square), replace(tubes[1], ends=(End(), SQUARE))))
    )
    assert cuts_of(first)["two", "start"].onto == ("one",)
    second = solve(
        frame(points, (replace(tubes[1], ends=(End(), SQUARE)), replace(tubes[0], ends=square)))
    )
    assert [finding.code for finding in second.findings] == ["end-not-cut"]
    assert "would sit on one, which goes into the jig after it" in second.findings[0].what


@pytest.mark.parametrize("name", ["cross", "stay"])
@pytest.mark.parametrize("wrong_deg", [0.0, 1.0])
def test_both_wraps_of_a_straight_tube_lie_on_one_datum_line(name, wrong_deg):
    """Rolled on from the one scribed line, both ends seat; clocked a degree off, one does not.

    The wrap is read as paper: a distance round and a height, with nothing of the solver's own frames; the
    tube is set up from its datum (up) and its two work points alone.
    """
    (one,) = [one for one in PLAIN.parts if one.part.name == name]
    start, finish = one.cuts
    path, section = one.part.path, one.part.section
    way = path.directions[0]
    up = one.part.up if name == "stay" else np.array([0, 0, 1.0]) - way[2] * way
    up /= np.linalg.norm(up)
    worst = 0.0
    for cut, axis in ((start, -way), (finish, way)):
        round_mm = cut.round_mm + math.radians(wrong_deg) * cut.at.part.outline.girth / math.tau
        flat = cut.at.part.outline.at(round_mm)
        third = np.cross(axis, up)
        points = (
            cut.origin
            + flat[:, :1] * up
            + flat[:, 1:] * third
            + (cut.heights - cut.at.end.extra)[:, None] * axis
        )
        targets = [p.part for p in PLAIN.parts if p.part.name in cut.onto]
        if cut.fit == "square-cut":
            continue
        away = []
        for point in points[:: max(len(points) // 60, 1)]:
            entries = [
                float(
                    piece.grown(cut.at.end.root_gap).entries(point[None] - 5 * axis, axis, -20.0)[0]
                )
                for part in targets
                for piece in part.pieces
            ]
            if math.isfinite(min(entries)):
                away.append(abs(min(entries) - 5.0))
        worst = max(worst, float(np.quantile(away, 0.9)))
    assert (worst < 1e-6) if wrong_deg == 0 else (worst > 0.05)
    assert isinstance(section, RoundTube | BoxSection)


@pytest.mark.parametrize("degrees", [0, 20, 45, 90])
def test_what_crosses_a_tube_far_from_its_end_is_no_target_however_the_frame_is_turned(degrees):
    turn = math.radians(degrees)

    def at(x, y, z):
        return At(
            math.cos(turn) * x - math.sin(turn) * z, y, math.sin(turn) * x + math.cos(turn) * z
        )

    points = {"a": at(0, -300, 0), "b": at(0, 300, 0), "p": at(-450, 0, -700), "q": at(-450, 0, 700), "r": at(-1200, 0, 0),
              "s": at(0, 0, 0)}  # fmt: skip
    tubes = (Tube("rail", "main", ("a", "b"), (), (SQUARE, SQUARE)), Tube("post", "main", ("p", "q"), (), (SQUARE, SQUARE)),
             Tube("branch", "thin", ("r", "s"), (), (SQUARE, End())))  # fmt: skip
    cut = cuts_of(solve(Frame("f", STOCK, points, tubes)))["branch", "finish"]
    assert cut.onto == ("rail",)
    assert cut.long_point == pytest.approx(-math.sqrt(19.05**2 - 12.5**2))


def test_a_negative_zero_is_a_zero():
    """What is kept by value cannot tell them apart, and numbers in print could."""
    for zero in (0.0, -0.0):
        solved = solve(frame({**POINTS, "a": (zero, 150, zero)}))
        x, _, z = solved.parts[0].part.path.vertices[0]
        assert math.copysign(1.0, x) == math.copysign(1.0, z) == 1.0


def test_a_line_that_only_touches_does_not_run_on_to_what_is_behind():
    """Two tubes as thick as each other: the lines at both sides just touch, and rounding must not let them by."""
    square = (End("square"), End("square"))
    points = {
        "p": At(-381, 0, 153), "q": At(381, 0, -89), "r": At(-397, 0, -46), "s": At(397, 0, 46),
        "t": At(-41, 0, -400), "u": At(0, 0, 16),
    }  # fmt: skip
    stock = {"a": Stock(RoundTube(25.0, 2.0)), "b": Stock(RoundTube(38.1, 2.0))}
    front, branch = (
        Tube("front", "a", ("r", "s"), (), square),
        Tube("t", "a", ("t", "u"), (), (End("square"), End())),
    )
    with_back = solve(
        Frame("f", stock, points, (Tube("back", "b", ("p", "q"), (), square), front, branch))
    ).parts[2]
    alone = solve(Frame("f", stock, points, (front, branch))).parts[1]
    assert with_back.cuts[1].long_point == pytest.approx(0.0, abs=1e-4)
    assert with_back.cut_length == pytest.approx(alone.cut_length, abs=1e-4)
