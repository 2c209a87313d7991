"""The page Bend, driven as a person drives it."""

from __future__ import annotations

import os

import pytest
from PySide6.QtWidgets import QTableWidgetItem

from app.cli import main
from app.window.bend_page import BendPage
from app.window.main_window import MainWindow


@pytest.fixture
def window(qtbot):
    window = MainWindow()
    qtbot.addWidget(window)
    window.show()
    window.names.setCurrentRow(1)
    qtbot.waitUntil(lambda: window.bend.result is not None)
    yield window
    window.close()


@pytest.fixture
def page(window) -> BendPage:
    assert window.pages.currentWidget() is window.bend
    return window.bend


def put(table, row, column, text):
    item = table.item(row, column)
    if item is None:
        table.setItem(row, column, QTableWidgetItem(text))
    else:
        item.setText(text)


def test_a_point_more_is_a_bend_more(qtbot, page):
    assert len(page.result.rows) == 1
    for column, text in enumerate(("1000", "0", "200")):
        put(page.points, 3, column, text)
    qtbot.waitUntil(lambda: len(page.result.rows) == 2)
    assert page.points.rowCount() == 5
    for column in range(3):
        put(page.points, 3, column, "")
    qtbot.waitUntil(lambda: len(page.result.rows) == 1)


def test_saved_files_are_the_commands_byte_for_byte(qtbot, page, tmp_path, capsys):
    for row, (set_deg, got_deg) in enumerate((("45", "43,2"), ("90", "87.1"))):
        put(page.trials, row, 0, set_deg)
        put(page.trials, row, 1, got_deg)
    page.trim_start.edit.setText("20")
    page.trim_start.edit.textEdited.emit("20")
    page.material.setCurrentText("E355")
    qtbot.waitUntil(
        lambda: (
            page.result.fit is not None
            and page.result.job.trim == (20.0, 0.0)
            and len(page.result.job.trials) == 2
            and page.result.job.material.name == "E355"
        )
    )
    page.save_to(tmp_path / "window")
    assert "Saved" in page.state.text()
    words = ["bend", "--tube", "38.1x1.6", "--path", "0,0,0 400,0,0 700,0,300", "--clr", "115",
             "--trials", "45:43.2 90:87.1", "--trim", "20 0", "--material", "E355",
             "--out", str(tmp_path / "command")]  # fmt: skip
    assert main(words) == 0
    capsys.readouterr()
    names = sorted(os.listdir(tmp_path / "command"))
    assert names == sorted(os.listdir(tmp_path / "window"))
    for name in names:
        assert (tmp_path / "window" / name).read_bytes() == (
            tmp_path / "command" / name
        ).read_bytes()


@pytest.mark.parametrize(
    ("column", "text", "words"),
    [
        (0, "abc", "points, row 2, x 'abc' is not a length"),
        (1, "", "points, row 2, y is empty"),
        (0, "0", "the same place"),
        (0, "20", "for the tangents"),
    ],
)
def test_what_cannot_be_bent_is_said_and_the_last_good_drawing_stays(
    qtbot, page, column, text, words
):
    drawing = page.picture.drawing
    put(page.points, 1, column, text)
    assert words in page.state.text()
    assert not page.save.isEnabled()
    qtbot.wait(80)
    assert page.picture.drawing is drawing
    put(page.points, 1, 0, "410")
    put(page.points, 1, 1, "0")
    qtbot.waitUntil(page.save.isEnabled)
    assert page.result.job.path.vertices[1] == (410.0, 0.0, 0.0)


def test_inches_change_no_value(qtbot, window, page):
    before = page.job()
    window.inches.setChecked(True)
    assert page.points.words(1)[0].startswith("15.748")
    after = page.job()
    assert after.tube == before.tube
    for one, two in zip(after.path.vertices, before.path.vertices, strict=True):
        assert one == pytest.approx(two, abs=1e-6)
    put(page.points, 1, 0, "16")
    qtbot.waitUntil(lambda: page.result.job.path.vertices[1][0] == pytest.approx(406.4))
    put(page.points, 1, 0, "400mm")
    qtbot.waitUntil(lambda: page.result.job.path.vertices[1][0] == 400.0)


def test_a_trial_half_typed_is_said(qtbot, page):
    put(page.trials, 0, 0, "90")
    assert "trial bends, row 1, got ° is empty" in page.state.text()
    put(page.trials, 0, 1, "87")
    qtbot.waitUntil(lambda: page.result.fit is not None)
    assert page.state.text() == ""


def test_one_cell_that_cannot_be_read_does_not_turn_the_others_into_inches(qtbot, window, page):
    put(page.points, 2, 2, "abc")
    window.inches.setChecked(True)
    assert page.points.words(2)[2] == "abc"
    assert float(page.points.words(1)[0]) == pytest.approx(400 / 25.4)
    put(page.points, 2, 2, "300mm")
    qtbot.waitUntil(page.save.isEnabled)
    assert page.result.job.path.vertices[1][0] == pytest.approx(400.0, abs=1e-6)
