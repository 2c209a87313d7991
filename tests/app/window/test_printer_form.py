"""A printer is measured on the page Paper, kept and proved, as with the command."""

from __future__ import annotations

import json

import pytest
from PySide6.QtCore import Qt

from app.cli import main
from app.window.paper_page import TEST
from tests.app.window.conftest import type_in


@pytest.fixture
def page(qtbot, open_window):
    one = open_window("Paper").paper
    one.choose(TEST)
    qtbot.waitUntil(lambda: one.made is not None and one.made.subject == TEST)
    return one


def choose(page, name):
    page.form.printer.setEditText(name)
    page.form.printer.lineEdit().editingFinished.emit()


def test_a_printer_is_measured_kept_and_proved(qtbot, page, settings, tmp_path, capsys):
    page.form.keep.click()
    assert "choose the printer" in page.state.text()
    type_in(qtbot, page.form.across, "24x")
    choose(page, "hall laser")
    page.form.keep.click()
    assert "mend what the bars measure" in page.state.text()
    assert not settings.exists() or "hall laser" not in (settings / "settings.json").read_text(
        "utf-8"
    )
    # What is typed stays when a printer is named after it.
    type_in(qtbot, page.form.across, "179.9")
    choose(page, "another")
    assert page.form.across.value == 179.9
    choose(page, "hall laser")
    plain = page.view.large.drawing
    type_in(qtbot, page.form.across, "179,5")
    type_in(qtbot, page.form.along, "240.6")
    page.form.keep.click()
    assert "Kept: corrected X 1.0028 Y 0.9975 for hall laser" in page.state.text()
    assert page.state.text().endswith("print the test sheet again to prove it.")
    kept = json.loads((settings / "settings.json").read_text("utf-8"))
    assert kept["printers"]["hall laser"]["dual"]["x"] == pytest.approx(180 / 179.5)
    qtbot.waitUntil(lambda: page.view.large.drawing is not plain)
    # What was said is still there, and the count stands beside it.
    assert "Kept" in page.state.text()
    assert page.which.count.text() == "1 sheet, to print at 100 %"
    # It can be chosen again after another.
    names = [page.form.printer.itemText(n) for n in range(page.form.printer.count())]
    assert names.count("hall laser") == 1
    # Proved: the bars on the corrected sheet are longer, so the fields expect the nominal again.
    assert page.form.across.value == 180.0
    page.save_to(tmp_path / "window" / "test-sheet.pdf")
    qtbot.waitUntil(lambda: "Saved" in page.state.text())
    words = ["test-sheet", "--printer", "hall laser", "--out", str(tmp_path / "command")]
    assert main(words) == 0
    capsys.readouterr()
    one, two = ((tmp_path / name / "test-sheet.pdf").read_bytes() for name in ("window", "command"))
    assert one == two
    # Nobody has measured what the fields begin with: that proves nothing.
    page.form.keep.click()
    assert page.state.text().endswith("print the test sheet again to prove it.")
    type_in(qtbot, page.form.across, "180")
    page.form.keep.click()
    assert page.state.text().endswith("print the test sheet again to prove it.")
    # Measured on the corrected sheet and right: nothing changes.
    type_in(qtbot, page.form.across, "180")
    type_in(qtbot, page.form.along, "240.1")
    page.form.keep.click()
    again = json.loads((settings / "settings.json").read_text("utf-8"))["printers"]
    assert again["hall laser"]["dual"]["x"] == pytest.approx(180 / 179.5)
    assert page.state.text().endswith("both bars are right, so that is proved.")
    page.form.forget.click()
    assert page.form.correction().x == 1.0


def test_what_is_half_typed_is_not_called_wrong(qtbot, page):
    """Before the field is left, or nothing can come of it any more; but it does not count either."""
    field = page.form.across
    field.edit.selectAll()
    for letter in "179.6 mm":
        qtbot.keyClicks(field.edit, letter)
        assert field.message.isHidden()
        assert field.good is (field.edit.text() not in ("179.", "179.6 m"))
    assert field.value == 179.6
    type_in(qtbot, field, "7-1/")
    assert field.message.isHidden()
    assert not field.good
    qtbot.keyClick(field.edit, Qt.Key.Key_Return)
    assert field.message.isVisible()
    assert "is not a length" in field.message.text()
    type_in(qtbot, field, "179.6 mk")
    assert field.message.isVisible()
    type_in(qtbot, field, "179.6 mm")
    assert field.good


def test_a_scaled_print_is_diagnosed_and_nothing_kept(qtbot, page, settings):
    choose(page, "p")
    type_in(qtbot, page.form.across, "169.3")
    type_in(qtbot, page.form.along, "225.8")
    page.form.keep.click()
    assert "printable area" in page.state.text()
    page.session.keep_now()
    assert json.loads((settings / "settings.json").read_text("utf-8"))["printers"] == {}


def test_other_sheets_have_other_bars_and_a_roll_has_none(qtbot, page):
    page.form.sheet.setCurrentIndex(page.form.sheet.findData("A3"))
    assert page.form.across.value > 250
    page.form.sheet.setCurrentIndex(page.form.sheet.findData("roll"))
    assert not page.form.keep.isEnabled()
    assert "roll has no test sheet" in page.form.kept.text()
    page.form.sheet.setCurrentIndex(page.form.sheet.findData("Letter"))
    assert page.form.keep.isEnabled()


def test_a_printer_without_a_name_is_said(qtbot, page):
    choose(page, "x" * 90)
    assert "The printer" in page.state.text()
    assert page.session.paper.printer == ""


def test_what_was_measured_on_one_printer_is_not_said_of_another(qtbot, page):
    across, along = page.form.across, page.form.along
    right = [across.value, along.value]
    choose(page, "a")
    type_in(qtbot, across, f"{right[0]}")
    type_in(qtbot, along, f"{right[1]}")
    page.form.keep.click()
    assert "that is proved" in page.state.text()
    choose(page, "b")
    assert not across.typed
    assert "No correction is kept" in page.form.kept.text()
    page.form.keep.click()
    assert "print the test sheet again" in page.state.text()
    assert "Kept for this printer" in page.form.kept.text()
