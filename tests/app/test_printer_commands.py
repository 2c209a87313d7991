"""A printer is measured on the command line; its correction is kept and used."""

from __future__ import annotations

import json

import pytest

from tests.app.typed import JOINT, run
from tests.readback import pages


@pytest.fixture
def settings(tmp_path, monkeypatch):
    monkeypatch.setenv("COPEWRIGHT_SETTINGS", str(tmp_path / "settings"))
    return tmp_path / "settings" / "settings.json"


def test_a_printer_is_measured_kept_and_used(tmp_path, capsys, settings):
    out = tmp_path / "papers"
    code, _, err = run(["test-sheet"], out, capsys)
    assert (code, err) == (0, "")
    assert [p.name for p in out.iterdir()] == ["test-sheet.pdf"]
    words = ["test-sheet", "--printer", "hall laser", "--measured", "179.5 240,6"]
    code, said, err = run(words, out, capsys)
    assert (code, err) == (0, "")
    assert "X 1.0028" in said
    assert "print the test sheet again to prove it" in said
    kept = json.loads(settings.read_text("utf-8"))["printers"]["hall laser"]["dual"]
    assert kept["x"] == pytest.approx(180 / 179.5)
    assert kept["y"] == pytest.approx(240 / 240.6)
    # The same lengths given again are the same measuring; measured again on the corrected sheet, and
    # right: the same correction stays.
    for bars in (words[-1], "180 240"):
        words[-1] = bars
        code, said, _ = run(words, out, capsys)
        assert code == 0
        assert ("both bars are right, so that is proved" in said) is (bars == "180 240")
        again = json.loads(settings.read_text("utf-8"))["printers"]["hall laser"]["dual"]
        assert [again["x"], again["y"]] == pytest.approx([kept["x"], kept["y"]])
    assert run([*JOINT, "--printer", "hall laser"], tmp_path / "j", capsys)[0] == 0
    assert run(JOINT, tmp_path / "k", capsys)[0] == 0
    one, two = ((tmp_path / d / "joint.pdf").read_bytes() for d in "jk")
    assert one != two
    assert (tmp_path / "j" / "joint.dxf").read_bytes() == (
        tmp_path / "k" / "joint.dxf"
    ).read_bytes()
    # Another sheet of the same printer has not been measured, and its papers say so.
    assert run([*JOINT, "--printer", "hall laser", "--paper", "A4"], tmp_path / "l", capsys)[0] == 0
    (first, *_) = pages((tmp_path / "l" / "joint.pdf").read_bytes())
    assert "no correction: hall laser is not measured on this sheet" in first["text"]
    # A name that is slightly another one is not taken for it.
    code, _, err = run([*JOINT, "--printer", "Hall laser"], tmp_path / "m", capsys)
    assert code == 2
    assert "measured are 'hall laser'" in err


def test_bars_that_differ_as_printers_seldom_do_are_doubted(tmp_path, capsys, settings):
    words = ["test-sheet", "--printer", "p", "--measured", "177.6 239.8"]
    code, said, _ = run(words, tmp_path / "out", capsys)
    assert code == 0
    assert "measure both bars again" in said


def test_a_scaled_print_is_diagnosed_and_nothing_kept(tmp_path, capsys, settings):
    words = ["test-sheet", "--printer", "p", "--measured", "169.3 225.8"]
    code, _, err = run(words, tmp_path / "out", capsys)
    assert code == 2
    assert "printable area" in err
    assert not settings.exists()
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "words",
    [
        ["--measured", "180 240"],
        ["--printer", "p", "--measured", "180"],
        ["--printer", "p", "--measured", "wide high"],
        ["--printer", "p", "--measured", "0 240"],
        ["--printer", ""],
        ["--paper", "roll"],
        ["--paper", "A9"],
    ],
)
def test_a_test_sheet_that_cannot_be(words, tmp_path, capsys, settings):
    code, said, err = run(["test-sheet", *words], tmp_path / "out", capsys)
    assert (code, said) == (2, "")
    assert err.count("\n") == 1
    assert not settings.exists()


@pytest.mark.parametrize(
    "text", ["{", "[]", '{"format": "other"}', '{"format": "copewright-settings", "version": 9}']
)
def test_settings_that_cannot_be_read_are_left_as_they_are(text, tmp_path, capsys, settings):
    settings.parent.mkdir()
    settings.write_text(text)
    words = ["test-sheet", "--printer", "p", "--measured", "180 240"]
    code, _, err = run(words, tmp_path / "out", capsys)
    assert code == 2
    assert "settings" in err
    assert settings.read_text() == text
