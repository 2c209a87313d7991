"""Points in every way that people set frames out."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from geometry.errors import BadFrame, CopewrightError
from geometry.frame import Frame, Stock, Tube
from geometry.path import Path
from geometry.place import Along, At, MirrorOf, OffsetFrom, Swung
from geometry.places import Places, point_along
from geometry.section import RoundTube

STOCK = {"main": Stock(RoundTube(30.0, 2.0))}


def test_every_way_of_setting_a_point_out():
    frame = Frame(
        "f",
        STOCK,
        {
            "a": At(100, 20, 30),
            "b": OffsetFrom("a", (1, -2, 3)),
            "c": MirrorOf("b"),
            # 3-4-5: 53.13 degrees up from straight ahead, 50 mm along.
            "d": Swung("a", 50, math.degrees(math.atan2(4, 3))),
            "e": Along("t", share=0.25),
            "f": Along("t", distance=30),
            "g": Along("t", distance=-30),
            "top": At(100, 20, 230),
            "mirrored": MirrorOf("e"),
        },
        (Tube("t", "main", ("a", "top")),),
    )
    places = Places(frame)
    expected = {
        "b": (101, 18, 33), "c": (101, -18, 33), "d": (130, 20, 70), "e": (100, 20, 80),
        "f": (100, 20, 60), "g": (100, 20, 200), "mirrored": (100, -20, 80),
    }  # fmt: skip
    for name, point in expected.items():
        assert places.point(name) == pytest.approx(point)


def test_along_a_bend_is_along_the_centreline():
    path = Path(
        ((0, 0, 0), (200, 0, 0), (200, 150, 0), (200, 150, 120), (320, 150, 240)), (50,) * 3
    )
    for distance in np.linspace(0, path.developed_length, 23):

        def speed(s):
            step = 1e-4
            one, two = (np.array(point_along(path, s + d)) for d in (-step, step))
            return np.linalg.norm(two - one) / (2 * step)

        length, _ = quad(speed, 1e-3, max(distance, 2e-3), limit=200)
        assert length == pytest.approx(max(distance - 1e-3, 1e-3), abs=0.02)
    assert point_along(path, path.developed_length + 5) == path.vertices[-1]
    assert point_along(path, -5) == path.vertices[0]


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ({"a": MirrorOf("b"), "b": MirrorOf("a")}, "in a ring: 'a' on 'b' on 'a'"),
        ({"a": MirrorOf("a")}, "in a ring: 'a' on 'a'"),
        ({"a": Along("t", share=0.5), "b": At(0, 0, 0)}, "in a ring: 'a' on 'a'"),
    ],
)
def test_points_that_hang_on_each_other_are_said(points, words):
    tubes = (Tube("t", "main", ("a", "b")),) if "b" in points else ()
    if len(points) == 1:
        tubes = ()
    frame = Frame("f", STOCK, points, tubes)
    with pytest.raises(BadFrame, match=words):
        Places(frame).point("a")


def test_a_tube_that_cannot_be_bent_and_a_distance_beyond_it_are_said():
    points = {
        "a": At(0, 0, 0),
        "b": At(50, 0, 0),
        "c": At(50, 50, 0),
        "p": Along("t", distance=10),
        "q": Along("s", distance=60),
    }
    frame = Frame(
        "f",
        STOCK,
        points,
        (Tube("t", "main", ("a", "b", "c"), (90.0,)), Tube("s", "main", ("a", "b"))),
    )
    with pytest.raises(CopewrightError, match="tube 't': the leg before bend 1"):
        Places(frame).point("p")
    with pytest.raises(CopewrightError, match=r"60 mm along tube 's', which is 50\.00 mm long"):
        Places(frame).point("q")
