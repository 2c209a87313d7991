"""The page Bend, driven as a person drives it."""

from __future__ import annotations

import math
import os

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt

from app.cli import main
from app.window.bend_page import BendPage
from templates_out.drawing import Arc
from tests.app.window.conftest import put, saved, type_in


@pytest.fixture
def window(open_window):
    return open_window("Bend")


@pytest.fixture
def page(window) -> BendPage:
    assert window.current() is window.bend
    return window.bend


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
    type_in(qtbot, page.fields["trim_start"], "20")
    page.choices["material"].setCurrentText("E355, stronger mild steel")
    qtbot.waitUntil(
        lambda: (
            page.result.fit is not None
            and page.result.job.trim == (20.0, 0.0)
            and len(page.result.job.trials) == 2
            and page.result.job.material.name == "E355"
        )
    )
    assert "Saved" in saved(qtbot, page, tmp_path / "window")
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
        (0, "20", ", and bend 1 takes up "),
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
    assert page.points.words(1)[0] == "15.748"
    after = page.job()
    assert after.tube == before.tube
    assert after.path == before.path
    put(page.points, 1, 0, "16")
    qtbot.waitUntil(lambda: page.result.job.path.vertices[1][0] == pytest.approx(406.4))
    put(page.points, 1, 0, "400mm")
    qtbot.waitUntil(lambda: page.result.job.path.vertices[1][0] == 400.0)


def test_the_tables_are_in_the_unit_that_is_read(qtbot, window, page):
    def titles():
        return [page._lower.tabText(n) for n in (0, 1)]

    qtbot.waitUntil(lambda: page.result is not None)
    assert titles() == ["Bend table, mm", "Marks along the bar, mm"]
    before = float(page.marks.item(0, 1).text())
    window.inches.setChecked(True)
    assert titles() == ["Bend table, in", "Marks along the bar, in"]
    assert float(page.marks.item(0, 1).text()) == pytest.approx(before / 25.4, abs=0.003)
    window.inches.setChecked(False)
    assert float(page.marks.item(0, 1).text()) == before


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
    assert page.points.words(1)[0] == "15.748"
    put(page.points, 2, 2, "300mm")
    qtbot.waitUntil(page.save.isEnabled)
    assert page.result.job.path.vertices[1][0] == 400.0


def test_a_bend_can_have_a_radius_of_its_own_and_there_can_be_many_tubes(
    qtbot, page, tmp_path, capsys
):
    for column, text in enumerate(("1000", "0", "200")):
        put(page.points, 3, column, text)
    put(page.points, 2, 3, "90")
    type_in(qtbot, page.fields["quantity"], "4")
    type_in(qtbot, page.fields["former"], "114")
    qtbot.waitUntil(lambda: page.result.job.path.radii == (115.0, 90.0))
    assert page.result.job.quantity == 4
    saved(qtbot, page, tmp_path / "window")
    words = ["bend", "--tube", "38.1x1.6", "--path", "0,0,0 400,0,0 700,0,300 1000,0,200", "--clr", "115 90",
             "--quantity", "4", "--former", "114", "--out", str(tmp_path / "command")]  # fmt: skip
    assert main(words) == 0
    capsys.readouterr()
    for name in os.listdir(tmp_path / "command"):
        made = (tmp_path / "window" / name).read_bytes()
        assert made == (tmp_path / "command" / name).read_bytes()
    put(page.points, 0, 3, "90")
    assert "row 1, radius: an end has no bend" in page.state.text()


def test_delete_clears_the_cells_that_are_chosen(qtbot, page):
    page.points.selectRow(1)
    qtbot.keyClick(page.points, Qt.Key.Key_Delete)
    qtbot.waitUntil(lambda: len(page.result.rows) == 0)


def test_the_tables_are_those_of_the_paper(qtbot, page):
    assert page.bends.item(0, 1).text() == "352.37"
    assert page.bends.item(0, 5).text() == "45.00"
    assert page.marks.item(0, 1).text() == "352.4"


def test_measuring_gives_true_lengths_though_the_picture_is_smaller(qtbot, page):
    path, shown = page.result.job.path, page._shown
    page.measure.setChecked(True)
    for vertex in path.vertices[:2]:
        place = (
            shown.views[0].view.flat(np.array([vertex]))[0] * shown.scale + shown.views[0].origin
        )
        pixel = page.picture.pixel(QPointF(*place)).toPoint()
        qtbot.mouseClick(page.picture, Qt.MouseButton.LeftButton, pos=pixel)
    said = float(page.state.text().split(" ")[0])
    assert said == pytest.approx(400.0, abs=3.0)


