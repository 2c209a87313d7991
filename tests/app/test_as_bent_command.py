"""The command ``as-bent``: what a returned tube measures is kept, judged, used, and taken back."""

from __future__ import annotations

import json
import math
import shutil
from pathlib import Path

import pytest

from app.cli import main
from app.document.frame_file import open_frame
from templates_out.frame_result import solve_frame

SAMPLE = Path(__file__).parents[2] / "sample_projects" / "single-cylinder" / "single-cylinder.frame"
LEFT = ["--tube", "main rail left"]


@pytest.fixture
def frame(tmp_path):
    return Path(shutil.copy(SAMPLE, tmp_path / "f.frame"))


def run(capsys, *words):
    code = main([str(word) for word in words])
    return code, *capsys.readouterr()


def test_a_tube_that_is_off_is_said_kept_used_and_forgotten(frame, tmp_path, capsys):
    code, out, _ = run(capsys, "as-bent", frame, *LEFT, "--angles", "- 79.88 -")
    assert code == 0
    assert "bend 2 is 2.0° short" in out
    assert "would not seat" in out
    (kept,) = open_frame(frame).tube("main rail").as_bent
    assert (kept.hand, kept.angles, kept.use) == ("left", (None, 79.88, None), False)
    # The nominal stays what the shop is told; only the cuts are for the real steel.
    run(capsys, "book", SAMPLE, "--out", tmp_path / "drawn")
    code, out, _ = run(capsys, "as-bent", frame, *LEFT, "--use")
    assert "It is used as it is" in out
    run(capsys, "book", frame, "--out", tmp_path / "real")
    drawn, real = (
        json.loads((tmp_path / name / "numbers.json").read_text("utf-8"))
        for name in ("drawn", "real")
    )
    tube = {t["tube"]: t for t in real["tubes"]}["main rail left"]
    before = {t["tube"]: t for t in drawn["tubes"]}["main rail left"]
    assert tube["bends"] == before["bends"]
    assert before["as_bent"] is None
    assert tube["as_bent"]["used"] is True
    assert tube["as_bent"]["bends"][1]["angle"] == pytest.approx(79.88)
    cuts = [{(c["tube"], c["end"]): c["long_point"] for c in one["cuts"]} for one in (drawn, real)]
    assert cuts[0]["main rail left", "start"] != pytest.approx(
        cuts[1]["main rail left", "start"], abs=0.1
    )
    code, out, _ = run(capsys, "as-bent", frame, *LEFT, "--forget")
    assert "saved as drawn" in out
    assert frame.read_bytes() == SAMPLE.read_bytes()


def test_more_is_added_to_what_was_measured_before(frame, capsys):
    run(capsys, "as-bent", frame, *LEFT, "--angles", "69 80 73", "--apart", "38-5/8in")
    run(capsys, "as-bent", frame, *LEFT, "--height", "-12.5", "--radii", "101 - -")
    (kept,) = open_frame(frame).tube("main rail").as_bent
    assert kept.angles == (69, 80, 73)
    assert kept.apart == pytest.approx(981.075)
    assert kept.height == -12.5
    assert kept.radii == (101, None, None)
    run(capsys, "as-bent", frame, *LEFT, "--angles", "-", "--apart", "-")
    (kept,) = open_frame(frame).tube("main rail").as_bent
    assert (kept.angles, kept.apart, kept.height) == ((), None, -12.5)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--tube", "main rail left"], "is not measured yet"),
        (["--tube", "main rail", "--angles", "1 2 3"], "its bent ones are 'main rail left', 'main rail right', 'rear loop'"),
        ([*LEFT, "--angles", "69 80"], "it has 2 angles; it needs 3"),
        ([*LEFT, "--angles", "69 x 70"], "--angles 'x' is not an angle"),
        ([*LEFT, "--angles", "69 190 70"], "angle of bend 2"),
        ([*LEFT, "--rotations", "5 - -"], "the rotation before bend 1 is 5°"),
    ],
)  # fmt: skip
def test_what_makes_no_tube_is_refused_and_not_kept(words, says, frame, capsys):
    code, out, err = run(capsys, "as-bent", frame, *words)
    assert (code, out) == (2, "")
    assert says in err
    assert frame.read_bytes() == SAMPLE.read_bytes()


def test_what_a_tape_is_held_to_is_the_bars_ends(frame, capsys):
    """The rail's bar ends short of the path's start: a perfect one measures what its drawing says, and is as drawn."""
    whole = frame.read_text("utf-8")
    assert '"trim": [20, 20]' in whole
    frame.write_text(whole.replace('"trim": [20, 20]', '"trim": [3, 8]'), "utf-8")
    bend = solve_frame(open_frame(frame)).bends["main rail left"]
    apart = math.dist(bend.job.bar_path.vertices[0], bend.job.bar_path.vertices[-1])
    code, out, _ = run(capsys, "as-bent", frame, *LEFT, "--apart", f"{apart:.3f}")
    assert (code, "it is as drawn" in out) == (0, True), out
    (kept,) = open_frame(frame).tube("main rail").as_bent
    assert kept.beyond == pytest.approx(bend.job.bar_ends, abs=1e-3)


def test_each_option_is_kept_until_it_is_changed(frame, capsys):
    _, out, _ = run(
        capsys, "as-bent", frame, *LEFT, "--angles", "69 80 73", "--hold", "start", "--use"
    )
    assert "kept: angles 69 80 73, used as it is" in out
    run(capsys, "as-bent", frame, "--tube", "main rail right", "--angles", "70 81 74")
    run(capsys, "as-bent", frame, *LEFT, "--radii", "101 - -")
    left, right = sorted(open_frame(frame).tube("main rail").as_bent, key=lambda one: one.hand)
    assert (left.hold, left.use, left.radii) == ("start", True, (101, None, None))
    assert (right.angles, right.use) == ((70, 81, 74), False)
    _, out, _ = run(capsys, "as-bent", frame, *LEFT, "--as-drawn")
    assert "cut to the drawing" in out
    left = next(one for one in open_frame(frame).tube("main rail").as_bent if one.hand == "left")
    assert left.use is False
    before = frame.read_bytes()
    _, out, _ = run(capsys, "as-bent", frame, *LEFT)
    assert "saved" not in out
    assert frame.read_bytes() == before
    # Of another tube nothing is said.
    assert "main rail right" not in out


def test_steel_that_is_missing_is_an_error_and_exit_1(frame, capsys):
    code, out, _ = run(capsys, "as-bent", frame, *LEFT, "--straights", "400 - - -")
    assert code == 1
    assert "error: main rail left, start: The tube ends" in out


def test_a_swapped_hand_is_known(frame, capsys):
    code, _, err = run(capsys, "as-bent", frame, *LEFT, "--height", "-86.4")
    assert (code, "measures like the opposite hand" in err) == (2, True)
    _, out, _ = run(capsys, "as-bent", frame, *LEFT, "--rotations", "- -10.88 179.59")
    assert "It measures like the opposite hand" in out


def test_a_radius_that_no_tube_has_is_refused_whatever_it_is_used_for(frame, capsys):
    for more in ([], ["--use"]):
        code, _, err = run(capsys, "as-bent", frame, *LEFT, "--radii", "13 - -", *more)
        assert (code, "bend 1 has radius 13 mm" in err) == (2, True)
    code, _, err = run(capsys, "as-bent", frame, *LEFT, "--forget", "--apart", "5")
    assert (code, "give it without new ones" in err) == (2, True)
    assert frame.read_bytes() == SAMPLE.read_bytes()
