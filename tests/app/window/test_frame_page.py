"""The page of a frame, driven by hand: the paddock stand opened, changed, undone; a small frame made from nothing."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest

from app.document.frame_file import open_frame
from app.window.frame_page import FramePage
from app.window.session import Session
from geometry.edits import put_point, remove_point, rename_frame, rename_point, rename_stock
from geometry.place import At
from tests.app.window.conftest import solved, type_in

STAND = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"


@pytest.fixture
def page(qtbot):
    session = Session()
    one = FramePage(session)
    qtbot.addWidget(one)
    one.resize(1100, 720)
    one.show()
    solved(qtbot, one)
    yield one
    one.background.wait()
    one.document.let_go()
    session.keep_now()


@pytest.fixture
def stand(page, qtbot, tmp_path):
    page.document.open(Path(shutil.copy(STAND, tmp_path / "stand.frame")))
    solved(qtbot, page)
    return page


def test_a_frame_is_shown_in_its_lists_and_views(stand):
    frame = open_frame(STAND)
    assert stand.column.tubes.names == [tube.name for tube in frame.tubes]
    assert stand.column.points.names == list(frame.points)
    assert stand.column.stock.names == list(frame.stock)
    assert "6 parts" in stand.column.count.text()
    for index, view in enumerate(stand.views.flat.values(), 1):
        # A view is drawn when it comes to the front.
        stand.views.tabs.setCurrentIndex(index)
        assert len(view.scene.parts) == 6
        assert set(view.scene.points) == set(frame.points)


def test_choosing_in_a_list_shows_the_form_and_points_in_the_views(stand):
    stand.column.tubes.setCurrentRow(2)
    assert stand.forms.currentIndex() == 1
    assert stand.forms.tube.tube.name == "arm"
    side = stand.views.flat["Side"]
    stand.views.tabs.setCurrentWidget(side)
    assert side.pointed is not None
    stand.column.tabs.setCurrentIndex(1)
    stand.column.points.setCurrentRow(0)
    assert stand.forms.point.named == "roller right"
    assert side.pointed is None


def test_a_click_in_a_view_chooses_in_the_lists(stand, qtbot):
    view = stand.views.flat["Side"]
    stand.views.tabs.setCurrentWidget(view)
    point = "handle right"
    at = view.pixel(QPointF(*view.scene.points[point])).toPoint()
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=at)
    assert stand.column.kind == "Points"
    assert stand.column.points.current in ("handle right", "handle left")


def test_numbers_typed_are_undone_by_name(stand, qtbot):
    stand.choose("Points", "prop head")
    type_in(qtbot, stand.forms.point.axes[2], "300")
    solved(qtbot, stand)
    assert stand.frame.points["prop head"].offset[2] == 300
    assert stand.document.history.undo_words == "Set out point prop head"
    while stand.document.history.past:
        stand.document.undo()
    assert stand.frame == open_frame(STAND)
    assert stand.forms.point.axes[2].value == open_frame(STAND).points["prop head"].offset[2]


def test_a_point_dragged_in_a_view_is_one_step(stand, qtbot):
    view = stand.views.flat["Side"]
    # The roller's point lies on the other one in side view; the arm's front end is a point of its own.
    view = stand.views.flat["Above"]
    stand.views.tabs.setCurrentWidget(view)
    view.fit()
    start = view.pixel(QPointF(*view.scene.points["arm rear"])).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    for step in (10, 20, 30):
        QTest.mouseMove(view, start + QPoint(0, -step))
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=start + QPoint(0, -30))
    solved(qtbot, stand)
    assert len(stand.document.history.past) == 1
    assert stand.document.history.undo_words == "Move point arm rear"
    moved = stand.frame.points["arm rear"]
    before = open_frame(STAND).points["arm rear"]
    assert moved.y > before.y
    assert (moved.x, moved.z) == (before.x, before.z)


def test_the_order_is_changed_and_what_cannot_be_is_said(stand, qtbot):
    stand.choose("Tubes", "prop")
    QTest.keyClick(stand.column.tubes, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert stand.column.tubes.names[2] == "prop"
    assert stand.column.tubes.current == "prop"
    stand.document.undo()
    assert stand.column.tubes.names[2] == "arm"
    stand.choose("Points", "arm front")
    QTest.keyClick(stand.column.points, Qt.Key.Key_Delete)
    assert "cannot be taken out: tube 'arm', point 'prop head' need it" in stand.column.state.text()
    assert "arm front" in stand.frame.points


def test_a_new_name_follows_everywhere(stand, qtbot):
    stand.choose("Tubes", "arm")
    stand.forms.tube.name.setText("long arm")
    stand.forms.tube.name.editingFinished.emit()
    assert stand.column.tubes.current == "long arm"
    assert stand.frame.points["prop foot"].tube == "long arm"
    stand.forms.tube.name.setText("handle")
    stand.forms.tube.name.editingFinished.emit()
    assert "twice" in stand.column.state.text()
    assert stand.forms.tube.name.text() == "long arm"


def test_a_frame_from_nothing(page, qtbot):
    page.column.tabs.setCurrentIndex(2)
    page.column.add.click()
    type_in(qtbot, page.forms.stock.od, "30")
    page.column.tabs.setCurrentIndex(1)
    for x in ("0", "500"):
        page.column.add.click()
        type_in(qtbot, page.forms.point.axes[0], x)
    page.column.tabs.setCurrentIndex(0)
    page.column.add.click()
    assert page.adding
    for combo, point in zip(page.forms.new.points, ("point", "point 2"), strict=True):
        combo.setEditText(point)
    page.forms.new.done.click()
    qtbot.waitUntil(lambda: bool(page.frame.tubes))
    solved(qtbot, page)
    assert page.frame.stock["tube"].section.od == 30
    assert list(page.frame.points.values()) == [At(0, 0, 0), At(500, 0, 0)]
    assert [tube.path for tube in page.frame.tubes] == [("point", "point 2")]
    assert page.column.tubes.current == "tube"
    assert "1 part" in page.column.count.text()
    steps = 0
    while page.document.history.past:
        page.document.undo()
        steps += 1
    # What is typed in one field in one go is one step.
    assert steps == 6
    assert page.frame.tubes == ()


def test_inches_are_shown_everywhere(stand, qtbot):
    stand.session.change(inches=True)
    assert "1.1811" in stand.column.tubes.item(1).text()
    stand.choose("Stock", "main")
    assert stand.forms.stock.od.words.endswith("in")


def test_the_list_says_at_once_what_a_tube_has_to_heed(stand, qtbot):
    stand.choose("Points", "arm rear")
    type_in(qtbot, stand.forms.point.axes[0], "-400")
    solved(qtbot, stand)
    heeded = {f.where.split(",")[0] for f in stand.result.findings if f.level != "note"}
    assert heeded & {"arm left", "arm right"}
    row = stand.column.tubes.names.index("arm")
    assert stand.column.tubes.item(row).text().endswith("2 errors")


def test_lists_that_are_not_in_view_follow_when_they_are_turned_to_and_at_rest(stand, qtbot):
    _, points, stock, _ = (stand.column.tabs.widget(number) for number in range(4))
    first = next(iter(stand.frame.stock))
    stand.document.do("Rename", lambda frame: rename_point(frame, "prop head", "prop top"))
    stand.document.do("Rename", lambda frame: rename_stock(frame, first, "thick one"))
    assert "prop top" not in points.names
    # As a person does: the tab is clicked.
    bar = stand.column.tabs.tabBar()
    QTest.mouseClick(bar, Qt.MouseButton.LeftButton, pos=bar.tabRect(1).center())
    assert stand.column.tabs.currentWidget() is points
    assert "prop top" in points.names
    assert first in stock.names
    solved(qtbot, stand)
    assert "thick one" in stock.names


def test_what_is_chosen_in_a_list_out_of_view_is_followed_edit_by_edit(stand, qtbot):
    """Three steps taken back at once: what was chosen is gone, and nothing else is chosen for it."""
    do = stand.document.do
    do("Add", lambda frame: put_point(frame, "one", At(1, 0, 0)))
    do("Take out", lambda frame: remove_point(frame, "one"))
    do("Add", lambda frame: put_point(frame, "other", At(2, 0, 0)))
    stand.choose("Points", "other")
    solved(qtbot, stand)
    stand.column.tabs.setCurrentIndex(0)
    for _ in range(2):
        stand.document.undo()
    stand.column.tabs.setCurrentIndex(1)
    points = stand.column.tabs.widget(1)
    assert "one" in points.names
    assert points.selected == []


def test_an_error_inside_is_said_and_the_frame_stays(stand, qtbot, caplog):
    frame = stand.frame
    stand._show_error(ValueError("inside"))
    assert "it is in the log" in stand.column.state.text()
    assert stand.frame is frame
    assert "the frame page" in caplog.text


def test_undo_in_a_field_takes_the_edit_back(open_window, qtbot):
    window = open_window("Frame")
    window.actions_of_frame.open_sample("paddock-stand")
    page, before = window.frame, window.document.frame
    page.choose("Points", "prop head")
    field = page.forms.point.axes[2]
    field.edit.setFocus()
    type_in(qtbot, field, "300")
    assert window.document.frame != before
    keys = Qt.KeyboardModifier.ControlModifier
    QTest.keyClick(field.edit, Qt.Key.Key_Z, keys)
    assert window.document.frame == before
    assert field.value == 245
    QTest.keyClick(field.edit, Qt.Key.Key_Z, keys | Qt.KeyboardModifier.ShiftModifier)
    assert field.value == 300


def test_on_the_page_of_one_joint_undo_is_the_fields_own(open_window, qtbot):
    window = open_window("Joint")
    window.actions_of_frame.open_sample("paddock-stand")
    window.document.do("Rename", lambda frame: rename_frame(frame, "mine"))
    window.go_to("Joint")
    edit = window.joint.fields["od"].edit
    edit.setFocus()
    type_in(qtbot, window.joint.fields["od"], "40")
    QTest.keyClick(edit, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert edit.text() != "40"
    assert window.document.frame.name == "mine"
