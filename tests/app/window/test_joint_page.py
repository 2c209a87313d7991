"""The page Joint, driven as a person drives it: typed, looked at, saved."""

from __future__ import annotations

import math
import os
import threading

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QPalette, QWheelEvent
from PySide6.QtWidgets import QApplication

from app.cli import main
from app.document.settings import keep_correction
from app.window.joint_page import JointPage
from app.window.session import Session
from templates_out.canvas import extents
from templates_out.correction import Correction
from templates_out.drawing import OUTLINE, Arc, Polyline
from templates_out.file_names import FileNames
from templates_out.joint_picture import end_frame
from tests.app.window.conftest import saved, type_in


@pytest.fixture
def window(open_window):
    return open_window()


@pytest.fixture
def page(window) -> JointPage:
    return window.joint


def solved(qtbot, page, **expected):
    def right():
        assert page.result is not None
        joint = page.result.joint
        for name, value in expected.items():
            assert getattr(joint, name) == pytest.approx(value)

    qtbot.waitUntil(right)


def outline(page):
    items = page.wrap_view.drawing.items
    return next(i for i in items if isinstance(i, Polyline) and i.pen is OUTLINE).points


def test_what_is_typed_is_drawn(qtbot, page):
    before = outline(page)
    type_in(qtbot, page.fields["angle"], "45")
    solved(qtbot, page, angle_deg=45.0)
    qtbot.waitUntil(
        lambda: len(outline(page)) != len(before) or not np.allclose(outline(page), before)
    )
    assert page.fields["angle"].good


def test_saved_files_are_the_commands_byte_for_byte(qtbot, window, page, tmp_path, capsys):
    for field, text in (
        (page.fields["od"], "3.81cm"), (page.fields["wall"], "1,651"), (page.fields["target"], "54"), (page.fields["angle"], "62,5"),
        (page.fields["offset"], "-6.5"), (page.fields["root_gap"], "0.5"), (page.fields["extra"], "3"),
    ):  # fmt: skip
        type_in(qtbot, field, text)
    page.choices["fit"].setCurrentIndex(1)
    window.paper.form.sheet.setCurrentIndex(1)
    page.name.selectAll()
    qtbot.keyClicks(page.name, "down tube")
    solved(qtbot, page, angle_deg=62.5, offset=-6.5, root_gap=0.5, extra=3.0)
    qtbot.waitUntil(
        lambda: page.result.joint.fit == "square-cut" and page.result.name == "down tube"
    )
    assert "Saved" in saved(qtbot, page, tmp_path / "window")
    words = ["joint", "--tube", "38.1x1.651", "--onto", "54", "--angle", "62.5", "--offset", "-6.5",
             "--fit", "square-cut", "--root-gap", "0.5", "--extra", "3", "--paper", "A4",
             "--name", "down tube", "--out", str(tmp_path / "command")]  # fmt: skip
    assert main(words) == 0
    capsys.readouterr()
    names = sorted(os.listdir(tmp_path / "command"))
    assert names == sorted(os.listdir(tmp_path / "window"))
    for name in names:
        assert (tmp_path / "window" / name).read_bytes() == (
            tmp_path / "command" / name
        ).read_bytes()


@pytest.mark.parametrize("nonsense", ["", "abc", "1.2.3", "--", "nan", "1e9", "1/0in", "-", "∞"])
def test_nonsense_in_every_field_leaves_the_last_good_drawing(qtbot, page, nonsense):
    drawing, values = page.wrap_view.drawing, [field.value for field in page.fields.values()]
    for field in page.fields.values():
        type_in(qtbot, field, "x")
        field.edit.setText(nonsense)
        field.edit.textEdited.emit(nonsense)
        assert not field.good
        # Before the field is left, "-" may become a number yet.
        assert field.message.isVisible() is (nonsense not in ("", "-"))
        field.edit.editingFinished.emit()
        assert field.message.isVisible()
        assert "still counts" in field.message.text()
    qtbot.wait(50)
    assert page.wrap_view.drawing is drawing
    assert [field.value for field in page.fields.values()] == values
    assert page.joint() == page.result.joint
    assert not page.save.isEnabled()
    assert not page.print.isEnabled()
    assert page.state.text().startswith("Mend tube OD, its wall, sits on OD")


