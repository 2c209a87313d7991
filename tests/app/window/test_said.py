"""What the window says of a frame's file stays as long as it is so, and no longer."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from app.document.frame_file import open_frame
from app.window.main_window import MainWindow
from geometry.edits import rename_frame
from tests.app.window.conftest import give_up

STAND = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"


@pytest.fixture
def stand(tmp_path):
    return Path(shutil.copy(STAND, tmp_path / "stand.frame"))


def begun(qtbot, path=None):
    window = MainWindow(path)
    qtbot.addWidget(window, before_close_func=give_up)
    window.show()
    qtbot.waitUntil(lambda: window._stack.count() > 0)
    qtbot.wait(20)
    return window


def come_back(qtbot, window):
    window.isActiveWindow = lambda: True
    QApplication.sendEvent(window, QEvent(QEvent.Type.ActivationChange))
    qtbot.wait(30)


def test_a_broken_file_that_was_asked_for_is_said(qtbot, tmp_path):
    path = tmp_path / "broken.frame"
    path.write_text("{ nope")
    assert "broken.frame" in begun(qtbot, path).notice.text()


def test_a_broken_file_of_the_last_time_is_said(qtbot, open_window, stand):
    window = open_window("Frame", stand)
    qtbot.waitUntil(lambda: window.document.path == stand)
    window.session.keep_now()
    stand.write_text("{ nope")
    assert "stand.frame" in begun(qtbot).notice.text()


def test_what_could_not_be_saved_is_no_longer_said_when_it_is(qtbot, stand_window, tmp_path):
    window, actions = stand_window, stand_window.actions_of_frame
    (tmp_path / "folder.frame").mkdir()
    actions.choose_to_save = lambda: tmp_path / "folder.frame"
    actions.save_as.trigger()
    assert "cannot be saved" in window.notice.text() + window.frame.column.state.text()
    actions.choose_to_save = lambda: tmp_path / "good.frame"
    actions.save_as.trigger()
    assert window.notice.text() == f"Saved {tmp_path / 'good.frame'}."
    assert window.frame.column.state.text() == ""


def test_a_file_that_can_no_longer_be_read_is_said(qtbot, open_window, stand):
    window = open_window("Frame", stand)
    qtbot.waitUntil(lambda: window.document.path == stand)
    before = window.document.frame
    window.actions_of_frame.ask_to_reread = lambda: True
    stand.write_text("{ nope")
    come_back(qtbot, window)
    assert "stand.frame" in window.notice.text()
    assert window.document.frame == before
    assert window.document.history.changed


def test_a_file_that_is_gone_is_said_and_saved_again_without_a_question(qtbot, open_window, stand):
    window = open_window("Frame", stand)
    qtbot.waitUntil(lambda: window.document.path == stand)
    window.document.do("Rename", lambda frame: rename_frame(frame, "mine"))

    def nobody():
        raise AssertionError

    actions = window.actions_of_frame
    actions.ask_to_reread = actions.ask_to_overwrite = nobody
    stand.unlink()
    come_back(qtbot, window)
    assert "no longer there" in window.notice.text()
    assert window.document.history.changed
    actions.save.trigger()
    assert open_frame(stand).name == "mine"
    assert not window.document.history.changed
