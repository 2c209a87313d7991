"""A returned tube against its drawing: what is said of it, and which ends that are cut to the drawing still seat."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from geometry.as_bent import AsBent, returned
from geometry.as_bent_bar import open_limit
from geometry.as_bent_checks import built_in, seats
from geometry.as_bent_words import deviation_words
from geometry.bend import BendRow, bend_table, path_from_table
from geometry.fitup import solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.path import Path
from geometry.place import At
from geometry.section import RoundTube
from templates_out.frame_result import solve_frame
from tests.geometry.test_as_bent import bench


def test_how_far_an_end_cut_to_the_drawing_stands_open():
    """The rail's last straight lies 3 mm lower along the post: that is the gap, all round."""
    frame = bench()
    fitted = solve(frame)
    post = next(one for one in fitted.parts if one.part.name == "post left")
    way = post.part.path.directions[0]
    rail = fitted.parts[0].part
    moved = Path(
        tuple(tuple(float(x) for x in np.array(v) + 3.0 * way) for v in rail.path.vertices),
        rail.path.radii,
    )
    names = dict(zip("abcd", (At(*v) for v in moved.vertices), strict=True))
    lower = solve(replace(frame, points={**frame.points, **names}))
    found = {seat.where: seat for seat in seats(fitted, lower, "rail left")}
    seat = found["post left, finish"]
    assert seat.gap == pytest.approx(3.0, abs=1e-4)
    assert seat.excess == 0.0
    assert not seat.seats
    assert seat.limit == pytest.approx(0.8)
    back = {one.where: one for one in seats(lower, fitted, "rail left")}["post left, finish"]
    assert (back.gap, back.excess) == pytest.approx((0.0, 3.0), abs=1e-4)


def test_the_limit_is_the_published_one():
    """EN 25817 and ISO 5817 no. 617, level C: 0.5 mm + 0.2 a, at most 3 mm; 0.9 for a of 2."""
    assert open_limit(2.0) == pytest.approx(0.9)
    assert open_limit(30.0) == 3.0


def findings(trim=(0.0, 0.0), **measured):
    result = solve_frame(bench(trim=trim, as_bent=(AsBent("left", **measured),)))
    return {f.code: f for f in result.findings if f.where.startswith("rail left")}


def test_what_is_said_of_a_returned_tube():
    bad = findings(angles=(None, 50.0))["as-bent"]
    assert bad.level == "warning"
    drawn = bend_table(solve(bench()).parts[0].part.path)[1].angle_deg
    assert f"bend 2 is {50 - drawn:.1f}° over, class B allows 0.75°" in bad.what
    assert "would not seat" in bad.what
    good = findings(
        angles=(bend_table(solve(bench()).parts[0].part.path)[0].angle_deg + 0.03, None)
    )
    assert good["as-bent"].level == "note"
    assert "still fits" in good["as-bent"].do
    used = findings(angles=(None, 50.0), use=True)["as-bent"]
    assert used.level == "note"
    assert "used as it is" in used.do


def test_doubts_and_missing_steel_are_findings():
    drawn = solve(bench()).parts[0].part.path
    angles = tuple(row.angle_deg for row in bend_table(drawn))
    assert "measure" in findings(angles=angles, apart=900.0)["as-bent-doubt"].do.lower()
    assert "as-bent-length" not in findings(angles=(30.0, None))
    grown = findings(straights=(None, drawn.straights[1] + 4.0, None))["as-bent-length"]
    assert "begins 4.0 mm farther from its first one" in grown.what
    short = findings(straights=(None, None, drawn.straights[-1] - 5.0))
    assert "5.0 mm before the long point" in short["as-bent-short"].what
    assert findings(angles=(1.0,))["as-bent-wrong"].level == "error"