def test_numbers_that_do_not_go_together_are_said_and_cannot_be_saved(qtbot, page):
    drawing = page.wrap_view.drawing
    type_in(qtbot, page.fields["offset"], "60")
    assert "misses its target" in page.state.text()
    assert not page.save.isEnabled()
    qtbot.wait(100)
    assert page.wrap_view.drawing is drawing
    assert "misses its target" in page.state.text()
    type_in(qtbot, page.fields["offset"], "5")
    solved(qtbot, page, offset=5.0)
    qtbot.waitUntil(page.save.isEnabled)
    assert page.state.text() == ""


@pytest.mark.parametrize("locale", ["en_US", "de_DE"])
@pytest.mark.parametrize("text", ["25,4", "25.4"])
def test_comma_and_dot_mean_the_same_everywhere(qtbot, country, locale, text):
    country(locale)
    page = JointPage(Session())
    qtbot.addWidget(page)
    type_in(qtbot, page.fields["od"], text)
    assert page.fields["od"].value == 25.4
    qtbot.waitUntil(lambda: page.result is not None and page.result.joint.tube.od == 25.4)
    page.close_down()


def test_the_wheel_changes_nothing(qtbot, page):
    values = [field.value for field in page.fields.values()]
    for field in page.fields.values():
        field.edit.setFocus()
        event = QWheelEvent(
            QPointF(5, 5), field.edit.mapToGlobal(QPointF(5, 5)), QPoint(0, 120), QPoint(0, 120),
            Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
        )  # fmt: skip
        QApplication.sendEvent(field.edit, event)
    assert [field.value for field in page.fields.values()] == values


def test_inches_show_and_read_but_change_no_value(qtbot, window, page):
    values = [field.value for field in page.fields.values()]
    window.inches.setChecked(True)
    assert [field.value for field in page.fields.values()] == values
    assert page.fields["od"].edit.text() == "1-1/2"
    type_in(qtbot, page.fields["od"], "1 5/8")
    assert page.fields["od"].value == pytest.approx(1.625 * 25.4)
    type_in(qtbot, page.fields["target"], "54mm")
    assert page.fields["target"].value == 54.0
    window.inches.setChecked(False)
    assert page.fields["target"].edit.text() == "54"


def test_stale_results_are_dropped(qtbot, page, monkeypatch):
    """The work on 30 degrees ends only after 77 was typed, and is not shown even for a moment."""
    import app.window.joint_page as module

    going_on, solve, shown = threading.Event(), module._solved, []

    def slow(joint, *also, inches):
        if joint.angle_deg == 30.0:
            assert going_on.wait(5)
        return solve(joint, *also, inches=inches)

    monkeypatch.setattr(module, "_solved", slow)
    page.background.finished.connect(lambda solved: shown.append(solved[0].joint.angle_deg))
    type_in(qtbot, page.fields["angle"], "30")
    type_in(qtbot, page.fields["angle"], "77")
    going_on.set()
    solved(qtbot, page, angle_deg=77.0)
    qtbot.wait(50)
    assert 30.0 not in shown
    # What cannot be cut drops what was asked before it.
    going_on.clear()
    type_in(qtbot, page.fields["angle"], "30")
    type_in(qtbot, page.fields["offset"], "60")
    going_on.set()
    qtbot.wait(100)
    assert 30.0 not in shown


def test_the_angle_is_pointed_at_on_the_tight_side(qtbot, page):
    """The tight side is at 180 degrees, left of the upright tube; so the arc lies left of its centreline."""
    page.fields["angle"].edit.setFocus()
    (arc,) = [item for item in page.picture.pointed.items if isinstance(item, Arc)]
    assert (arc.start_deg, arc.end_deg) == (270 - 62, 270)


