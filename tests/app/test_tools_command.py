"""The command ``tools``: bending tools kept for every frame, taken from one and put into another."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from app.cli import main
from app.document.frame_file import open_frame, save_frame
from app.document.tool_library import FILE, library_tools
from geometry.bend_tool import BendTool
from geometry.frame import Frame
from tests.frames import EVERYTHING


@pytest.fixture
def settings(tmp_path, monkeypatch):
    folder = tmp_path / "settings"
    monkeypatch.setenv("COPEWRIGHT_SETTINGS", str(folder))
    return folder


def run(capsys, *words):
    code = main([str(word) for word in words])
    return code, *capsys.readouterr()


def test_from_one_frame_into_another_with_all_their_trials(settings, tmp_path, capsys):
    one, other = tmp_path / "one.frame", tmp_path / "other.frame"
    save_frame(one, EVERYTHING)
    save_frame(other, Frame("other", {}, {}, ()))
    code, out, _ = run(capsys, "tools")
    assert (code, "no bending tools" in out) == (0, True)
    code, out, _ = run(capsys, "tools", "--from", one)
    assert "kept 'hand 148'" in out
    assert "hand 148: tube 25, radius 148, grip 60, 40 between bends" in out
    assert library_tools() == dict(EVERYTHING.tools)
    code, out, _ = run(capsys, "tools", "--into", other, "--name", "hand 148")
    assert code == 0
    assert open_frame(other).tools == {"hand 148": EVERYTHING.tools["hand 148"]}
    run(capsys, "tools", "--forget", "press")
    assert set(library_tools()) == {"hand 148"}
    assert open_frame(one) == EVERYTHING


def test_a_tool_that_differs_is_not_replaced_unasked(settings, tmp_path, capsys):
    one, other = tmp_path / "one.frame", tmp_path / "other.frame"
    save_frame(one, EVERYTHING)
    save_frame(other, replace(EVERYTHING, tools={"press": BendTool(38.1, 155.0)}))
    run(capsys, "tools", "--from", one)
    before = other.read_bytes()
    code, _, err = run(capsys, "tools", "--into", other)
    assert (code, "'press'" in err) == (2, True)
    assert other.read_bytes() == before
    code, _, _ = run(capsys, "tools", "--into", other, "--name", "press")
    assert open_frame(other).tools["press"].radius == 150.0


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--forget", "nothing"], "'nothing' is not one of your bending tools; kept are none yet"),
        (["--name", "x"], "--name goes with --from or --into"),
        (["--into", "FRAME"], "there are no tools of your own"),
        (["--from", "FRAME", "--name", "x"], "--name 'x' is none of the tools in"),
    ],
)
def test_errors_are_one_sentence(words, says, settings, tmp_path, capsys):
    frame = tmp_path / "f.frame"
    save_frame(frame, EVERYTHING)
    code, out, err = run(capsys, "tools", *(frame if word == "FRAME" else word for word in words))
    assert (code, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1


def test_a_library_that_cannot_be_read_is_left_as_it_is(settings, tmp_path, capsys):
    frame = tmp_path / "f.frame"
    save_frame(frame, EVERYTHING)
    settings.mkdir()
    for broken in (
        b"{",
        json.dumps({"format": "copewright-tools", "version": 9, "tools": {}}).encode(),
    ):
        (settings / FILE).write_bytes(broken)
        code, _, err = run(capsys, "tools", "--from", frame)
        assert (code, "mend the file or move it away" in err) == (2, True)
        assert (settings / FILE).read_bytes() == broken


def test_a_tool_kept_again_replaces_the_old_one_whatever_its_case(settings, tmp_path, capsys):
    for name, radius in (("press", 150.0), ("Press", 152.0)):
        frame = tmp_path / f"{radius}.frame"
        save_frame(frame, replace(EVERYTHING, tools={name: BendTool(38.1, radius)}))
        run(capsys, "tools", "--from", frame)
    assert {name: tool.radius for name, tool in library_tools().items()} == {"Press": 152.0}


def test_putting_in_keeps_the_frames_other_tools_and_takes_equal_ones(settings, tmp_path, capsys):
    one, other = tmp_path / "one.frame", tmp_path / "other.frame"
    save_frame(one, EVERYTHING)
    own = {"mine": BendTool(20.0, 60.0), "press": EVERYTHING.tools["press"]}
    save_frame(other, replace(EVERYTHING, tools=own))
    run(capsys, "tools", "--from", one)
    code, _, _ = run(capsys, "tools", "--into", other)
    assert code == 0
    assert set(open_frame(other).tools) == {"mine", "press", "hand 148"}


def test_a_tube_on_its_own_gets_the_kept_tool(settings, tmp_path, capsys):
    frame = tmp_path / "one.frame"
    save_frame(frame, EVERYTHING)
    bend = [
        "bend",
        "--tube",
        "25x1.5",
        "--path",
        "0,0,0 400,0,0 700,0,300",
        "--clr",
        "148",
        "--material",
        "E355",
    ]
    code, _, err = run(capsys, *bend, "--my-tools", "--out", tmp_path / "out")
    assert (code, "no bending tools are kept" in err) == (2, True)
    run(capsys, "tools", "--from", frame)
    code, _, err = run(
        capsys, *bend, "--my-tools", "--tool-reference", "5", "--out", tmp_path / "out"
    )
    assert (code, "do not go together" in err) == (2, True)
    code, _, err = run(capsys, *bend, "--my-tools", "--former", "100", "--out", tmp_path / "out")
    assert (code, "do not go together" in err) == (2, True)
    run(capsys, *bend, "--my-tools", "--out", tmp_path / "out")
    (row,) = json.loads((tmp_path / "out" / "numbers.json").read_text())["tubes"][0]["bends"]
    assert row["tool"] == "hand 148"
    assert row["mark_tool"] == pytest.approx(row["mark_start"] - 12.5)
