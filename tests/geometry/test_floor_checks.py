"""What stands lower than the floor that others are cut to stand on: by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from geometry.fitup import solve
from geometry.floor_checks import below_floor
from geometry.frame import End, Frame, Plane, Stock, Tube
from geometry.place import At
from geometry.section import RoundTube

SQUARE = End("square")
FLOOR = End("plane", plane=Plane())
SLANT = End("plane", plane=Plane(normal=(1, 0, 1)))


def stand(bar_z, foot=FLOOR):
    """A bar across, 40 mm thick, and a leg that leans from it down to the floor."""
    points = {
        "a": At(0, -200, bar_z), "b": At(0, 200, bar_z), "top": At(-150, 0, 300), "foot": At(-300, 0, 0),
    }  # fmt: skip
    stock = {"main": Stock(RoundTube(40.0, 2.0)), "leg": Stock(RoundTube(25.0, 2.0))}
    tubes = (
        Tube("bar", "main", ("a", "b"), (), (SQUARE, SQUARE)),
        Tube("leg", "leg", ("top", "foot"), (), (SQUARE, foot)),
    )
    return Frame("f", stock, points, tubes)


def found(frame):
    return list(below_floor(solve(frame).parts))


def test_a_bar_whose_middle_lies_on_the_floor_reaches_half_its_diameter_below():
    (finding,) = found(stand(0))
    assert (finding.code, finding.where) == ("below-floor", "bar")
    said = (
        "It reaches 20 mm below the level plane that leg, finish is cut to stand on, at height 0 mm"
    )
    assert said in finding.what


@pytest.mark.parametrize("frame", [stand(20), stand(19.5), stand(0, SQUARE), stand(0, SLANT)])
def test_what_stands_on_it_or_where_there_is_no_floor_is_nothing_to_say(frame):
    assert found(frame) == []


def test_a_plate_higher_up_is_no_floor():
    frame = stand(20)
    plate = End("plane", plane=Plane(through=(0.0, 0.0, 150.0)))
    points = {**frame.points, "plate": At(100, 0, 150), "high": At(100, 0, 400)}
    post = Tube("post", "leg", ("high", "plate"), (), (SQUARE, plate))
    assert found(replace(frame, points=points, tubes=(*frame.tubes, post))) == []
