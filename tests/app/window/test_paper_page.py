"""The page Paper: a printer is measured, kept and proved, as with the command."""

from __future__ import annotations

import json

import pytest

from app.cli import main
from tests.app.window.conftest import type_in


@pytest.fixture
def page(open_window):
    return open_window("Paper").paper


def choose(page, name):
    page.printer.setEditText(name)
    page.printer.lineEdit().editingFinished.emit()


def test_a_printer_is_measured_kept_and_proved(qtbot, page, settings, tmp_path, capsys):
    page.keep.click()
    assert "choose the printer" in page.state.text()
    type_in(qtbot, page.across, "24x")
    choose(page, "hall laser")
    page.keep.click()
    assert "mend what the bars measure" in page.state.text()
    assert not settings.exists() or "hall laser" not in (settings / "settings.json").read_text(
        "utf-8"
    )
    # What is typed stays when a printer is named after it.
    type_in(qtbot, page.across, "179.9")
    choose(page, "another")
    assert page.across.value == 179.9
    choose(page, "hall laser")
    plain = page.view.drawing
    type_in(qtbot, page.across, "179,5")
    type_in(qtbot, page.along, "240.6")
    page.keep.click()
    assert "Kept: corrected X 1.0028 Y 0.9975 for hall laser" in page.state.text()
    kept = json.loads((settings / "settings.json").read_text("utf-8"))
    assert kept["printers"]["hall laser"]["dual"]["x"] == pytest.approx(180 / 179.5)
    assert page.view.drawing is not plain
    # Proved: the bars on the corrected sheet are longer, so the fields expect the nominal again.
    assert page.across.value == 180.0
    page.save_to(tmp_path / "window")
    words = ["test-sheet", "--printer", "hall laser", "--out", str(tmp_path / "command")]
    assert main(words) == 0
    capsys.readouterr()
    one, two = ((tmp_path / name / "test-sheet.pdf").read_bytes() for name in ("window", "command"))
    assert one == two
    # Measured on the corrected sheet and right: nothing changes.
    page.keep.click()
    again = json.loads((settings / "settings.json").read_text("utf-8"))["printers"]
    assert again["hall laser"]["dual"]["x"] == pytest.approx(180 / 179.5)
    page.forget.click()
    assert page.correction().x == 1.0


def test_a_scaled_print_is_diagnosed_and_nothing_kept(qtbot, page, settings):
    choose(page, "p")
    type_in(qtbot, page.across, "169.3")
    type_in(qtbot, page.along, "225.8")
    page.keep.click()
    assert "printable area" in page.state.text()
    page.session.keep_now()
    assert json.loads((settings / "settings.json").read_text("utf-8"))["printers"] == {}


def test_other_sheets_have_other_bars_and_a_roll_has_none(qtbot, page):
    page.sheet.setCurrentIndex(page.sheet.findData("A3"))
    assert page.across.value > 250
    page.sheet.setCurrentIndex(page.sheet.findData("roll"))
    assert not page.keep.isEnabled()
    assert "roll has no test sheet" in page.kept.text()
    page.sheet.setCurrentIndex(page.sheet.findData("Letter"))
    assert page.keep.isEnabled()


def test_a_printer_without_a_name_is_said(qtbot, page):
    choose(page, "x" * 90)
    assert "the printer" in page.state.text()
    assert page.session.paper.printer == ""
