"""The menus' actions: nothing that was made is lost without a question."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QWidget

from app.document.frame_file import frame_bytes, open_frame, save_frame
from app.document.recovery import FOLDER
from app.window.document_actions import DocumentActions
from app.window.session import Session
from geometry.edits import rename_frame
from tests.frames import EVERYTHING

STAND = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"


@pytest.fixture
def actions(qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    session = Session(window)
    one = DocumentActions(session, window)
    one.asked = []

    def never(what):
        def ask(*_):
            raise AssertionError(what)

        return ask

    one.ask_to_lose, one.ask_to_overwrite = never("lose"), never("overwrite")
    one.choose_to_open, one.choose_to_save = never("open"), never("save")
    yield one
    one.document.let_go()
    session.keep_now()


@pytest.fixture
def stand(tmp_path):
    return Path(shutil.copy(STAND, tmp_path / "stand.frame"))


def edit(actions, name="mine"):
    assert actions.document.do(f"Rename to {name}", lambda f: rename_frame(f, name))


def test_undo_says_what_it_undoes(actions):
    assert not actions.undo.isEnabled()
    edit(actions)
    assert actions.undo.text() == "&Undo: Rename to mine"
    actions.undo.trigger()
    assert actions.redo.text() == "&Redo: Rename to mine"
    actions.redo.trigger()
    assert actions.document.frame.name == "mine"


def test_what_is_saved_makes_way_without_a_question(actions, stand):
    actions.choose_to_open = lambda: stand
    actions.open.trigger()
    assert actions.document.path == stand
    actions.new.trigger()
    assert actions.document.path is None


@pytest.mark.parametrize("answer", ["save", "lose", "stay"])
def test_what_no_file_has_is_asked_about(actions, stand, answer):
    actions.document.open(stand)
    edit(actions)
    actions.ask_to_lose = lambda: answer
    actions.new.trigger()
    assert (actions.document.path is None) is (answer != "stay")
    assert open_frame(stand).name == ("mine" if answer == "save" else open_frame(STAND).name)


def test_a_save_that_fails_lets_nothing_go(actions, tmp_path):
    edit(actions)
    actions.ask_to_lose = lambda: "save"
    actions.choose_to_save = lambda: None
    assert not actions.may_let_go()
    (tmp_path / "a.frame").mkdir()
    actions.choose_to_save = lambda: tmp_path / "a.frame"
    assert not actions.may_let_go()
    assert actions.document.frame.name == "mine"
    actions.choose_to_save = lambda: tmp_path / "b"
    assert actions.may_let_go()
    assert open_frame(tmp_path / "b.frame").name == "mine"


def test_somebody_elses_work_is_not_written_over_unasked(actions, stand):
    actions.document.open(stand)
    edit(actions)
    save_frame(stand, EVERYTHING)
    actions.ask_to_overwrite = lambda: False
    actions.save.trigger()
    assert open_frame(stand) == EVERYTHING
    actions.ask_to_overwrite = lambda: True
    actions.save.trigger()
    assert open_frame(stand).name == "mine"


def test_recent_frames_open_again(actions, stand, tmp_path):
    actions._fill_recent()
    assert [one.text() for one in actions.recent.actions()] == ["none yet"]
    other = Path(shutil.copy(STAND, tmp_path / "other.frame"))
    for path in (stand, other):
        actions.document.open(path)
    actions._fill_recent()
    first, second = actions.recent.actions()
    assert (first.text(), second.text()) == ("other.frame", "stand.frame")
    second.trigger()
    assert actions.document.path == stand


def left_behind(settings, name):
    """A record of a process that is gone."""
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    folder = settings / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    head = {
        "format": "copewright-unsaved",
        "version": 1,
        "path": "",
        "seconds": 1.0,
        "process": gone.pid,
    }
    data = json.dumps(head).encode() + b"\n" + frame_bytes(rename_frame(EVERYTHING, name))
    (folder / f"{name}.unsaved").write_bytes(data)


def test_after_a_crash_each_frame_is_offered_once(actions, settings):
    assert not actions.offer_unsaved()
    left_behind(settings, "wanted")
    asked = []

    def ask(unsaved):
        asked.append(unsaved.frame.name)
        return "take"

    actions.ask_to_restore = ask
    assert actions.offer_unsaved()
    assert actions.document.frame.name == "wanted"
    assert actions.document.history.changed
    left_behind(settings, "unwanted")
    actions.ask_to_restore = lambda _: "later"
    assert not actions.offer_unsaved()
    assert (settings / FOLDER / "unwanted.unsaved").exists()
    actions.ask_to_restore = lambda _: "drop"
    assert not actions.offer_unsaved()
    assert asked == ["wanted"]
    assert not (settings / FOLDER / "unwanted.unsaved").exists()


@pytest.mark.parametrize(("press", "answer"), [("Save them", "save"), ("Lose them", "lose"), ("Go on working", "stay"), (None, "stay")])  # fmt: skip
def test_the_question_itself_answers_as_its_buttons_say(actions, press, answer):
    """Pressed for real; closing the box loses nothing."""

    def choose():
        box = QApplication.activeModalWidget()
        if press is None:
            box.reject()
        else:
            next(button for button in box.buttons() if button.text() == press).click()

    QTimer.singleShot(0, choose)
    assert actions._ask_to_lose() == answer


def test_a_name_that_no_file_can_have_is_offered_as_one_that_it_can(actions, monkeypatch):
    offered = []
    monkeypatch.setattr(
        "app.window.document_actions.QFileDialog.getSaveFileName",
        lambda _window, _title, start, _filter: (offered.append(start), ("", ""))[1],
    )
    edit(actions, "a/b: the 2nd")
    assert actions._choose_to_save() is None
    assert Path(offered[0]).name == "a-b-the-2nd.frame"