@pytest.mark.parametrize("flat", [True, False])
def test_the_picture_points_at_what_is_typed(qtbot, page, flat):
    if not flat:
        put(page.points, 2, 1, "150")
        qtbot.waitUntil(lambda: page.result.job.path.vertices[2][1] == 150)
    for key, field in page.fields.items():
        field.edit.setFocus()
        assert page.picture.caption.startswith(field.label)
        assert bool(page.picture.pointed.items) == (key not in {"quantity", "former"})
    page.points.setCurrentCell(1, 0)
    page.points.setFocus()
    assert page.picture.caption == "point 2"
    views = page._shown.views
    rings = [item for item in page.picture.pointed.items if isinstance(item, Arc)]
    assert len(rings) == len(views)
    for ring, shown in zip(rings, views, strict=True):
        vertex = np.array([page.result.job.path.vertices[1]])
        place = shown.view.flat(vertex)[0] * page._shown.scale + shown.origin
        assert ring.centre == pytest.approx(tuple(place))


def test_the_pointer_of_the_radius_ends_on_the_centreline(qtbot, page):
    page.fields["radius"].edit.setFocus()
    shaft = page.picture.pointed.items[0]
    assert math.dist(shaft.start, shaft.end) == pytest.approx(115 * page._shown.scale)
    page.fields["od"].edit.setFocus()
    one, two = page.picture.pointed.items[:2]
    assert math.dist(one.start, two.start) == pytest.approx(38.1 * page._shown.scale)


def test_a_cell_still_being_typed_is_in_what_is_saved(qtbot, window, page, tmp_path, monkeypatch):
    monkeypatch.setattr(
        "app.window.folders.QFileDialog.getExistingDirectory", lambda *_: str(tmp_path / "papers")
    )
    page.points.setFocus()
    page.points.setCurrentCell(1, 0)
    page.points.editItem(page.points.item(1, 0))
    qtbot.keyClicks(page.points.focusWidget() or page.points, "433")
    editor = window.focusWidget()
    assert editor is not page.points
    window.press("save")
    qtbot.waitUntil(lambda: any((tmp_path / "papers").glob("*-papers/bend.pdf")))
    assert page.result.job.path.vertices[1] == (433.0, 0.0, 0.0)


def test_a_cleared_row_goes_and_one_can_be_put_in(qtbot, page):
    for column, text in enumerate(("1000", "0", "200")):
        put(page.points, 3, column, text)
    for column in range(3):
        put(page.points, 1, column, "")
    assert page.points.words(1) == ["700", "0", "300", ""]
    page.points.setCurrentCell(1, 0)
    qtbot.keyClick(page.points, Qt.Key.Key_Insert)
    for column, text in enumerate(("400", "0", "0")):
        put(page.points, 1, column, text)
    qtbot.waitUntil(lambda: len(page.result.rows) == 2)
    assert [row[0] for row in page.points.kept()] == ["0", "400", "700", "1000"]


def test_the_bars_length_is_said(qtbot, page):
    assert "Cut the bar at 819.32 mm" in page.facts.text()


@pytest.mark.parametrize(
    ("trials", "code"),
    [
        ((("45", "20"), ("90", "87")), "trial-odd"),
        ((("45", "43"), ("90", "76")), "trials-disagree"),
    ],
)
def test_odd_trials_are_doubted(qtbot, page, trials, code):
    for row, pair in enumerate(trials):
        for column, text in enumerate(pair):
            put(page.trials, row, column, text)
    qtbot.waitUntil(lambda: len(page.result.job.trials) == 2)
    assert code in [finding.code for finding in page.result.findings]
    assert "warning" in page._lower.tabText(3)


def test_tab_leaves_the_table_and_the_pointer_goes(qtbot, page):
    page.points.setFocus()
    page.points.setCurrentCell(2, 0)
    assert page.picture.caption == "point 3"
    page.name.setFocus()
    qtbot.waitUntil(lambda: page.picture.pointed is None)
    page.points.setFocus()
    assert page.picture.caption == "point 3"
    for _ in range(3):
        qtbot.keyClick(page.window().focusWidget(), Qt.Key.Key_Tab)
    assert page.window().focusWidget() is not page.points


def test_an_empty_row_in_between_does_not_shift_what_is_pointed_at(qtbot, page):
    page.points.setCurrentCell(1, 0)
    page.points.put_row_in()
    page.points.setCurrentCell(3, 0)
    assert page.picture.caption == "point 3"
    assert page.points.words(3)[0] == "700"