def test_end_straights_are_judged_and_a_bar_does_not_grow():
    """By hand: both ends 3 mm longer, and the rest as drawn, is a bar of 6 mm more."""
    first, middle, last = solve(bench()).parts[0].part.path.straights
    both = findings(straights=(first + 3.0, None, last + 3.0))
    said = "straight 1 is 3.0 mm over, to be sawn off, straight 3 is 3.0 mm over, to be sawn off"
    assert said in both["as-bent"].what
    bar = solve(bench()).parts[0].part.path.developed_length
    assert "6.0 mm longer along its centreline" in both["as-bent-bar"].what
    assert f"the bar of {bar:.1f} mm" in both["as-bent-bar"].what
    assert f"straight 2, which is taken as {middle:.1f} mm" in both["as-bent-bar"].do
    whole = findings(straights=(first + 3.0, middle - 6.0, last + 3.0))
    assert "as-bent-bar" not in whole
    short = findings(straights=(first - 3.0, middle, last - 3.0))
    assert "straight 1 is 3.0 mm under" in short["as-bent"].what
    assert "6.0 mm shorter" in short["as-bent-bar"].what
    assert short["as-bent-bar"].do.startswith("Measure the straights again")
    assert short["as-bent"].do.startswith("It is too short for its cuts")
    # Spare bar that was sawn off before it was measured is no fault.
    sawn = findings((30.0, 40.0), straights=(first + 10.0, middle, last))
    assert (
        "20.0 mm of the spare bar at straight 1 is off already, 40.0 mm of the spare bar at straight 3 is off already"
        in sawn["as-bent"].what
    )
    assert "as-bent-bar" not in sawn
    assert "as-bent-short" not in sawn
    assert "still fits" in sawn["as-bent"].do
    # One end alone says nothing of the bar: the other may be as much shorter.
    assert "as-bent-bar" not in findings(straights=(first + 16.0, None, None))


def test_a_tube_that_hangs_on_the_returned_one_is_too_long_for_it():
    """Both rails come 4 mm nearer to the middle: a cross tube cut to the drawing is 8 mm too long."""
    frame = bench()
    fitted = solve(frame)
    nearer = {
        name: replace(at, y=at.y - 4.0)
        for name, at in frame.points.items()
        if isinstance(at, At) and name in "abcd"
    }
    real = solve(replace(frame, points={**frame.points, **nearer}))
    found = {seat.where: seat for seat in seats(fitted, real, "rail left")}
    for end in ("start", "finish"):
        assert found[f"cross, {end}"].excess == pytest.approx(4.0, abs=1e-3)
        assert not found[f"cross, {end}"].seats


def test_a_cross_tube_that_only_slides_along_still_fits():
    """One rail 4 mm farther out, the other as much nearer: the tube between them slides."""
    frame = bench()
    fitted = solve(frame)
    post = {one.part.name: one for one in fitted.parts}["cross"]
    moved = replace(
        post.part, path=Path(tuple((x, y + 4.0, z) for x, y, z in post.part.path.vertices), ())
    )
    real = replace(
        fitted,
        parts=tuple(replace(one, part=moved) if one is post else one for one in fitted.parts),
    )
    found = {seat.where: seat for seat in seats(fitted, real, "rail left")}
    assert found["cross, start"].seats
    assert "cross, finish" not in found


def test_the_limit_is_the_thinner_walls():
    frame = bench()
    frame = replace(frame, stock={**frame.stock, "main": Stock(RoundTube(38.1, 1.0))})
    fitted = solve(frame)
    limits = {seat.where: seat.limit for seat in seats(fitted, fitted, "rail left")}
    assert limits["post left, finish"] == pytest.approx(open_limit(1.0))


def test_what_is_off_is_said_with_its_side_and_the_tolerance():
    path = path_from_table((BendRow(300, 0, 60, 100), BendRow(300, 40, 60, 100)), 300)
    rows = bend_table(path)

    def said(**measured):
        return deviation_words(returned(path, AsBent(**measured)), "B")

    assert said(angles=(60.5, None)) == "bend 1 is 0.5° over, straight 2 is 0.9 mm under"
    assert "bend 1 is 1.0° over, class B allows 0.75°" in said(angles=(61.0, None))
    assert "bend 2 is 1.0° short, class B allows 0.75°" in said(angles=(None, 59.0))
    assert "rotation before bend 2 is 2.0° clockwise, class B" in said(rotations=(None, 42.0))
    assert "rotation before bend 2 is 0.6° anticlockwise" in said(rotations=(None, 39.4))
    assert (
        said(straights=(None, rows[1].length + 3.0, None))
        == "straight 2 is 3.0 mm over, class B allows 2 mm"
    )
    assert "radius 2 is 1.5 mm under" in said(radii=(None, 98.5))
    assert said(angles=(60.0, 60.0)) == ""


