"""Numbers that are good each, and do not go together, on the pages Joint and Bend."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from app.window import joint_page
from app.window.number_field import NumberField
from app.window.number_table import plain_number
from tests.app.window.conftest import type_in


@pytest.mark.parametrize(
    ("page", "od", "field", "typed", "why"),
    [
        ("Joint", "12", "wall", "7", "tube wall is 7 mm; allowed is above 0 and below 6 mm"),
        ("Joint", "12", "offset", "40", "offset is 40 mm; allowed is less than 33 mm"),
        ("Joint", "40", "angle", "0.1", "this tube's cut would be 22918 mm long"),
        ("Bend", "12", "wall", "7", "tube wall is 7 mm; allowed is above 0 and below 6 mm"),
        ("Bend", "40", "radius", "15", "bend 1 radius is 15 mm; allowed is above 20"),
    ],
)
def test_what_two_fields_are_wrong_in_together_is_said_beside_one(
    qtbot, open_window, page, od, field, typed, why
):
    window = open_window(page)
    page = window.page(page)
    type_in(qtbot, page.fields["od"], od)
    one = page.fields[field]
    good = one.value
    type_in(qtbot, one, typed)
    assert why in one.message.text()
    assert one.message.isVisible()
    assert [each for each in page.fields.values() if each.message.isVisible()] == [one]
    # What is typed counts all the same, also when it is typed once more; another field may cure it.
    assert (one.value, one.good) == (float(typed), True)
    type_in(qtbot, one, typed)
    assert one.message.isVisible()
    window.inches.trigger()
    assert " in; " in one.message.text() or field == "angle"
    window.inches.trigger()
    type_in(qtbot, one, "apples")
    assert "is not a" in one.message.text()
    type_in(qtbot, one, typed)
    assert why in one.message.text()
    type_in(qtbot, one, str(good))
    qtbot.waitUntil(lambda: not one.message.isVisible())
    assert one.edit.accessibleDescription() == one.tip


@pytest.mark.parametrize(
    ("kind", "whole"),
    [
        ("length", "-12"), ("length", "1-1/2in"), ("length", '1 1/2"'), ("length", "1.5inches"), ("length", "38,1 mm"),
        ("wall", "16swg"), ("wall", "16 bwg"), ("angle", "45degrees"), ("angle", "45°"), ("length", ".5"),
        ("percent", "5.5"), ("count", "12"), ("number", "-0.5"),
    ],
)  # fmt: skip
def test_what_is_being_typed_is_not_called_wrong_before_it_is(qtbot, kind, whole):
    field = NumberField("f", 10.0, -500.0, 500.0, kind=kind)
    qtbot.addWidget(field)
    field.show()
    field.edit.selectAll()
    qtbot.keyClick(field.edit, Qt.Key.Key_Delete)
    for number, letter in enumerate(whole, 1):
        qtbot.keyClicks(field.edit, letter)
        assert not field.told, whole[:number]
    assert field.good
    type_in(qtbot, field, "apples")
    assert field.told


def test_what_does_not_go_together_is_still_said_when_a_unit_is_typed(qtbot, open_window):
    offset = open_window("Joint").joint.fields["offset"]
    type_in(qtbot, offset, "200")
    offset._settle()
    qtbot.waitUntil(lambda: "misses its target" in offset.message.text())
    for text in ("200 m", "200 mm"):
        type_in(qtbot, offset, text)
    assert offset.good
    assert offset.message.isVisible()
    # Of another value it is not said until that has been tried.
    type_in(qtbot, offset, "3")
    assert not offset.message.isVisible()


@pytest.mark.parametrize("button", ["save", "print"])
def test_a_menu_says_why_a_half_typed_number_is_not_saved(qtbot, open_window, monkeypatch, button):
    window = open_window("Joint")
    page = window.joint
    monkeypatch.setattr(page, f"_{button}_asked", lambda: pytest.fail("it was asked for"))
    angle = page.fields["angle"]
    angle.edit.setFocus()
    type_in(qtbot, angle, "62.")
    assert not angle.told
    qtbot.waitUntil(lambda: QApplication.focusWidget() is angle.edit)
    window.press(button)
    assert angle.told
    assert "Mend angle" in page.state.text()


def test_the_drawing_that_stays_is_the_last_that_was_meant(qtbot, open_window):
    """Not that of the 3 of a 30 that cannot be."""
    page = open_window("Joint").joint
    offset = page.fields["offset"]
    type_in(qtbot, offset, "6")
    qtbot.keyClick(offset.edit, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: page._solved and page.result.joint.offset == 6.0)
    offset.edit.selectAll()
    qtbot.keyClicks(offset.edit, "3")
    qtbot.waitUntil(lambda: page.result.joint.offset == 3.0)
    qtbot.keyClicks(offset.edit, "00")
    qtbot.waitUntil(lambda: offset.message.isVisible())
    assert page.result.joint.offset == 6.0
    assert "The drawing is of the last joint" in page.state.text()
    assert not page.save.isEnabled()
    # What Enter was pressed on is meant.
    type_in(qtbot, offset, "7")
    qtbot.waitUntil(lambda: page.result.joint.offset == 7.0)
    qtbot.keyClick(offset.edit, Qt.Key.Key_Return)
    type_in(qtbot, offset, "300")
    qtbot.waitUntil(lambda: offset.message.isVisible())
    assert page.result.joint.offset == 7.0


@pytest.mark.parametrize("page", ["Joint", "Bend"])
def test_what_stays_after_an_error_is_in_the_unit_that_is_chosen_then(qtbot, open_window, page):
    window = open_window(page)
    page = window.page(page)
    qtbot.waitUntil(lambda: page._solved)
    solved, shown = page.result, page.picture.drawing
    part = page.fields["wall"]
    type_in(qtbot, part, plain_number(page.fields["od"].value * 0.49))
    type_in(qtbot, page.fields["od"], plain_number(page.fields["od"].value * 0.9))
    qtbot.waitUntil(lambda: page._refused)
    window.session.change(inches=True)
    assert page._refused
    of = getattr(page.result, "job", page.result)
    assert of.inches
    assert page.picture.drawing != shown
    what = "joint" if page is window.joint else "job"
    again = getattr(page.result, what)
    assert again == (replace(solved.job, inches=True) if what == "job" else solved.joint)
    # Once more, and nothing is solved anew.
    stays = page.result
    page._solve()
    assert page.result is stays


@pytest.mark.parametrize("when", ["before it is asked for", "while it is made"])
def test_a_unit_changed_before_the_first_wrap_counts(qtbot, open_window, monkeypatch, when):
    made = []

    def slowly(*words, **named):
        time.sleep(0.2)
        made.append(named["inches"])
        return joint_page._solved_at_once(*words, **named)

    monkeypatch.setattr(joint_page, "_solved_at_once", joint_page._solved, raising=False)
    monkeypatch.setattr(joint_page, "_solved", slowly)
    window = open_window("Start")
    window.go_to("Joint")
    assert not made
    if when == "while it is made":
        qtbot.waitUntil(lambda: window.joint.background.busy)
    window.inches.setChecked(True)
    qtbot.waitUntil(lambda: window.joint._solved and window.joint.result is not None)
    qtbot.waitUntil(lambda: window.joint.result.inches)
    # Once for each unit that was meant, and nothing before the window is painted.
    assert made == ([False, True] if when == "while it is made" else [True])
