"""Every sample's frame: as it is in its file, without errors, and each cut as OpenCascade has it."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest.importorskip("OCP", reason="the test extra installs OpenCascade")

from app.document.frame_file import frame_bytes, open_frame
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