def test_lines_that_only_just_miss_do_not_count_as_a_gap():
    """A tube as wide as what it sits on: a hair to the side, and some of its lines go on into the open."""
    stock = {"main": Stock(RoundTube(25.4, 2.0))}
    points = {"a": At(-300, 0, 0), "b": At(300, 0, 0), "c": At(0, 0, 300), "d": At(0, 0, 0)}
    tubes = (
        Tube("rail", "main", ("a", "b"), (), (End("square"), End("square"))),
        Tube("post", "main", ("c", "d"), (), (End("square"), End(onto=("rail",)))),
    )
    drawn = solve(Frame("f", stock, points, tubes))
    aside = solve(Frame("f", stock, {**points, "c": At(0, 0.1, 300), "d": At(0, 0.1, 0)}, tubes))
    (seat,) = [s for s in seats(drawn, aside, "post") if s.where == "post, finish"]
    assert aside.parts[1].cuts[1].missing > 0
    assert seat.gap < 3.0


def mitred(**loop):
    """Two legs and a bent bow mitred between them."""
    stock = {"main": Stock(RoundTube(28.0, 2.0))}
    points = {
        "low": At(0, 200, 0), "top": At(0, 200, 400), "bow": At(-300, 200, 500), "bow right": At(-300, -200, 500),
        "top right": At(0, -200, 400), "low right": At(0, -200, 0),
    }  # fmt: skip
    joint = {"cut": "mitre"}
    tubes = (
        Tube("leg", "main", ("low", "top"), (), (End("square"), End(other="bow", **joint))),
        Tube("other leg", "main", ("low right", "top right"), (), (End("square"), End(other="bow", **joint))),
        Tube("bow", "main", ("top", "bow", "bow right", "top right"), (90.0, 90.0),
             (End(other="leg", **joint), End(other="other leg", **joint)), **loop),
    )  # fmt: skip
    return Frame("f", stock, points, tubes)


def test_a_mitre_that_is_set_off_does_not_seat():
    """By plain vectors: how far the bow's real end passes beside the leg, and how far it stands open there."""
    drawn = bend_table(solve(mitred()).parts[2].part.path)
    measured = AsBent("", angles=(drawn[0].angle_deg - 2.0, None), use=True)
    fitted, real = solve(mitred()), solve(mitred(as_bent=(measured,)))
    found = {seat.where: seat for seat in seats(fitted, real, "bow")}
    path = real.parts[2].part.path
    off = np.array(path.vertices[0]) - (0, 200, 400)
    beside = np.linalg.norm(off - (off @ path.directions[0]) * path.directions[0])
    seat = found["bow, start"]
    assert seat.step == pytest.approx(beside, rel=1e-6)
    assert seat.step > 2.0
    assert not seat.seats
    # The whole joint's figure stands at both of its ends.
    other = found["leg, finish"]
    assert (other.gap, other.excess) == pytest.approx((seat.gap, seat.excess))
    codes = {f.code for f in solve_frame(mitred(as_bent=(measured,))).findings}
    assert "mitre-offset" in codes
    assert "mitre-uneven" not in codes


def test_a_mitre_that_only_opens_has_its_whole_gap_counted():
    """The bow set 1 mm away along the leg: the joint is 1 mm longer, and that is what stands open."""
    fitted = solve(mitred())
    points = {
        **mitred().points,
        "top": At(0, 200, 401),
        "top right": At(0, -200, 401),
        "bow": At(-300, 200, 501),
        "bow right": At(-300, -200, 501),
    }
    (leg, *_) = fitted.parts
    lifted = solve(replace(mitred(), points=points))
    seat = {s.where: s for s in seats(fitted, lifted, "bow")}["leg, finish"]
    assert seat.gap == pytest.approx(1.0, abs=1e-3)
    assert leg.cuts[1].kind == "mitre"


def test_an_error_known_only_from_the_ends_is_said_to_be_spread():
    drawn = solve(bench()).parts[0].part.path
    apart = math.dist(drawn.vertices[0], drawn.vertices[-1]) + 6.0
    result = solve_frame(bench(as_bent=(AsBent("left", apart=apart),)))
    (found,) = [f for f in result.findings if f.code == "as-bent"]
    assert "as if the error were spread alike over what was not measured, its bends" in found.what
    assert "class B allows" not in found.what
    assert "Measure the angles one by one" in found.do
    used = solve_frame(bench(as_bent=(AsBent("left", apart=apart, use=True),)))
    (found,) = [f for f in used.findings if f.code == "as-bent"]
    assert found.level == "warning"


def test_every_end_that_does_not_seat_is_named():
    found = findings(angles=(None, 50.0))["as-bent"]
    frame = bench(as_bent=(AsBent("left", angles=(None, 50.0)),))
    without, with_it = (solve(built_in(frame, "rail", "left", use)) for use in (False, True))
    bad = [seat.where for seat in seats(without, with_it, "rail left") if not seat.seats]
    assert bad
    for where in bad:
        assert where in found.what
