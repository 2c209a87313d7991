"""Points in the hand: several chosen with the mouse, taken out together, dragged and let be."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from geometry.edits import put_point
from geometry.place import At, MirrorOf

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def page(qtbot, stand_window):
    page = stand_window.frame
    for number, place in enumerate((At(-300.0, 0.0, 300.0), At(-200.0, 0.0, 320.0))):
        page.document.do("Add", lambda f, n=number, p=place: put_point(f, f"u{n}", p))
    page.document.do("Add", lambda f: put_point(f, "u2", MirrorOf("u1")))
    page.document.do("Add", lambda f: put_point(f, "u1", At(-200.0, 60.0, 320.0)))
    page.views.tabs.setCurrentWidget(page.views.flat["Side"])
    qtbot.waitUntil(lambda: not page.seeing.busy and not page.background.busy, timeout=10_000)
    return page


@pytest.fixture
def view(page):
    return page.views.flat["Side"]


def at(view, name):
    return view.pixel(QPointF(*view.scene.points[name])).toPoint()


def click(view, name, modifier=Qt.KeyboardModifier.NoModifier):
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, modifier, at(view, name))


def test_a_click_chooses_one_and_with_ctrl_one_more_or_less(page, view, monkeypatch):
    from app.window import frame_column

    held = [Qt.KeyboardModifier.NoModifier]
    monkeypatch.setattr(frame_column.QApplication, "keyboardModifiers", lambda: held[0])
    click(view, "u0")
    assert page.column.points.selected == ["u0"]
    held[0] = CTRL
    click(view, "prop head", CTRL)
    assert set(page.column.points.selected) == {"u0", "prop head"}
    assert page.forms.front is page.forms.points
    click(view, "u0", CTRL)
    assert page.column.points.selected == ["prop head"]
    click(view, "u0", CTRL)
    held[0] = Qt.KeyboardModifier.NoModifier
    click(view, "u0")
    assert page.column.points.selected == ["u0"], "of several that are chosen one is clicked on"
    assert page.forms.point.named == "u0"


def test_several_are_taken_out_as_one_step(page, qtbot):
    before = page.frame
    page.choose("Points", "u0", "u1", "u2")
    # One of them is the image of another.
    QTest.keyClick(page.column.points, Qt.Key.Key_Delete)
    assert not {"u0", "u1", "u2"} & set(page.frame.points)
    assert page.document.history.undo_words == "Take out 3 points"
    page.document.undo()
    assert page.frame == before
    page.choose("Points", "u0", "prop head")
    page.column.take_out.click()
    assert page.frame == before, "a tube goes through one of them: none is taken out"
    assert "prop head" in page.column.state.text()


def press_and_move(view, name):
    start = at(view, name)
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    for step in range(1, 5):
        QTest.mouseMove(view, start + QPoint(4 * step, -5 * step))
    return start + QPoint(16, -20)


def test_what_was_dragged_is_chosen_to_be_typed_exactly(page, view, qtbot):
    page.choose("Tubes", "handle")
    end = press_and_move(view, "u0")
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)
    assert page.column.points.selected == ["u0"]
    assert page.forms.point.named == "u0"
    typed = [field.value for field in page.forms.point.axes]
    assert typed == pytest.approx(page._places()["u0"])
    assert typed != [-300.0, 0.0, 300.0]


def test_escape_lets_go_of_it_where_it_was(page, view, qtbot):
    before, words = page.frame, page.document.history.undo_words
    view.setFocus()
    end = press_and_move(view, "u0")
    assert page.frame != before
    QTest.keyClick(view, Qt.Key.Key_Escape)
    assert page.frame == before
    assert page.document.history.undo_words == words
    assert view.caption == ""
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)
    assert page.frame == before
    qtbot.waitUntil(lambda: not page.seeing.busy)
    # The next one is a drag of its own.
    end = press_and_move(view, "u0")
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)
    assert page.document.history.undo_words == "Move point u0"
    page.document.undo()
    assert page.frame == before


def test_several_that_are_chosen_are_dragged_together(page, view, qtbot):
    before, history = page.frame, page.document.history
    page.choose("Points", "u1", "u0")
    end = press_and_move(view, "u0")
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)
    was, now = before.points, page.frame.points
    step = (now["u0"].x - was["u0"].x, now["u0"].z - was["u0"].z)
    assert step != (0.0, 0.0)
    assert (now["u1"].x - was["u1"].x, now["u1"].z - was["u1"].z) == pytest.approx(step)
    assert now["u2"] == MirrorOf("u1")
    assert set(page.column.points.selected) == {"u0", "u1"}
    assert page.document.history.undo_words == "Move 2 points"
    page.document.undo()
    assert page.document.history.past == history.past, "all of it is one step"
    # One that is not among those chosen moves alone.
    end = press_and_move(view, "prop head")
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)
    assert page.frame.points["u0"] == was["u0"]
    assert page.frame.points["prop head"] != was["prop head"]


def test_what_was_chosen_in_a_list_out_of_view_is_not_dragged_along(page, view, monkeypatch):
    from app.window import frame_column

    before = page.frame
    page.choose("Points", "u0", "u1")
    page.choose("Tubes", "handle")
    end = press_and_move(view, "u0")
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)
    assert page.frame.points["u1"] == before.points["u1"]
    page.choose("Points", "u0", "u1")
    page.choose("Tubes", "handle")
    monkeypatch.setattr(frame_column.QApplication, "keyboardModifiers", lambda: CTRL)
    click(view, "prop head", CTRL)
    assert page.column.points.selected == ["prop head"]


def test_escape_leaves_all_steps_as_they_were(page, view):
    page.document.do("Add", lambda f: put_point(f, "keep", At(0.0, 0.0, 900.0)))
    page.document.undo()
    before = page.document.history
    assert before.redo_words == "Add"
    end = press_and_move(view, "u0")
    assert page.frame != before.frame
    QTest.keyClick(view, Qt.Key.Key_Escape)
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)
    assert page.document.history == before


def test_escape_takes_back_nothing_that_the_drag_has_not_done(page, view):
    page.document.do("Add precious", lambda f: put_point(f, "precious", At(-400.0, 0.0, 500.0)))
    before = page.document.history
    here = page._places()["u0"]
    # The first move of a point on a tube may come to where it was.
    page.edits.drag("u0", here, {}, done=False)
    page.edits.leave_drag()
    assert page.document.history == before
    page.edits.drag("u0", (here[0] + 5.0, here[1], here[2]), page._places(), done=False)
    page.document.undo()
    page.document.undo()
    page.edits.leave_drag()
    assert "precious" not in page.frame.points
    assert page.document.history.redo_words == "Add precious"


def test_two_drags_of_a_point_are_two_steps(page):
    x, y, z = page._places()["u0"]
    before = page.document.history
    page.edits.drag("u0", (x + 10.0, y, z), page._places(), done=True)
    # The next one begins with a move that changes nothing.
    page.edits.drag("u0", (x + 10.0, y, z), {}, done=False)
    page.edits.drag("u0", (x + 20.0, y, z), page._places(), done=True)
    assert len(page.document.history.past) == len(before.past) + 2


def test_tab_goes_from_the_last_number_to_the_button_that_does_it(page, qtbot):
    page.choose("Points", "u0", "u1")
    form = page.forms.points
    qtbot.waitUntil(lambda: page.window().isActiveWindow() or page.window().activateWindow())
    seen = []
    form.way.setFocus()
    qtbot.wait(20)
    for _ in range(4):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        seen.append(QApplication.focusWidget())
    assert seen == [*(field.edit for field in form.steps), form.do]


def test_a_point_undone_under_the_pointer_is_dragged_no_more(page, view, qtbot):
    page.document.do("Add u3", lambda f: put_point(f, "u3", At(-250.0, 0.0, 350.0)))
    qtbot.waitUntil(lambda: "u3" in view.scene.points)
    end = press_and_move(view, "u3")
    assert page.edits.dragging
    page.document.undo()
    page.document.undo()
    qtbot.waitUntil(lambda: "u3" not in view.scene.points)
    QTest.mouseMove(view, end + QPoint(5, 5))
    assert not page.edits.dragging
    assert not view.caption
    # The lists follow again.
    assert "u3" not in page.column.points.names
    page.document.redo()
    assert "u3" in page.column.points.names
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)
    assert page.document.history.redo_words == "Move point u3"
