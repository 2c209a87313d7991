"""What went wrong in forms, and by their keys, for somebody who used the window for the first time."""

from __future__ import annotations

from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.document.samples import sample_frame
from geometry.bend_tool import BendTool, TrialBend
from geometry.springback import Trial
from tests.app.window.conftest import solved, type_in


def test_half_of_a_number_does_not_become_steel(qtbot, window, page):
    """15 for a wall of 30 x 2 tube is too much; the 1 of it was taken."""
    page.choose("Stock", "main")
    wall = page.forms.stock.wall
    wall.edit.setFocus()
    wall.edit.selectAll()
    QTest.keyClicks(wall.edit, "15")
    assert page.frame == sample_frame("paddock-stand")
    assert wall.edit.text() == "15"
    # Said beside the field: the foot of the form may be out of sight.
    assert "still counts" in wall.message.text()
    assert wall.message.isVisible()
    QTest.keyClick(wall.edit, Qt.Key.Key_Backspace)
    assert page.frame.stock["main"].section.wall == 1.0
    assert wall.message.isHidden()
    window.actions_of_frame.undo.trigger()
    assert page.frame == sample_frame("paddock-stand")


def test_tab_goes_down_the_form_of_a_new_tube(qtbot, window, page):
    page.column.add.click()
    form = page.forms.new
    form.name.setFocus()
    form.longer.click()
    qtbot.waitUntil(form.points[2].isVisible)
    form.name.setFocus()
    order = [form.stock, *form.points, form.longer, form.radius, form.handed, form.leave]
    for widget in order:
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        at = QApplication.focusWidget()
        assert at is widget or widget.isAncestorOf(at), (at, widget)


CHOSEN = [
    ("Tubes", "arm"),
    ("Tubes", "handle"),
    ("Points", "arm front"),
    ("Points", "prop head"),
    ("Stock", "main"),
]


@pytest.mark.parametrize(("kind", "name"), [*CHOSEN, ("Tools", ""), ("Tubes", "")])
def test_tab_goes_down_every_form_as_the_eye_does(qtbot, window, page, kind, name):
    window.resize(1400, 1600)
    if kind == "Tools":
        page.column.choose("Tools", "")
        page.column.add.click()
        name = next(iter(page.frame.tools))
    page.choose(kind, name)
    qtbot.wait(30)
    form = page.forms.front
    one, seen = form.name, []
    while one is not None and form.isAncestorOf(one):
        if one.isVisible() and one.isEnabled() and one.focusPolicy() & Qt.FocusPolicy.TabFocus:
            at = one.mapTo(form, one.rect().center())
            seen.append((at.y(), at.x(), one))
        one = one.nextInFocusChain()
    assert len(seen) > 2
    for (y, x, _), (below, right, widget) in pairwise(seen):
        # Lower, or on the same line farther to the right.
        assert below > y + 8 or (abs(below - y) <= 8 and right > x), widget


def test_what_a_form_refuses_is_not_what_still_counts(qtbot, page):
    page.choose("Stock", "main")
    form = page.forms.stock
    form.wall.edit.setFocus()
    type_in(qtbot, form.wall, "18")
    assert page.frame.stock["main"].section.wall == 2.0
    type_in(qtbot, form.wall, "abc")
    assert "2 mm still counts" in form.wall.message.text()


def test_a_page_chosen_by_its_key_has_the_keys(qtbot, window, page):
    window.go_to("Start")
    page.choose("Tubes", "")
    action = next(a for a in window.findChildren(QAction) if a.shortcut() == QKeySequence("Ctrl+4"))
    action.trigger()
    assert window.shown_page == "Frame"
    assert QApplication.focusWidget() is page.column.tubes


def test_the_first_tool_is_one_for_the_bend_there_is(qtbot, window, page):
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.actions_of_frame.open_sample("single-cylinder")
    solved(qtbot, page)
    for name in list(page.frame.tools):
        page.edits.take_out("Tools", [name])
    page.edits.add_tool()
    solved(qtbot, page)
    rail = {one.where for one in page.findings if one.code == "radius-off"}
    assert not any(where.startswith("main rail") for where in rail)


def test_why_a_number_is_wrong_stays_when_something_else_changes(qtbot, page):
    page.choose("Points", "arm front")
    field = page.forms.point.axes[0]
    field.edit.selectAll()
    QTest.keyClicks(field.edit, "99999999")
    why = field.message.text()
    assert "allowed" in why
    page.edits.mark("handle", "cut")
    assert field.message.text() == why


def test_names_that_cannot_be_are_said_beside_the_field(qtbot, page):
    form = page.forms.tube
    page.choose("Tubes", "arm")
    for name, word in (("", "needs a name"), ("handle", "twice"), ("x" * 99, "80")):
        form.name.setText(name)
        form.name.editingFinished.emit()
        assert form.name.text() == "arm"
        assert not form.name_problem.isHidden()
        assert word in form.name_problem.text(), form.problem.text()
    page.column.add.click()
    page.forms.new.name.setText("")
    page.forms.new._look()
    assert page.forms.new.told.text() == "The tube needs a name."


def test_a_percentage_is_one(qtbot, page):
    page.choose("Points", "")
    for row in range(2):
        page.column.points.item(row).setSelected(True)
    factor = page.forms.points.factor
    assert factor.words == "100 %"
    for text, word in (("0", "above 0"), ("half", "no percentage"), ("50 %", "")):
        factor.edit.setText(text)
        factor.edit.textEdited.emit(text)
        assert word in factor.message.text() if word else factor.good
    assert factor.value == 50.0


def test_what_was_typed_wrong_stays_with_its_own_point(qtbot, page):
    page.choose("Points", "arm front")
    field = page.forms.point.axes[0]
    field.edit.selectAll()
    QTest.keyClicks(field.edit, "six apples")
    page.choose("Points", "arm rear")
    assert field.good
    assert field.edit.text() == "-640"
    assert page.frame == sample_frame("paddock-stand")


def test_a_bent_tube_takes_its_tool_along(qtbot, window, page):
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.actions_of_frame.open_sample("single-cylinder")
    trials = (
        TrialBend(Trial(45.0, 43.4)),
        TrialBend(Trial(90.0, 87.0)),
        TrialBend(Trial(60.0, 58.0)),
    )
    page.edits.add_tool("press", BendTool(28.0, 98.0, reference=12.0, trials=trials))
    solved(qtbot, page)
    page.choose("Tubes", "main rail")
    settings = page.result.bends["main rail left"].settings
    page.forms.tube.alone["bend"].click()
    bend = window.bend
    qtbot.waitUntil(lambda: bend.result is not None and bend.result.job.name == "main rail")
    assert bend.fields["reference"].value == 12.0
    assert [one.set_angle_deg for one in bend.result.settings] == pytest.approx(
        [one.set_angle_deg for one in settings]
    )


def test_a_direction_has_no_unit(qtbot, page):
    form = page.forms.tube.ends[0]
    assert all(field.words.endswith(("0", "1")) for field in form.normal)
    for field, text, value in zip(
        form.normal, ("0,5", "-1", "2.25"), (0.5, -1.0, 2.25), strict=True
    ):
        field.set_inches(True)
        type_in(qtbot, field, text)
        assert field.value == value
    type_in(qtbot, form.normal[0], "1 mm")
    assert "is not a number" in form.normal[0].message.text()
