"""The window as a whole: where it begins, what it opens, what it asks before it lets go, one unit for all."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QApplication

from app.document.frame_file import open_frame, save_frame
from app.document.recovery import Recovery
from app.document.samples import sample_frame, samples
from app.window.glossary import WORDS, Glossary
from app.window.main_window import PAGES
from geometry.edits import rename_frame

STAND = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"


@pytest.fixture
def stand(tmp_path):
    return Path(shutil.copy(STAND, tmp_path / "stand.frame"))


def rename(window, name="mine"):
    assert window.document.do("Rename", lambda frame: rename_frame(frame, name))


def test_the_first_window_begins_with_the_choice(qtbot, open_window):
    window = open_window("Start")
    page = window.page("Start")
    assert not page.recent
    assert list(page.samples) == ["paddock-stand", "cargo-trike", "single-cylinder"]
    page.joint.click()
    assert window.current() is window.joint
    window.go_to("Start")
    page.bend.click()
    assert window.current() is window.bend
    window.go_to("Start")
    page.frame.click()
    assert window.current() is window.frame
    window.go_to("Start")
    page.samples["cargo-trike"].click()
    assert window.current() is window.frame
    assert window.document.frame == sample_frame("cargo-trike")
    assert not window.document.history.changed


def test_every_sample_can_be_opened(qtbot, open_window):
    window = open_window("Start")
    for one in samples():
        assert one.words.endswith(".")
        window.actions_of_frame.open_sample(one.key)
        assert window.document.frame.tubes


def test_a_sample_is_saved_under_a_name_of_its_own(qtbot, open_window, tmp_path):
    window = open_window("Start")
    window.actions_of_frame.open_sample("paddock-stand")
    rename(window)
    asked = []
    window.actions_of_frame.choose_to_save = lambda: asked.append(1) or tmp_path / "own.frame"
    window.actions_of_frame.save.trigger()
    assert asked
    assert open_frame(tmp_path / "own.frame").name == "mine"
    assert window.windowTitle().startswith("own.frame – Copewright")


def test_a_file_named_on_the_command_line_is_opened(qtbot, open_window, stand):
    window = open_window("Frame", stand)
    qtbot.waitUntil(lambda: window.document.path == stand)
    assert window.windowTitle().startswith("stand.frame –")


def test_a_file_that_is_no_frame_is_said(qtbot, open_window, tmp_path):
    odd = tmp_path / "odd.frame"
    odd.write_text("{")
    window = open_window("Frame", odd)
    qtbot.waitUntil(lambda: "odd.frame" in window.notice.text() + window.frame.column.state.text())


def test_the_page_and_the_frame_are_there_again_next_time(qtbot, open_window, stand):
    first = open_window("Frame")
    first.document.open(stand)
    first.close()
    second = open_window("Frame")
    qtbot.waitUntil(lambda: second.document.path == stand)
    second.go_to("Start")
    assert list(second.page("Start").recent) == [str(stand)]
    second.document.new()
    second.page("Start").recent[str(stand)].click()
    assert second.document.path == stand
    assert second.current() is second.frame


def test_what_was_not_saved_is_offered_and_a_question_comes_before_it_is_lost(
    qtbot, open_window, tmp_path, monkeypatch
):
    left = Recovery()
    left.keep(rename_frame(sample_frame("paddock-stand"), "left behind"), "")
    offered = []

    def take(unsaved):
        offered.append(unsaved.frame.name)
        return "take"

    monkeypatch.setattr(
        "app.window.document_actions.DocumentActions._ask_to_restore", lambda _, one: take(one)
    )
    window = open_window("Frame")
    qtbot.waitUntil(lambda: window.document.frame.name == "left behind")
    assert offered == ["left behind"]
    answers = ["stay", "save", "lose"]
    window.actions_of_frame.ask_to_lose = lambda: answers.pop(0)
    window.actions_of_frame.choose_to_save = lambda: None
    assert not window.close()
    # Saving was asked for and then given up: nothing is lost either.
    assert not window.close()
    assert window.close()
    assert not answers


def test_a_file_that_somebody_else_changed_is_asked_about_once(qtbot, open_window, stand):
    window = open_window("Frame", stand)
    qtbot.waitUntil(lambda: window.document.path == stand)
    asked = []
    answers = [False, True]
    window.actions_of_frame.ask_to_reread = lambda: asked.append(1) or answers.pop(0)

    def come_back():
        window.isActiveWindow = lambda: True
        QApplication.sendEvent(window, QEvent(QEvent.Type.ActivationChange))
        qtbot.wait(30)

    come_back()
    assert not asked
    save_frame(stand, rename_frame(open_frame(stand), "theirs"))
    come_back()
    come_back()
    assert len(asked) == 1
    assert window.document.frame.name == "rear paddock stand"
    save_frame(stand, rename_frame(open_frame(stand), "theirs again"))
    come_back()
    assert len(asked) == 2
    assert window.document.frame.name == "theirs again"


def test_one_unit_for_the_frame_and_the_window(qtbot, open_window):
    window = open_window("Frame")
    window.actions_of_frame.open_sample("cargo-trike")
    assert window.session.inches
    assert window.inches.isChecked()
    assert window.joint.fields["od"].words.endswith("in")
    assert not window.document.history.changed
    window.inches.setChecked(False)
    assert window.document.frame.units == "mm"
    assert window.document.history.undo_words == "Lengths in mm"
    window.actions_of_frame.undo.trigger()
    assert window.session.inches
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.actions_of_frame.open_sample("paddock-stand")
    assert not window.session.inches
    window.inches.setChecked(True)
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.actions_of_frame.new.trigger()
    assert window.document.frame.units == "in"
    assert not window.document.history.changed


@pytest.mark.parametrize(("page", "papers"), [("Joint", True), ("Bend", True), ("Frame", False)])
def test_save_means_what_the_page_makes(qtbot, open_window, page, papers):
    window = open_window(page)
    save = QKeySequence(QKeySequence.StandardKey.Save)
    assert (window.menus.papers.shortcut() == save) == papers
    assert (window.actions_of_frame.save.shortcut() == save) != papers


@pytest.mark.parametrize("name", list(PAGES))
def test_each_page_explains_itself_in_three_sentences(qtbot, open_window, name):
    window = open_window(name)
    window.explain()
    told = window.findChild(Glossary).words.toPlainText().partition("\n")[0]
    assert told == window.current().help_words
    assert told.count(". ") + told.endswith(".") == 3


def test_a_file_that_is_not_there_is_one_line_and_2(settings):
    done = subprocess.run(
        [sys.executable, "-m", "app", "nowhere.frame"],
        env={**os.environ, "COPEWRIGHT_SETTINGS": str(settings), "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "copewright: there is no file 'nowhere.frame' to open\n"


OPENS = """
import sys
from PySide6.QtCore import QTimer
import app.window.main_window as main
class Told(main.MainWindow):
    def _begin(self):
        super()._begin()
        print(self.windowTitle(), self.current().key)
        QTimer.singleShot(0, self.close)
import app.window.start as start
run_window = start.run_window
start.run_window = lambda path: run_window(path, Told)
from app.cli import main
sys.exit(main([sys.argv[1]]))
"""


def test_the_program_opens_the_frame_it_is_given(settings, stand):
    done = subprocess.run(
        [sys.executable, "-c", OPENS, str(stand)],
        env={**os.environ, "COPEWRIGHT_SETTINGS": str(settings), "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("stand.frame – Copewright")
    assert done.stdout.strip().endswith("Frame")
    assert json.loads((settings / "settings.json").read_text())["window"]["recent"] == [str(stand)]


def test_the_words_of_the_trade(qtbot, open_window):
    window = open_window("Joint")
    window.show_words()
    dialog = window.findChild(Glossary)
    assert dialog.isVisible()
    assert not dialog.isModal()
    for word, told in WORDS:
        assert word in dialog.words.toPlainText()
        assert told.endswith(".")
    dialog.close()


def test_print_goes_to_the_papers_from_the_frame(open_window):
    window = open_window("Frame")
    assert window.menus.print.isEnabled()
    assert window.menus.papers.isEnabled()
    window.menus.print.trigger()
    assert window.shown_page == "Paper"
    window.go_to("Start")
    assert not window.menus.print.isEnabled()
