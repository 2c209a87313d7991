"""Speed of a whole frame, each beside its floor in the same run.

    .venv/bin/pytest tests/benchmarks/test_frame_speed.py --benchmark-group-by=group --benchmark-columns=min,median

The floor of solving is the bare textbook formula in numpy, once for every coped end, with as many points; of the
book, a process that imports the same libraries and writes as many empty PDF pages and DXF files.
"""

from __future__ import annotations

import itertools
import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from app.document.frame_file import open_frame
from geometry.fitup import forget, solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.frame_checks import frame_findings
from geometry.joint import Joint
from geometry.place import Along, At, OffsetFrom
from geometry.section import RoundTube
from tests.benchmarks.test_cope_speed import formula

PATH = Path(__file__).parents[2] / "sample_projects" / "single-cylinder" / "single-cylinder.frame"
MOTORCYCLE = open_frame(PATH)


def floor_of(fitted):
    """For each coped end, the joint and the number of points that its formula is reckoned for."""
    parts = {one.part.name: one.part for one in fitted.parts}
    return [
        (
            Joint(
                cut.at.part.section,
                parts[cut.onto[0]].section.od,
                min(cut.angle_deg, 90.0),
                cut.offset,
            ),
            len(cut.round_mm),
        )
        for one in fitted.parts
        for cut in one.cuts
        if cut is not None and cut.kind == "cope"
    ]


@pytest.mark.parametrize("what", ["solved from nothing", "bare formulas"])
def test_the_motorcycle(benchmark, what):
    ends = floor_of(solve(MOTORCYCLE))
    benchmark.group = f"motorcycle, {len(ends)} coped ends"
    if what == "bare formulas":
        benchmark(lambda: [formula(joint, points) for joint, points in ends])
    else:
        benchmark.pedantic(lambda: solve(MOTORCYCLE), setup=forget, rounds=60)


@pytest.mark.parametrize(
    "point", ["peg outer", "tail cross left", "pivot stay high", "side brace low", "rail front"]
)
def test_solved_again_after_one_point_moved(benchmark, point):
    """From a foot peg's end, that touches one pair, to a corner of the main rail, that nearly all hangs on."""
    place = MOTORCYCLE.points[point]
    solve(MOTORCYCLE)
    count = itertools.count(1)

    def moved():
        by = 0.01 * next(count)
        match place:
            case At(x, y, z):
                other = At(x + by, y, z)
            case OffsetFrom(base, (x, y, z)):
                other = OffsetFrom(base, (x + by, y, z))
            case Along(tube, _, distance):
                other = Along(tube, distance=distance + by)
        return (replace(MOTORCYCLE, points={**MOTORCYCLE.points, point: other}),), {}

    benchmark.group = "motorcycle, solved again"
    benchmark.pedantic(solve, setup=moved, rounds=40)


def ladder(count):
    """Two long rails' worth of rungs: bays of two rails and two cross tubes, side by side."""
    square = (End("square"), End("square"))
    stock = {"main": Stock(RoundTube(38.1, 2.0)), "thin": Stock(RoundTube(25.0, 1.5))}
    points, tubes = {}, []
    for bay in range(count // 4):
        x, z = 150.0 * (bay % 60), 300.0 * (bay // 60)
        for name, y in (("left", 100.0), ("right", -100.0)):
            points |= {f"{name} {bay} a": At(x, y, z), f"{name} {bay} b": At(x + 120, y, z)}
            tubes.append(
                Tube(f"{name} {bay}", "main", (f"{name} {bay} a", f"{name} {bay} b"), (), square)
            )
        for rung, along in enumerate((40.0, 80.0)):
            ends = (f"rung {bay} {rung} a", f"rung {bay} {rung} b")
            points |= {ends[0]: At(x + along, 100.0, z), ends[1]: At(x + along, -100.0, z)}
            tubes.append(Tube(f"rung {bay} {rung}", "thin", ends))
    return Frame("ladder", stock, points, tuple(tubes))


@pytest.mark.parametrize("count", [1250, 2500, 5000])
@pytest.mark.parametrize("what", ["solved", "findings"])
def test_many_tubes(benchmark, count, what):
    frame = ladder(count)
    assert len(frame.tubes) == count // 4 * 4
    benchmark.group = f"many tubes, {what}"
    if what == "solved":
        fitted = benchmark.pedantic(solve, (frame,), setup=forget, rounds=3)
        assert not fitted.findings
    else:
        fitted = solve(frame)
        benchmark.pedantic(frame_findings, (fitted,), rounds=2)


EMPTY = """
import sys, io
import numpy, shapely, ezdxf
from reportlab.pdfgen.canvas import Canvas
pages, files, folder = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
canvas = Canvas(folder + "/empty.pdf")
for _ in range(pages):
    canvas.showPage()
canvas.save()
for number in range(files):
    ezdxf.new("R2000").saveas(f"{folder}/{number}.dxf")
"""


@pytest.mark.parametrize("what", ["book", "empty pages and files"])
def test_the_whole_book_as_a_process(benchmark, what, tmp_path):
    words = [sys.executable, "-m", "app", "book", str(PATH), "--out", str(tmp_path)]
    done = subprocess.run(words, check=True, capture_output=True, text=True)
    pages = int(done.stdout.split("(")[1].split()[0])
    files = sum(
        name.endswith(".dxf")
        for name in json.loads((tmp_path / "numbers.json").read_text())["files"]
    )
    if what != "book":
        words = [sys.executable, "-c", EMPTY, str(pages), str(files), str(tmp_path)]
    benchmark.group = f"book of the motorcycle, {pages} pages and {files} DXF files"
    benchmark.pedantic(
        subprocess.run, (words,), {"check": True, "capture_output": True}, rounds=7, warmup_rounds=1
    )
