"""What went wrong for somebody who used the window for the first time, and is to go wrong no more."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog

from app.document.recovery import unsaved_frames
from app.document.samples import sample_frame
from app.window.axes_mark import seen_axes
from app.window.paper_page import BOOK
from geometry.edits import put_point, put_tube
from geometry.place import At
from templates_out.bend_view import FROM_ABOVE, FROM_FRONT, FROM_RIGHT
from tests.app.window.conftest import type_in

STAND = Path(__file__).parents[4] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"


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


def test_an_undone_rename_keeps_what_is_chosen(page):
    page.choose("Tubes", "prop")
    page.edits.rename("Tubes", "prop", "leg")
    assert page.column.current == "leg"
    page.document.undo()
    assert page.column.current == "prop"
    assert page.forms.tube.named == "prop"
    # What was taken out is not.
    page.edits.take_out("Tubes", ["prop"])
    assert page.column.current == ""


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
    assert "is of stock main, and should be of bar" in page.walk.hint.text()
    page.document.do("Tube", lambda f: put_tube(f, replace(tube, path=points[::-1])))
    assert "should go from roller right to roller left" in page.walk.hint.text()
    page.document.do("Tube", lambda f: put_tube(f, tube))
    assert page.walk.number == 3


def test_what_was_said_goes_with_the_next_page_and_the_next_edit(qtbot, window, page):
    window.say("something")
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
        (FROM_RIGHT, {"x forward": (1, 0), "z up": (0, 1)}),
        (FROM_ABOVE, {"x forward": (1, 0), "y left": (0, 1)}),
        (FROM_FRONT, {"y left": (1, 0), "z up": (0, 1)}),
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


def test_what_was_said_of_another_frame_is_gone(qtbot, window, page):
    window.go_to("Paper")
    window.paper.state.setText("Saved the book in x")
    page.document.do("Add", lambda f: put_point(f, "spare", At(0.0, 0.0, 0.0)))
    assert window.paper.state.text() == ""
