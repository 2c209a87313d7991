"""What the form of a new tube says of what is typed, before the tube is made."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt

from app.document.samples import sample_frame
from app.window.proposed_words import first_stock
from geometry.as_bent_checks import as_drawn
from geometry.bend_tool import BendTool
from geometry.edits import put_stock, put_tool
from geometry.frame import Frame
from tests.app.window.conftest import solved, type_in
from tests.geometry.test_hoop_as_bent import hoop

STAND = Path(__file__).parents[3] / "sample_projects/paddock-stand/paddock-stand.frame"


@pytest.fixture
def new(open_window):
    page = open_window("Frame", STAND).frame
    page.column.tabs.setCurrentIndex(0)
    page.column.add.click()
    return page.forms.new


def told(qtbot, new, words):
    qtbot.waitUntil(lambda: words.casefold() in new.told.text().casefold(), timeout=10_000)


def test_what_a_typed_stock_is_made_of_is_said(qtbot, new):
    new.name.setText("tie")
    new.stock.setEditText("27x2")
    new.points[0].setEditText("0, 0, 300")
    new.points[1].setEditText("0, 0, 900")
    told(qtbot, new, "27x2 is taken as E235, plain mild steel; change that in the list Stock.")
    # What is there already was chosen by the person.
    new.stock.setEditText(next(iter(new._frame.stock)))
    told(qtbot, new, "From x 0, y 0, z 300")
    qtbot.waitUntil(lambda: "is taken as" not in new.told.text(), timeout=10_000)


def test_what_is_wrong_with_the_first_point_is_said_before_there_is_another(qtbot, new):
    page = new.window().frame
    page.document.do("Hoop", lambda _: as_drawn(replace(hoop(), tubes=hoop().tubes[:1])))
    solved(qtbot, page)
    page.column.add.click()
    new.name.setText("tie")
    new.points[0].setEditText("on hoop at height 400")
    told(qtbot, new, "hoop is at that height 2 times")
    new.points[0].setEditText("on hoop at 120")
    told(qtbot, new, "needs a point at its start and one at its finish")


def test_its_bends_begin_with_the_radius_that_the_tool_at_hand_leaves(qtbot, new):
    page = new.window().frame
    page.document.do("Tool", lambda f: put_tool(f, "mine", BendTool(30.0, 95.0)))
    solved(qtbot, page)
    page.column.add.click()
    new.name.setText("bow")
    new.stock.setEditText("30x2")
    for combo, text in zip(new.points, ("0, 0, 300", "0, 0, 900"), strict=True):
        combo.setEditText(text)
    new.longer.click()
    new.points[2].setEditText("500, 0, 900")
    told(qtbot, new, "1 bend between its ends, of radius ")
    words = new.told.text().partition("of radius ")[2]
    assert 95.0 < float(words.split()[0]) < 97.0


@pytest.mark.parametrize("title", ["In space", "Side", "Above", "Front"])
def test_a_tube_to_come_is_seen_whole_however_far_away(qtbot, new, title):
    page = new.window().frame
    view = page.views.space if title == "In space" else page.views.flat[title]
    page.views.tabs.setCurrentIndex(["In space", "Side", "Above", "Front"].index(title))
    points = [(2500.0, 900.0, 1500.0), (-2600.0, -700.0, -40.0)]
    new.name.setText("mast")
    for combo, at in zip(new.points, points, strict=True):
        combo.setEditText("; ".join(map(str, at)))
    told(qtbot, new, "From x 2500, y 900, z 1500")
    if title == "In space":
        places = view.placed(np.array(points))[:, :2].tolist()
    else:
        flat = view.scene.view.flat(np.array(points)).tolist()
        places = [view.pixel(QPointF(*one)).toTuple() for one in flat]
    for x, y in places:
        assert 0 <= x <= view.width()
        assert 0 <= y <= view.height()


def test_the_radius_of_its_bends_is_typed_where_it_has_some(qtbot, new):
    page = new.window().frame
    assert not new.radius.isVisible()
    new.name.setText("arch")
    new.stock.setEditText("30x2")
    new.longer.click()
    assert new.radius.isVisible()
    for combo, words in zip(new.points, ("0, 0, 900", "0, 0, 1300", "0, 400, 1300"), strict=True):
        combo.setEditText(words)
    told(qtbot, new, "1 bend between its ends, of radius 90 mm.")
    assert new.radius.placeholderText() == "90"
    new.radius.setText("110.5")
    new.radius.textEdited.emit("110.5")
    told(qtbot, new, "of radius 110.5 mm.")
    # What does not fit is said, and cannot be added.
    new.radius.setText("700")
    new.radius.textEdited.emit("700")
    qtbot.waitUntil(
        lambda: "radius" in new.told.text().casefold() and not new.done.isEnabled(), timeout=10_000
    )
    new.radius.setText("wide")
    new.radius.textEdited.emit("wide")
    told(qtbot, new, "radius of its bends")
    assert not new.done.isEnabled()
    new.radius.setText("110.5")
    new.radius.textEdited.emit("110.5")
    told(qtbot, new, "of radius 110.5 mm.")
    new.finish()
    assert page.frame.tube("arch").radii == (110.5,)
    assert page.column.current == "arch"
    assert page.forms.front is page.forms.tube


def test_a_radius_that_does_not_fit_leaves_the_last_one(qtbot, new):
    page = new.window().frame
    page.document.do("Hoop", lambda _: as_drawn(replace(hoop(), tubes=hoop().tubes[:1])))
    solved(qtbot, page)
    page.choose("Tubes", "hoop")
    form = page.forms.tube
    before = page.frame
    (field, *_) = form.radii
    qtbot.waitUntil(lambda: page.window().isActiveWindow() or page.window().activateWindow())
    field.edit.setFocus()
    qtbot.waitUntil(field.edit.hasFocus)
    type_in(qtbot, field, "900")
    assert page.frame == before
    # Said beside the field, and the other bend shows what counts.
    assert not field.good
    assert "still counts" in field.message.text()
    assert form.radii[1].value == before.tube("hoop").radii[1]
    assert form.radii[1].words == f"{before.tube('hoop').radii[1]:g} mm"
    type_in(qtbot, field, "95")
    assert page.frame.tube("hoop").radii[0] == 95


def test_escape_keeps_what_is_typed_for_the_next_time_and_cancel_does_not(qtbot, new):
    page = new.window().frame
    new.name.setText("tie")
    new.stock.setEditText("27x2")
    new.points[0].setEditText("0, 0, 300")
    qtbot.keyClick(new.points[0].lineEdit(), Qt.Key.Key_Escape)
    assert not page.adding
    page.column.add.click()
    assert (new.name.text(), new.stock.currentText()) == ("tie", "27x2")
    assert [combo.currentText() for combo in new.points] == ["0, 0, 300", ""]
    new.leave.click()
    page.column.add.click()
    assert new.name.text() == "tube"
    assert [combo.currentText() for combo in new.points] == ["", ""]
    # Where nothing was typed it begins anew, with the stock that is there by then.
    qtbot.keyClick(new, Qt.Key.Key_Escape)
    page.edits.add_stock(inches=False)
    page.column.tabs.setCurrentIndex(0)
    page.column.add.click()
    assert new.stock.currentText() == list(page.frame.stock)[-1]
    # What is typed for one frame is not for another one.
    new.points[0].setEditText("0, 0, 300")
    qtbot.keyClick(new, Qt.Key.Key_Escape)
    page.document.new()
    page.column.add.click()
    assert new.points[0].currentText() == ""


def test_points_of_a_tube_that_is_left_are_gone_from_the_views(qtbot, new):
    page = new.window().frame
    view = page.views.flat["Side"]
    page.views.tabs.setCurrentWidget(view)
    page.column.add.click()
    new.points[0].setEditText("-200, 0, 400")
    new.points[1].setEditText("-300, 0, 500")
    qtbot.waitUntil(lambda: set(view.scene.points) > set(page.frame.points))
    qtbot.keyClick(new.points[1], Qt.Key.Key_Escape)
    assert set(view.scene.points) == set(page.frame.points)
    assert view._sketched == []


def test_a_new_tube_is_of_the_stock_of_the_one_before_unless_some_was_just_added():
    frame = sample_frame("paddock-stand")
    assert first_stock(Frame("f", frame.stock)) == list(frame.stock)[-1]
    # The props are of the first one.
    assert first_stock(frame) == frame.tubes[-1].stock == "main" != list(frame.stock)[-1]
    assert first_stock(put_stock(frame, "new", frame.stock["main"])) == "new"
    assert first_stock(Frame()) == ""
