"""Wrong input gets one sentence and exit 2, and what was there before is whole."""

from __future__ import annotations

import errno
import os
import stat

import pytest

from app.cli import main
from tests.app.typed import BEND, JOINT, changed, run

BAD = [
    changed(JOINT, tube="0x1.6"),
    changed(JOINT, tube="-38.1x1.6"),
    changed(JOINT, tube="nanx1.6"),
    changed(JOINT, tube="infx1"),
    changed(JOINT, tube="2001x5"),
    changed(JOINT, tube="38.1x19.05"),
    changed(JOINT, tube="38.1x25"),
    changed(JOINT, tube="38.1x0"),
    changed(JOINT, tube="38.1x-1"),
    changed(JOINT, tube="38.1"),
    changed(JOINT, tube=None),
    changed(JOINT, onto="0"),
    changed(JOINT, onto="-54"),
    changed(JOINT, onto="3000"),
    changed(JOINT, onto="fifty"),
    changed(JOINT, angle="0"),
    changed(JOINT, angle="-10"),
    changed(JOINT, angle="90.5"),
    changed(JOINT, angle="nan"),
    changed(JOINT, angle="inf"),
    changed(JOINT, angle="0.2"),
    changed(JOINT, offset="46.05"),
    changed(JOINT, offset="-60"),
    changed(JOINT, offset="1e3"),
    changed(JOINT, fit="loose"),
    changed(JOINT, root_gap="-1"),
    changed(JOINT, root_gap="500"),
    changed(JOINT, extra="-5"),
    changed(JOINT, paper="A9"),
    changed(JOINT, every="7"),
    changed(JOINT, paper_thickness="-1"),
    changed(JOINT, paper_thickness="40"),
    [*JOINT, "--colour", "red"],
    [*JOINT, "extra"],
    changed(BEND, path="0,0,0"),
    changed(BEND, path=""),
    changed(BEND, path="0,0 400,0"),
    changed(BEND, path="0,0,0 400,0,0 400,0,0"),
    changed(BEND, path="0,0,0 400,0,0 800,0,0"),
    changed(BEND, path="0,0,0 400,0,0 0,0,0"),
    changed(BEND, path="0,0,0 40,0,0 40,300,0"),
    changed(BEND, path="0,0,0 nan,0,0 40,300,0"),
    changed(BEND, path="0,0,0 99999,0,0 40,300,0"),
    changed(BEND, clr="0"),
    changed(BEND, clr="-115"),
    changed(BEND, clr="19"),
    changed(BEND, clr="2500"),
    changed(BEND, clr=""),
    changed(BEND, clr="115 90"),
    changed(BEND, clr=None),
    [*BEND, "--trials", "90"],
    [*BEND, "--trials", ""],
    [*BEND, "--trials", "90:0"],
    [*BEND, "--trials", "nan:87"],
    [*BEND, "--trials", "45:44 90:43"],
    [*BEND, "--material", "cheese"],
    [*BEND, "--material", ""],
    [*JOINT, "--name", ""],
    [*JOINT, "--name", "x" * 81],
    [*JOINT, "--name", "a\nb"],
    changed(JOINT, tube="1.6x38.1"),
    changed(JOINT, tube="38.1x16ga"),
    changed(JOINT, angle="118"),
    [*BEND, "--trim", "1 2 3"],
    [*BEND, "--trim", "-4"],
    [*BEND, "--quantity", "0"],
    [*BEND, "--quantity", "two"],
    ["weld"],
]


@pytest.mark.parametrize("words", BAD, ids=lambda words: " ".join(words)[-60:])
def test_bad_input_is_one_sentence_and_exit_2(words, tmp_path, capsys):
    out = tmp_path / "papers"
    out.mkdir()
    (out / "joint.pdf").write_bytes(b"mine")
    try:
        code = main([*words, "--out", str(out)])
    except SystemExit as stop:
        code = stop.code
    said = capsys.readouterr()
    assert code == 2
    assert said.out == ""
    assert said.err.startswith("copewright")
    assert said.err.count("\n") == 1
    assert said.err.endswith("\n")
    assert "Traceback" not in said.err
    assert [p.name for p in out.iterdir()] == ["joint.pdf"]
    assert (out / "joint.pdf").read_bytes() == b"mine"


def test_out_is_a_file(tmp_path, capsys):
    (tmp_path / "papers").write_text("mine")
    code, _, err = run(JOINT, tmp_path / "papers", capsys)
    assert code == 2
    assert err.count("\n") == 1
    assert (tmp_path / "papers").read_text() == "mine"


def test_out_below_a_file(tmp_path, capsys):
    (tmp_path / "papers").write_text("mine")
    code, _, err = run(JOINT, tmp_path / "papers" / "below", capsys)
    assert code == 2
    assert err.count("\n") == 1


def test_a_folder_that_stands_where_a_file_should(tmp_path, capsys):
    (tmp_path / "numbers.json").mkdir()
    (tmp_path / "joint.pdf").write_bytes(b"mine")
    code, _, err = run(JOINT, tmp_path, capsys)
    assert code == 2
    assert err.count("\n") == 1
    assert sorted(p.name for p in tmp_path.iterdir()) == ["joint.pdf", "numbers.json"]
    assert (tmp_path / "joint.pdf").read_bytes() == b"mine"


def test_a_disk_that_fails_leaves_what_was_there(tmp_path, capsys, monkeypatch):
    (tmp_path / "joint.pdf").write_bytes(b"mine")

    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    code, _, err = run(JOINT, tmp_path, capsys)
    assert code == 2
    assert "no space left" in err
    assert [p.name for p in tmp_path.iterdir()] == ["joint.pdf"]
    assert (tmp_path / "joint.pdf").read_bytes() == b"mine"


def test_where_nothing_may_be_written(tmp_path, capsys, monkeypatch):
    """As the system says it, for root too, whom no folder's own permissions stop."""

    def refused(**_):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr("tempfile.mkstemp", refused)
    code, _, err = run(JOINT, tmp_path, capsys)
    assert code == 2
    assert "permission denied" in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_without_permission(tmp_path, capsys):
    tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
    code, _, err = run(JOINT, tmp_path, capsys)
    tmp_path.chmod(stat.S_IRWXU)
    assert code == 2
    assert "permission denied" in err
