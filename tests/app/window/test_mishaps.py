"""What went wrong for somebody who used the window for the first time, and is to go wrong no more."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog

from app.document.recovery import unsaved_frames
from app.document.samples import sample_frame
from app.window.axes_mark import seen_axes
from app.window.findings_list import FindingsList
from app.window.paper_page import BOOK
from geometry.bend_tool import BendTool, TrialBend
from geometry.edits import move_tube, put_point, put_tube
from geometry.findings import Finding
from geometry.fitup import solve
from geometry.frame import End
from geometry.place import At
from geometry.springback import Trial
from templates_out.bend_view import FROM_ABOVE, FROM_FRONT, FROM_RIGHT
from tests.app.window.conftest import solved, type_in

STAND = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"


@pytest.fixture
def window(qtbot, open_window):
    one = open_window("Frame")
    one.actions_of_frame.open_sample("paddock-stand")
    solved(qtbot, one.frame)
    one.activateWindow()
    qtbot.waitUntil(one.isActiveWindow)
    return one


@pytest.fixture
def page(window):
    return window.frame


@pytest.mark.parametrize("reread", [True, False])
def test_the_only_good_copy_is_not_thrown_away(qtbot, window, tmp_path, reread):
    """The file was broken by somebody else: what is here is the only copy, and counts as unsaved."""
    stand = Path(shutil.copy(STAND, tmp_path / "stand.frame"))
    window.document.open(stand)
    stand.write_text("{broken}")
    window.actions_of_frame.ask_to_reread = lambda: reread
    QApplication.sendEvent(window, QEvent(QEvent.Type.ActivationChange))
    qtbot.waitUntil(lambda: window.document.history.changed)
    assert window.windowTitle().startswith("stand.frame *")
    window.document.keep_now()
    assert (Path(os.environ["COPEWRIGHT_SETTINGS"]) / "unsaved").exists()
    asked = []
    window.actions_of_frame.ask_to_lose = lambda: asked.append(1) or "stay"
    assert not window.close()
    assert asked


def test_half_of_a_number_does_not_become_steel(qtbot, window, page):
    """15 for a wall of 30 x 2 tube is too much; the 1 of it was taken."""
    page.choose("Stock", "main")
    wall = page.forms.stock.wall
    wall.edit.setFocus()
    wall.edit.selectAll()
    QTest.keyClicks(wall.edit, "15")
    assert page.frame == sample_frame("paddock-stand")
    assert wall.edit.text() == "15"
    assert "still counts" in page.forms.stock.problem.text()
    QTest.keyClick(wall.edit, Qt.Key.Key_Backspace)
    assert page.frame.stock["main"].section.wall == 1.0
    assert page.forms.stock.problem.isHidden()
    window.actions_of_frame.undo.trigger()
    assert page.frame == sample_frame("paddock-stand")


def test_tab_goes_down_the_form_of_a_new_tube(qtbot, window, page):
    page.column.add.click()
    form = page.forms.new
    form.name.setFocus()
    form.longer.click()
    qtbot.waitUntil(form.points[2].isVisible)
    form.name.setFocus()
    order = [form.stock, *form.points, form.longer, form.handed, form.leave]
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


def test_an_undone_rename_keeps_what_is_chosen(page):
    page.choose("Tubes", "prop")
    page.edits.rename("Tubes", "prop", "leg")
    assert page.column.current == "leg"
    page.document.undo()
    assert page.column.current == "prop"
    assert page.forms.tube.named == "prop"
    # What was taken out is not.
    page.edits.take_out("Tubes", "prop")
    assert page.column.current == ""


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
        page.edits.take_out("Tools", name)
    page.edits.add_tool()
    solved(qtbot, page)
    rail = {one.where for one in page.findings if one.code == "radius-off"}
    assert not any(where.startswith("main rail") for where in rail)


def test_a_long_finding_is_read_to_its_end(qtbot, page):
    words = "Let one run past and the other be cut to it, or put a plate over both. " * 6
    findings = FindingsList()
    qtbot.addWidget(findings)
    findings.resize(311, 60)
    findings.show_findings([Finding("x", "warning", "arm left, start", words, "Mind it.")])
    findings.show()
    item = findings.item(0)
    option = findings.fontMetrics()
    width = findings.visualItemRect(item).width() - 8
    needed = option.boundingRect(0, 0, width, 9999, Qt.TextFlag.TextWordWrap, item.text()).height()
    assert findings.visualItemRect(item).height() >= needed
    # All of it can be scrolled to.
    bar = findings.verticalScrollBar()
    bar.setValue(bar.maximum())
    assert findings.visualItemRect(item).bottom() <= findings.viewport().height()


def test_a_part_that_is_made_warns_when_its_cut_changes(qtbot, page):
    page.edits.mark("arm left", "cut")
    solved(qtbot, page)
    page.document.do("Move", lambda f: put_point(f, "arm rear", At(-640.0, 95.0, 60.0)))
    solved(qtbot, page)
    (said,) = (one for one in page.findings if one.code == "made-otherwise")
    assert said.where == "arm left"
    assert "its start is cut otherwise, its finish is cut otherwise and it is " in said.what
    # It stays said, whatever is done next, until it is so no more.
    page.document.do("Add", lambda f: put_point(f, "spare", At(0.0, 0.0, 0.0)))
    solved(qtbot, page)
    assert said in page.findings
    page.document.undo()
    page.document.undo()
    solved(qtbot, page)
    assert not any(one.code == "made-otherwise" for one in page.findings)
    page.document.redo()
    page.edits.mark("arm left", None)
    page.edits.mark("arm left", "cut")
    solved(qtbot, page)
    assert not any(one.code == "made-otherwise" for one in page.findings)


def test_a_part_that_is_made_warns_when_a_point_is_dragged(qtbot, page):
    page.edits.mark("arm right", "tacked")
    solved(qtbot, page)
    x, y, z = page._places()["arm rear"]
    for step in (10.0, 20.0, 30.0):
        page.edits.drag("arm rear", (x + step, y, z), page._places(), done=step == 30.0)
        solved(qtbot, page)
    (said,) = (one for one in page.findings if one.code == "made-otherwise")
    assert "marked as tacked" in said.what
    assert said.where == "arm right"


def test_an_end_that_would_sit_on_a_tube_further_down_says_so():
    frame = move_tube(sample_frame("paddock-stand"), "arm", 0)
    told = [one.what for one in solve(frame).findings]
    assert any("would sit on roller bar, which goes into the jig after it" in what for what in told)


def test_a_program_that_has_ended_does_not_keep_its_work_from_being_offered(settings):
    """Its parent has not asked after it yet: it is counted still, and does not run."""
    script = (
        "from app.document.recovery import Recovery; from app.document.samples import sample_frame; import os, signal;"
        "Recovery().keep(sample_frame('paddock-stand'), ''); os.kill(os.getpid(), signal.SIGKILL)"
    )
    running = subprocess.Popen(
        [sys.executable, "-c", script], env={**os.environ, "COPEWRIGHT_SETTINGS": str(settings)}
    )
    os.waitid(os.P_PID, running.pid, os.WEXITED | os.WNOWAIT)
    assert [one.frame.name for one in unsaved_frames()] == ["rear paddock stand"]
    running.wait()


def test_a_frame_of_one_s_own_is_not_led(qtbot, window, page):
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.walk()
    assert page.walk is not None
    window.actions_of_frame.begin()
    assert page.walk is None


def test_the_walk_says_what_is_otherwise_than_it_should_be(qtbot, window, page):
    window.walk()
    for _ in range(2):
        page.walk.do.click()
    assert page.walk.number == 2
    sample = sample_frame("paddock-stand")
    frame = page.walk.sample
    points = ("roller right", "roller left")
    for name in points:
        page.document.do("Point", lambda f, name=name: put_point(f, name, frame.points[name]))
    tube = sample.tube("roller bar")
    page.document.do("Tube", lambda f: put_tube(f, replace(tube, stock="main")))
    assert "is of stock main, and should be of bar" in page.walk.words.text()
    page.document.do("Tube", lambda f: put_tube(f, replace(tube, path=points[::-1])))
    assert "should go from roller right to roller left" in page.walk.words.text()
    page.document.do("Tube", lambda f: put_tube(f, tube))
    assert page.walk.number == 3


def test_what_was_said_goes_with_the_next_page_and_the_next_edit(qtbot, window, page):
    window.explain()
    assert window.notice.text()
    high = window.notice.height()
    window.go_to("Joint")
    assert window.notice.text() == ""
    window.go_to("Frame")
    window.say("odd")
    page.document.do("Point", lambda f: put_point(f, "spare", At(0.0, 0.0, 0.0)))
    assert window.notice.text() == ""
    # Its place is there all the time: nothing moves under the pointer.
    assert window.notice.isVisible()
    assert high > 0


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
        assert not form.problem.isHidden()
        assert word in form.problem.text(), form.problem.text()
    page.column.add.click()
    page.forms.new.name.setText("")
    page.forms.new._look()
    assert page.forms.new.told.text() == "the tube needs a name."


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


def test_the_book_is_back_when_there_is_one_again(qtbot, window, page):
    window.go_to("Paper")
    assert window.paper.subject.currentData() == BOOK
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.actions_of_frame.begin()
    window.go_to("Paper")
    window.actions_of_frame.open_sample("paddock-stand")
    window.go_to("Paper")
    assert window.paper.subject.currentData() == BOOK


@pytest.mark.parametrize(
    ("view", "ways"),
    [
        (FROM_RIGHT, {"forward": (1, 0), "up": (0, 1)}),
        (FROM_ABOVE, {"forward": (1, 0), "left": (0, 1)}),
        (FROM_FRONT, {"left": (1, 0), "up": (0, 1)}),
    ],
)
def test_a_view_says_which_way_is_forward(view, ways):
    assert {word: (across, along) for word, across, along in seen_axes(view.right, view.up)} == ways


def test_points_alone_are_in_view_and_a_new_tube_is_sketched(qtbot, page):
    view = page.views.flat["Side"]
    page.views.tabs.setCurrentWidget(view)
    page.document.do("Point", lambda f: put_point(f, "high", At(0.0, 0.0, 3000.0)))
    qtbot.waitUntil(lambda: not page.seeing.busy)
    view.fit()
    at = view.pixel(QPointF(*view.scene.points["high"])).toPoint()
    assert view.rect().contains(at)
    page.column.add.click()
    form = page.forms.new
    form.points[0].setEditText("high")
    form.points[1].setEditText("arm front")
    assert len(view._sketched) == 1
    assert view._sketched[0][0] == pytest.approx(view.scene.points["high"])


def test_a_click_near_a_point_measures_from_it(qtbot, page):
    view = page.views.flat["Side"]
    page.views.tabs.setCurrentWidget(view)
    said = []
    page.views.said.connect(said.append)
    page.views.measure.setChecked(True)
    for name in ("arm front", "arm rear"):
        at = view.pixel(QPointF(*view.scene.points[name])).toPoint()
        at.setX(at.x() + 4)
        QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=at)
    # 640 back and 15 up.
    assert said[-1].startswith("640.18 mm (across -640 mm, up 15 mm)")


def test_what_was_typed_wrong_stays_with_its_own_point(qtbot, page):
    page.choose("Points", "arm front")
    field = page.forms.point.axes[0]
    field.edit.selectAll()
    QTest.keyClicks(field.edit, "six apples")
    page.choose("Points", "arm rear")
    assert field.good
    assert field.edit.text() == "-640"
    assert page.frame == sample_frame("paddock-stand")


def test_a_finding_leads_to_the_very_field(qtbot, page):
    """Chosen in the list of findings: the end's cut, or the bend's radius, has the keys and is in view."""
    page.edits.do(
        "Left on",
        lambda f: put_tube(f, replace(f.tube("prop"), ends=(End(onto=("handle",)), End("square")))),
    )
    solved(qtbot, page)
    finding = next(one for one in page.findings if one.where.endswith("prop left, start"))
    page.details.show_findings_tab()
    page.jump(finding)
    assert QApplication.focusWidget() is page.forms.tube.ends[0].cut
    # The findings stay in front: there may be more of them to go through.
    assert page.details.tabs.currentWidget() is page.details.findings
    page.details.tabs.setCurrentIndex(2)
    page.jump(finding)
    assert page.details.tabs.currentWidget() is page.details.either["start"]


def test_a_finding_of_a_bend_leads_to_its_radius(qtbot, window, page):
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.actions_of_frame.open_sample("single-cylinder")
    solved(qtbot, page)
    page.jump(Finding("x", "warning", "main rail left, bend 2", "It is tight.", "Widen it."))
    assert QApplication.focusWidget() is page.forms.tube.radii[1].edit
    page.jump(Finding("x", "warning", "main rail left, bend 9", "It is tight.", "Widen it."))
    assert page.forms.tube.named == "main rail"


def test_a_name_that_looks_like_a_tag_is_shown_as_it_is(page):
    page.edits.rename("Tubes", "prop", "<b>prop</b>")
    page.forms.tube.say("<b>prop</b> is no good")
    assert page.forms.tube.problem.textFormat() == Qt.TextFormat.PlainText
    assert page.column.state.textFormat() == Qt.TextFormat.PlainText


def test_a_glance_at_the_points_adds_none_to_a_new_tube(page):
    page.choose("Points", "arm front")
    page.choose("Tubes", "")
    page.column.add.click()
    page.column.tabs.setCurrentIndex(1)
    page.column.tabs.setCurrentIndex(0)
    page.column.tabs.setCurrentIndex(1)
    form = page.forms.new
    assert [combo.currentText() for combo in form.points] == ["", ""]
    # The one that was chosen before can be clicked on now.
    row = page.column.points.names.index("arm front")
    rect = page.column.points.visualItemRect(page.column.points.item(row))
    page.column.points.scrollToItem(page.column.points.item(row))
    rect = page.column.points.visualItemRect(page.column.points.item(row))
    QTest.mouseClick(page.column.points.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())
    assert form.points[0].currentText() == "arm front"
    # Clicked twice it is there once; typed twice it is no tube.
    form.pick("arm front")
    assert form.points[1].currentText() == ""
    form.points[1].setEditText("arm front")
    assert not form.done.isEnabled()
    assert "stands twice" in form.told.text()


def test_a_finding_that_was_clicked_on_stays_under_the_pointer(qtbot):
    some = [Finding("x", "warning", name, "It is so.", "Mend it.") for name in ("a", "b", "c", "d")]
    findings = FindingsList()
    qtbot.addWidget(findings)
    findings.resize(300, 400)
    findings.show()
    findings.show_findings(some, ["a"])

    def order():
        return [findings.item(row).data(Qt.ItemDataRole.UserRole).where for row in range(4)]

    # What is chosen by a click in the list is not put first in it.
    findings.jumped.connect(lambda one: findings.show_findings(some, [one.where]))
    rect = findings.visualItemRect(findings.item(2))
    QTest.mouseClick(findings.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())
    assert order() == ["a", "b", "c", "d"]
    findings.show_findings(some, ["c"])
    assert order() == ["a", "b", "c", "d"]
    # Chosen elsewhere, it is.
    findings.show_findings(some, ["d"])
    assert order() == ["d", "a", "b", "c"]
    # Others are sorted as ever.
    findings.show_findings(some[:3], ["c"])
    assert findings.item(0).data(Qt.ItemDataRole.UserRole).where == "c"


def test_findings_without_a_place_lead_to_their_field_too(qtbot, window, page):
    page.edits.mark("arm left", "cut")
    page.jump(Finding("made-otherwise", "warning", "arm left", "It is so.", "Mend it."))
    assert QApplication.focusWidget() is page.forms.tube.made["arm left"]
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.actions_of_frame.open_sample("single-cylinder")
    solved(qtbot, page)
    page.jump(Finding("nothing-left-on", "warning", "main rail left", "It is so.", "Mend it."))
    field = QApplication.focusWidget()
    assert field in [one.edit for one in page.forms.tube.trims]
    # What is typed takes the place of what stood there.
    assert field.selectedText() == field.text()


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


def test_looking_at_another_page_is_not_working_on_it(qtbot, window, page):
    for name in ("Joint", "Bend"):
        window.go_to(name)
        qtbot.waitUntil(lambda name=name: window.page(name).result is not None)
        window.go_to("Paper")
        assert window.paper.subject.currentData() == BOOK
    window.go_to("Joint")
    type_in(qtbot, window.joint.fields["angle"], "61")
    window.go_to("Paper")
    assert window.paper.subject.currentData() == "Joint"


def test_pictures_and_tables_begin_beside_the_frame(window, page, tmp_path, monkeypatch):
    asked = []

    def save(_parent, _title, start, _kinds):
        asked.append(start)
        return "", ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(save))
    page.document.save(tmp_path / "own.frame")
    page.views.keep.trigger()
    window.export_tables()
    assert [str(Path(one) if Path(one).is_dir() else Path(one).parent) for one in asked] == [
        str(tmp_path), str(tmp_path),
    ]  # fmt: skip


def test_the_page_stays_where_it_is_when_findings_come(qtbot, window, page):
    before = page.mapTo(window, page.rect().topLeft())
    page.edits.do(
        "Onto",
        lambda f: put_tube(f, replace(f.tube("prop"), ends=(End(onto=("handle",)), End("square")))),
    )
    solved(qtbot, page)
    assert any(one.level == "error" for one in page.findings)
    assert page.mapTo(window, page.rect().topLeft()) == before


def test_what_was_said_of_another_frame_is_gone(qtbot, window, page):
    window.go_to("Paper")
    window.paper.state.setText("Saved the book in x")
    page.document.do("Add", lambda f: put_point(f, "spare", At(0.0, 0.0, 0.0)))
    assert window.paper.state.text() == ""


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
