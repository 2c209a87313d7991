"""Every sample's frame: as it is in its file, without errors, and each cut as OpenCascade has it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

pytest.importorskip("OCP", reason="the test extra installs OpenCascade")

from app.document.frame_file import frame_bytes, open_frame, read_frame
from geometry.fitup import solve
from geometry.frame_checks import frame_findings
from tests.validation.test_opencascade_frame import check

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*/*.frame"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_sample(path):
    frame = open_frame(path)
    assert frame_bytes(frame) == path.read_bytes()
    fitted = solve(frame)
    assert [f for f in frame_findings(fitted) if f.level == "error"] == []
    check(fitted, 16)


def test_there_are_samples():
    assert SAMPLES


def test_what_the_paddock_stands_readme_says():
    (path,) = [path for path in SAMPLES if path.stem == "paddock-stand"]
    fitted = solve(open_frame(path))
    lengths = {one.part.name: round(one.cut_length, 1) for one in fitted.parts}
    assert lengths["arm left"] == lengths["arm right"] == 634.9
    assert lengths["prop left"] == 316.3
    assert len(lengths) == 6
    assert frame_findings(fitted) == ()


def by_name(stem):
    (path,) = [path for path in SAMPLES if path.stem == stem]
    fitted = solve(open_frame(path))
    return {one.part.name: one for one in fitted.parts}


def test_what_the_motorcycles_readme_says():
    parts = by_name("single-cylinder")
    assert len(parts) == 26
    for hand in ("left", "right"):
        rail = parts[f"main rail {hand}"]
        assert round(rail.cut_length, 1) == 1653.1
        assert round(rail.cuts[0].angle_deg, 1) == 48.1
        assert round(abs(rail.cuts[0].offset), 1) == 15.6
        # Three bends, not in one plane.
        assert len(rail.part.path.radii) == 3
        assert rail.part.path.plane is None
        strut = parts[f"seat strut {hand}"]
        assert [round(cut.angle_deg, 1) for cut in strut.cuts] == [38.6, 33.2]


def test_what_the_trikes_readme_says():
    parts = by_name("cargo-trike")
    assert len(parts) == 30
    assert round(parts["axle beam left"].cut_length / 25.4, 3) == 4.095
    assert round(parts["top tube"].cut_length / 25.4 * 32) / 32 == 31.25


def test_the_stand_as_the_readme_builds_it_is_the_sample():
    readme = (Path(__file__).parents[2] / "README.md").read_text()
    blocks = re.findall(r"```json\n(.*?)```", readme, re.DOTALL)
    built = read_frame("".join(blocks[:3]).encode())
    (path,) = [path for path in SAMPLES if path.stem == "paddock-stand"]
    assert built == open_frame(path)
    assert frame_bytes(built) == path.read_bytes()
