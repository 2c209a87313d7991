"""Random joints and paths, and the plain formulas that they are held against."""

from __future__ import annotations

import math
import os

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st

from geometry.joint import Joint
from geometry.section import RoundTube


def examples(count: int):
    """Run a property on ``count`` random cases; more with HYPOTHESIS_SCALE, to search."""
    return settings(max_examples=count * int(os.environ.get("HYPOTHESIS_SCALE", "1")))


def plain_height(r, big_r, angle_deg, offset, phi):
    """Two cylinders by the textbook formula, written apart from the program's own."""
    angle = math.radians(angle_deg)
    root = np.maximum(big_r**2 - (r * np.sin(phi) - offset) ** 2, 0.0)
    return (r * np.cos(phi) * math.cos(angle) - np.sqrt(root)) / math.sin(angle)


@st.composite
def joints(draw, *, misses: bool = True, fits=("filed", "square-cut")):
    """Joints over the whole range: 10 to 90 degrees, any diameters, any offset that still meets."""
    od = draw(st.floats(6.0, 120.0))
    wall = draw(st.floats(0.3, 0.45)) * od * draw(st.floats(0.05, 1.0))
    kind = draw(st.sampled_from(["any", "equal", "just larger", "just smaller"]))
    target = {
        "any": draw(st.floats(6.0, 200.0)),
        "equal": od,
        "just larger": od * (1 + draw(st.floats(1e-9, 1e-2))),
        "just smaller": od * (1 - draw(st.floats(1e-9, 1e-2))),
    }[kind]
    angle = draw(st.floats(10.0, 90.0) | st.sampled_from([10.0, 30.0, 45.0, 90.0]))
    if misses:
        offset = draw(st.floats(-0.98, 0.98) | st.just(0.0)) * (od + target) / 2
    else:
        target = max(target, od)
        offset = draw(st.floats(-1.0, 1.0) | st.just(0.0)) * (target - od) / 2
    return Joint(
        RoundTube(od, wall),
        target,
        angle,
        offset,
        draw(st.sampled_from(fits)),
        draw(st.just(0.0) | st.floats(0.0, 3.0)),
        draw(st.just(0.0) | st.floats(0.0, 30.0)),
    )


@st.composite
def paths(draw, *, flat: bool = False):
    """Bend tables with room for every straight, to make paths from."""
    count = draw(st.integers(1, 5))
    from geometry.bend import BendRow

    rows = []
    for index in range(count):
        rotation = 0.0
        if index:
            rotation = draw(st.sampled_from([0.0, 180.0]) if flat else st.floats(-179.0, 179.0))
        rows.append(
            BendRow(
                draw(st.floats(0.5, 500.0)),
                rotation,
                draw(st.floats(2.0, 150.0)),
                draw(st.floats(30.0, 200.0)),
            )
        )
    return tuple(rows), draw(st.floats(0.5, 500.0))