def test_a_passing_wheel_changes_no_choice(qtbot, page):
    event = QWheelEvent(
        QPointF(5, 5), QPointF(5, 5), QPoint(0, -120), QPoint(0, -120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(page.choices["fit"], event)
    assert page.choices["fit"].currentIndex() == 0


def test_an_error_inside_is_said_and_closes_nothing(qtbot, page, monkeypatch, caplog):
    import app.window.joint_page as module

    def broken(*_asked, **_also):
        1 / 0  # noqa: B018

    monkeypatch.setattr(module, "_solved", broken)
    type_in(qtbot, page.fields["angle"], "50")
    qtbot.waitUntil(lambda: "it is in the log" in page.state.text())
    assert "ZeroDivisionError" in caplog.text
    assert page.fields["angle"].edit.text() == "50"
    monkeypatch.undo()
    type_in(qtbot, page.fields["angle"], "51")
    solved(qtbot, page, angle_deg=51.0)


def test_a_folder_that_cannot_be_written_is_said(qtbot, page, tmp_path):
    (tmp_path / "file").write_text("mine")
    assert "cannot be written" in saved(qtbot, page, tmp_path / "file")
    assert (tmp_path / "file").read_text() == "mine"


def test_measure_zoom_and_fit(qtbot, page):
    view = page.wrap_view
    points = outline(page)
    page.measure.setChecked(True)
    # The foot, once round: from the left end of the outline's foot to the right end.
    for place in (points[-1], points[-2]):
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=view.pixel(QPointF(*place)).toPoint())
    said = float(page.state.text().split(" ")[0])
    # A click is as good as a pixel, a third of a mm here.
    assert said == pytest.approx(np.pi * 38.2, abs=0.8)
    page.measure.setChecked(False)
    middle = QPointF(view.width() / 2, view.height() / 2)
    place = view.at(middle)
    view.zoom(3.0, middle)
    assert view.at(middle).x() == pytest.approx(place.x())
    qtbot.keyClick(view, Qt.Key.Key_F)
    low, high = view.pixel(QPointF(*points.min(axis=0))), view.pixel(QPointF(*points.max(axis=0)))
    assert 0 <= low.x() < high.x() <= view.width()
    assert 0 <= high.y() < low.y() <= view.height()


def test_dark_and_light_are_the_systems_own(qtbot, window, page):
    def paper_and_ink():
        image = page.wrap_view.grab().toImage()
        shades = [
            image.pixelColor(x, y).lightness()
            for x in range(0, image.width(), 7)
            for y in range(0, image.height(), 7)
        ]
        return max(set(shades), key=shades.count)

    assert paper_and_ink() > 200
    dark = QPalette()
    dark.setColor(QPalette.ColorRole.Base, QColor(25, 25, 25))
    dark.setColor(QPalette.ColorRole.Text, QColor(240, 240, 240))
    page.setPalette(dark)
    page.wrap_view.setPalette(dark)
    assert paper_and_ink() < 60


def test_gauge_numbers_are_walls_and_nothing_else(qtbot, window, page):
    type_in(qtbot, page.fields["wall"], "16swg")
    assert page.fields["wall"].value == pytest.approx(1.6256)
    type_in(qtbot, page.fields["offset"], "16swg")
    assert not page.fields["offset"].good
    window.inches.setChecked(True)
    type_in(qtbot, page.fields["od"], "x")
    assert "1-1/2 in still counts" in page.fields["od"].message.text()


def test_the_picture_points_at_the_length_whose_field_has_the_focus(qtbot, page):
    seen = []
    for field in page.fields.values():
        field.edit.setFocus()
        assert page.picture.caption == f"{field.label}: {field.tip}"
        assert page.picture.pointed.items
        low, high = extents(page.picture.pointed, with_text=False)
        drawn_low, drawn_high = extents(page.picture.drawing)
        assert low[0] > drawn_low[0] - 15
        assert high[0] < drawn_high[0] + 15
        seen.append((low, high))
    assert len(set(seen)) == len(seen)
    page.name.setFocus()
    assert page.picture.pointed is None


def test_the_pointed_lengths_are_the_lengths(qtbot, page):
    """In the picture's own scale, which is that of the outside diameter."""
    length = {}
    for key in ("od", "target", "wall"):
        page.fields[key].edit.setFocus()
        one, two = page.picture.pointed.items[:2]
        length[key] = math.dist(one.start, two.start)
    assert length["target"] / length["od"] == pytest.approx(54 / 38.1)
    frame = end_frame(page.joint(), 66.0, 64.0)
    assert length["wall"] == pytest.approx(1.6 * frame.scale)
    page.fields["offset"].edit.setFocus()
    one, two = page.picture.pointed.items[:2]
    assert two.start[1] - one.start[1] == pytest.approx(6 * frame.scale)


def test_a_range_is_said_in_the_fields_own_unit(qtbot, window, page):
    type_in(qtbot, page.fields["root_gap"], "25")
    assert "up to 20 mm" in page.fields["root_gap"].message.text()
    window.inches.setChecked(True)
    assert page.fields["root_gap"].edit.text() == "25"
    type_in(qtbot, page.fields["root_gap"], "25")
    type_in(qtbot, page.fields["root_gap"], "20mm")
    assert page.fields["root_gap"].value == 20.0
    type_in(qtbot, page.fields["root_gap"], "25")
    assert "root gap is 25 in; allowed is from 0 up to 0.7874 in" in (
        page.fields["root_gap"].message.text()
    )


def test_words_that_are_wrong_stay_when_the_unit_changes(qtbot, window, page):
    type_in(qtbot, page.fields["od"], "x8.1")
    window.inches.setChecked(True)
    assert page.fields["od"].edit.text() == "x8.1"
    assert "1-1/2 in still counts" in page.fields["od"].message.text()


def test_paper_thickness_and_correction_reach_the_saved_wrap(qtbot, window, page, tmp_path, capsys):
    type_in(qtbot, window.paper.form.thickness, "0.25")
    qtbot.waitUntil(lambda: window.session.paper.thickness == 0.25)
    keep_correction(Correction(1.003, 0.998, "hall"), "dual")
    window.paper.form.printer.setEditText("hall")
    window.paper.form.printer.lineEdit().editingFinished.emit()
    assert window.session.paper.printer == "hall"
    saved(qtbot, page, tmp_path / "window")
    words = ["joint", "--tube", "38.1x1.6", "--onto", "54", "--angle", "62", "--offset", "6", "--paper-thickness",
             "0.25", "--printer", "hall", "--out", str(tmp_path / "command")]  # fmt: skip
    assert main(words) == 0
    capsys.readouterr()
    one, two = ((tmp_path / name / "joint.pdf").read_bytes() for name in ("window", "command"))
    assert one == two


def test_the_count_of_sheets_is_said_before_printing(qtbot, window, page):
    qtbot.waitUntil(lambda: page.paper_line.text().startswith("3 sheets, A4 or Letter"))
    page.paper_line.linkActivated.emit("paper")
    assert window.names.currentItem().text() == "Paper"


def test_a_number_half_typed_never_counts(qtbot, page, tmp_path):
    """118 is refused where 90 is the most; the 11 on the way to it is not what was meant."""
    type_in(qtbot, page.fields["angle"], "118")
    assert page.fields["angle"].value == 62.0
    assert "give the smaller angle" in page.fields["angle"].message.text()
    assert "62° still counts" in page.fields["angle"].message.text()
    qtbot.waitUntil(lambda: page.result.joint.angle_deg == 62.0)
    assert not page.save.isEnabled()
    assert page.remembered()["angle"] == 62.0
    type_in(qtbot, page.fields["angle"], "18")
    solved(qtbot, page, angle_deg=18.0)
    qtbot.waitUntil(page.save.isEnabled)
    qtbot.keyClick(page.fields["angle"].edit, Qt.Key.Key_Return)
    type_in(qtbot, page.fields["angle"], "181")
    assert page.fields["angle"].value == 18.0


def test_saving_waits_for_what_was_typed_a_moment_before(
    qtbot, window, page, tmp_path, monkeypatch
):
    monkeypatch.setattr(
        "app.window.folders.QFileDialog.getExistingDirectory", lambda *_: str(tmp_path / "papers")
    )
    type_in(qtbot, page.fields["angle"], "41")
    page.save.click()
    # In a folder of its own, where it is to be.
    own = tmp_path / "papers" / f"{FileNames().of(page.name.text())}-papers"
    qtbot.waitUntil(lambda: (own / "numbers.json").exists())
    assert '"angle": 41.0' in (own / "numbers.json").read_text("utf-8")
