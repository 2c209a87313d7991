"""How many sheets drawings take beside the plain grid, and how long the search is.

    .venv/bin/pytest tests/benchmarks/test_sheets.py

The counts are printed with each timing: grid, grid without blank tiles, found.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from templates_out.clip import strokes_of
from templates_out.paper import paper
from templates_out.tile_plan import ANY_TURN, plan_tiles, stroke_points
from templates_out.tiling import OVERLAP_MM
from tests.templates_out.test_tiling import DRAWINGS


@pytest.mark.parametrize("sheet", ["dual", "A4", "A3"])
@pytest.mark.parametrize("name", DRAWINGS)
def test_tile_search(benchmark, name, sheet):
    strokes = strokes_of(DRAWINGS[name])
    points = stroke_points([s.points for s in strokes])
    window = paper(sheet).window
    size = np.ptp(points, axis=0) + 0.4
    step = np.array([window.width, window.height]) - OVERLAP_MM
    grid = math.prod(np.ceil((size - OVERLAP_MM) / step).astype(int).clip(1))
    plain = len(plan_tiles(points, window.width, window.height, OVERLAP_MM, (0.0,)).used)
    plan = benchmark(plan_tiles, points, window.width, window.height, OVERLAP_MM, ANY_TURN)
    benchmark.group = f"{name} on {sheet}: grid {grid}, no blanks {plain}, found {len(plan.used)}"
