"""The command ``book``: what it writes, what it says, how it ends."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.cli import main

SAMPLES = Path(__file__).parents[2] / "sample_projects"
STAND = SAMPLES / "paddock-stand" / "paddock-stand.frame"


def run(capsys, *words):
    code = main([str(word) for word in words])
    return code, *capsys.readouterr()


def test_a_book(tmp_path, capsys):
    code, out, err = run(capsys, "book", STAND, "--out", tmp_path / "papers")
    assert (code, err) == (0, "")
    there = sorted(
        p.relative_to(tmp_path / "papers").as_posix() for p in (tmp_path / "papers").rglob("*.*")
    )
    assert there == [
        "book.pdf", "dxf/arm-left-finish.dxf", "dxf/arm-left-start.dxf", "dxf/arm-right-finish.dxf",
        "dxf/arm-right-start.dxf", "dxf/prop-left-start.dxf", "dxf/prop-right-start.dxf", "numbers.json", "schedule.csv",
    ]  # fmt: skip
    assert "book.pdf (" in out
    assert sorted(json.loads((tmp_path / "papers/numbers.json").read_text())["files"]) == there


def test_drawings_of_tubes_that_are_gone_do_not_stay(tmp_path, capsys):
    run(capsys, "book", STAND, "--out", tmp_path)
    (tmp_path / "dxf" / "mine.dxf").write_text("not ours")
    text = STAND.read_text().replace('"prop"', '"leg"')
    frame = tmp_path / "other.frame"
    frame.write_text(text)
    code, out, _ = run(capsys, "book", frame, "--out", tmp_path)
    assert code == 0
    assert not list((tmp_path / "dxf").glob("prop*"))
    assert len(list((tmp_path / "dxf").glob("leg*"))) == 2
    assert (tmp_path / "dxf" / "mine.dxf").exists()
    assert "2 files of an earlier book" in out


def test_an_empty_frame_has_nothing_to_make(tmp_path, capsys):
    frame = tmp_path / "empty.frame"
    frame.write_text(
        '{"format": "copewright-frame", "version": 1, "name": "e", "stock": {}, "points": {}, "tubes": []}'
    )
    code, out, err = run(capsys, "book", frame, "--out", tmp_path / "papers")
    assert (code, err) == (1, "")
    assert "nothing to make" in out
    assert (tmp_path / "papers" / "book.pdf").read_bytes().startswith(b"%PDF")


def test_an_end_that_cannot_be_solved_is_exit_1_and_the_rest_is_written(tmp_path, capsys):
    frame = tmp_path / "bad.frame"
    frame.write_text(
        STAND.read_text().replace(
            '"prop foot": {"on": "arm", "distance": 170}', '"prop foot": [0, 500, 200]'
        )
    )
    code, out, err = run(capsys, "book", frame, "--out", tmp_path / "papers")
    assert (code, err) == (1, "")
    assert "not solved, left out: prop left, start" in out
    assert (tmp_path / "papers/dxf/arm-left-start.dxf").exists()


def test_some_sheets_again(tmp_path, capsys):
    code, out, _ = run(capsys, "book", STAND, "--out", tmp_path, "--only", "3")
    assert code == 0
    assert [p.name for p in tmp_path.iterdir()] == ["book-again.pdf"]
    assert "(1 pages)" in out or "(1 page" in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["book", "none.frame", "--out", "x"], "cannot be read"),
        (["book", str(STAND), "--out", "x", "--paper", "A9"], "allowed are dual, A4"),
        (["book", str(STAND), "--out", "x", "--paper-thickness", "thin"], "--paper-thickness"),
        (["book", str(STAND), "--out", ""], "--out is empty"),
    ],
)
def test_errors_are_one_sentence(words, says, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, err = run(capsys, *words)
    assert code == 2
    assert out == ""
    assert says in err
    assert err.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_full_size_sheets_of_a_frame(tmp_path, capsys):
    frame = SAMPLES / "single-cylinder" / "single-cylinder.frame"
    out = tmp_path / "book"
    code, said, _ = run(capsys, "book", frame, "--out", out, "--full-size")
    assert code == 0
    assert (out / "full-size-roll.pdf").exists()
    assert "full-size.pdf" in said
    assert len(list((out / "dxf").glob("main-rail-left-full-size-*.dxf"))) == 3
    run(capsys, "book", frame, "--out", out)
    assert not (out / "full-size.pdf").exists()
    assert not list((out / "dxf").glob("*full-size*"))
