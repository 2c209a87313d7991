"""The paddock stand made from nothing in the real window, by clicks and keys; it is the sample's file, byte for byte."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest

from app.document.frame_file import frame_bytes, open_frame
from app.window.frame_column import KINDS
from app.window.walk import STEPS
from geometry.frame import Frame

STAND = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"
ENTER = Qt.Key.Key_Return


@pytest.fixture
def window(open_window):
    return open_window("Frame")


def click(widget, pos=None):
    assert widget.isVisible(), f"{widget} is not in view"
    assert widget.isEnabled(), f"{widget} cannot be pressed"
    QTest.mouseClick(widget, Qt.MouseButton.LeftButton, pos=pos or QPoint(8, widget.height() // 2))


def show_list(page, kind):
    bar = page.column.tabs.tabBar()
    click(bar, bar.tabRect(KINDS.index(kind)).center())
    assert page.column.kind == kind


def words(edit, text):
    edit.selectAll()
    QTest.keyClicks(edit, text)
    QTest.keyClick(edit, ENTER)


def type_number(field, text):
    field.edit.selectAll()
    QTest.keyClicks(field.edit, text)


def choose(combo, text):
    """With the keys, as in a list that is not open."""
    combo.setFocus()
    QTest.keyClick(combo, Qt.Key.Key_Home)
    for _ in range(combo.count()):
        if combo.currentText() == text:
            break
        QTest.keyClick(combo, Qt.Key.Key_Down)
    assert combo.currentText() == text


def add_stock(page, name, od, wall):
    show_list(page, "Stock")
    click(page.column.add)
    words(page.forms.stock.name, name)
    type_number(page.forms.stock.od, od)
    type_number(page.forms.stock.wall, wall)


def add_tube(qtbot, page, name, stock, *points, handed=False):
    show_list(page, "Tubes")
    click(page.column.add)
    form = page.forms.new
    words(form.name, name)
    words(form.stock.lineEdit(), stock)
    for combo, text in zip(form.points, points, strict=True):
        words(combo.lineEdit(), text)
    if handed:
        click(form.handed)
    if form.isVisible():
        click(form.done)
    qtbot.waitUntil(lambda: page.column.tubes.current == name)


def add_point(page, name, kind):
    show_list(page, "Points")
    click(page.column.add)
    form = page.forms.point
    words(form.name, name)
    choose(form.kind, kind)
    return form


def build(qtbot, page):
    add_stock(page, "main", "30", "2")
    add_stock(page, "bar", "33.7", "2,6")
    add_tube(
        qtbot, page, "roller bar", "bar", "roller right: 0, -190, 45", "roller left: mirror of roller right"
    )  # fmt: skip
    add_tube(
        qtbot, page, "handle", "main", "handle right: -640, -130, 60", "handle left: mirror of handle right"
    )  # fmt: skip
    show_list(page, "Tubes")
    click(page.column.add)
    form = page.forms.new
    words(form.name, "arm")
    words(form.stock.lineEdit(), "main")
    click(form.handed)
    words(form.points[0].lineEdit(), "arm front: 0 160 45")
    words(form.points[1].lineEdit(), "arm rear: -640; 105; 60")
    qtbot.waitUntil(lambda: "arm" in page.column.tubes.names)
    form = add_point(page, "prop foot", "on a tube, so far from its end")
    choose(form.tube, "arm")
    type_number(form.along, "170")
    form = add_point(page, "prop head", "so far from another point")
    choose(form.base, "arm front")
    for field, text in zip(form.axes, ("35", "0", "245"), strict=True):
        type_number(field, text)
    show_list(page, "Tubes")
    click(page.column.add)
    words(page.forms.new.name, "prop")
    words(page.forms.new.stock.lineEdit(), "main")
    click(page.forms.new.handed)
    # Its points are picked: one in the view from above, one in the list.
    view = page.views.flat["Above"]
    click(page.views.tabs.tabBar(), page.views.tabs.tabBar().tabRect(2).center())
    qtbot.waitUntil(lambda: view.scene is not None and "prop foot" in view.scene.points)
    at = view.pixel(QPointF(*view.scene.points["prop foot"])).toPoint()
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=at)
    assert page.forms.new.points[0].currentText() == "prop foot"
    choose(page.forms.new.points[1], "prop head")
    click(page.forms.new.done)
    qtbot.waitUntil(lambda: page.column.tubes.current == "prop")
    click(page.column.whole)
    words(page.forms.frame.name, "rear paddock stand")


def test_the_stand_from_nothing(qtbot, window, tmp_path):
    page = window.frame
    build(qtbot, page)
    window.actions_of_frame.choose_to_save = lambda: tmp_path / "own.frame"
    window.actions_of_frame.save.trigger()
    assert open_frame(tmp_path / "own.frame") == open_frame(STAND)
    assert (tmp_path / "own.frame").read_bytes() == frame_bytes(open_frame(STAND))
    qtbot.waitUntil(lambda: page.result is not None and page.result.fitted.frame == page.frame)
    assert page.column.findings.text() == "No findings"
    assert page.column.count.text() == "6 parts"


def test_all_of_it_undone_and_done_again(qtbot, window):
    page, document = window.frame, window.document
    build(qtbot, page)
    whole, undo, redo = document.frame, window.actions_of_frame.undo, window.actions_of_frame.redo
    frames = [whole]
    while undo.isEnabled():
        words_before = undo.text()
        undo.trigger()
        assert redo.text().partition(": ")[2] == words_before.partition(": ")[2]
        frames.append(document.frame)
    assert document.frame == Frame()
    for before in frames[-2::-1]:
        redo.trigger()
        assert document.frame == before
    assert document.frame == whole
    assert not redo.isEnabled()


def test_led_step_by_step_by_hand(qtbot, window):
    """What the steps say is enough: each is seen to be done by itself."""
    page = window.frame
    window.walk()
    seen = []
    page.document.changed.connect(lambda: seen.append(page.walk.number))
    assert page.walk.number == 0
    build(qtbot, page)
    assert page.walk.title.text() == "Done"
    assert sorted(set(seen)) == list(range(len(STEPS) + 1))
    assert "Paper" in page.walk.words.text()


def test_led_step_by_step_and_shown(qtbot, window):
    page = window.frame
    window.walk()
    qtbot.waitUntil(page.walk.isVisible)
    for number in range(len(STEPS)):
        assert page.walk.number == number
        click(page.walk.do)
    assert page.frame == open_frame(STAND)
    page.document.undo()
    assert page.walk.number == len(STEPS) - 1
    page.document.redo()
    click(page.walk.leave)
    assert page.walk is None
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.walk()
    assert page.walk.number == 0


def test_the_steps_are_in_mm_whatever_was_shown(qtbot, window):
    page = window.frame
    window.inches.trigger()
    assert page.frame.units == "in"
    window.walk()
    assert page.frame.units == "mm"
    assert not window.inches.isChecked()
    assert not window.actions_of_frame.undo.isEnabled()
    add_stock(page, "main", "30", "2")
    assert page.walk.number == 1
    assert page.walk.hint.text() == ""
    # Whoever goes over to inches on the way is told.
    window.inches.trigger()
    assert "are in mm, and lengths are shown in inches" in page.walk.hint.text()
    add_stock(page, "bar", "33.7 mm", "2.6 mm")
    assert page.walk.number == 2
    window.inches.trigger()
    assert page.walk.hint.text() == ""


def test_what_is_named_otherwise_is_said(qtbot, window):
    page = window.frame
    window.walk()
    add_stock(page, "Main", "30", "2")
    assert page.walk.hint.text() == "The stock Main should be named main, letter for letter."
    page.edits.rename("Stock", "Main", "main")
    add_stock(page, "rail", "33.7", "2.6")
    assert page.walk.hint.text() == "The stock rail should be named bar, letter for letter."
    page.edits.rename("Stock", "rail", "bar")
    add_tube(qtbot, page, "Bar", "bar", "0, -190, 45", "roller left: mirror of Bar start")
    assert page.walk.hint.text().splitlines() == [
        "The point Bar start should be named roller right, letter for letter.",
        "The point roller left is elsewhere, or set out otherwise.",
    ]
    page.edits.rename("Points", "Bar start", "roller right")
    assert page.walk.hint.text() == "The tube Bar should be named roller bar, letter for letter."
    page.edits.rename("Tubes", "Bar", "Roller Bar")
    click(page.walk.do)
    assert [tube.name for tube in page.frame.tubes] == ["roller bar"]
    for _ in range(3, len(STEPS)):
        click(page.walk.do)
    page.document.undo()
    page.edits.rename_frame("frame", "Rear paddock stand")
    assert "should be named rear paddock stand" in page.walk.hint.text()


def test_what_is_to_be_typed_is_set_off(window):
    window.walk()
    words = window.frame.walk.words
    assert words.textFormat() == Qt.TextFormat.RichText
    assert "name it <b>main</b>: round, <b>30</b> mm outside, wall <b>2</b>" in words.text()
