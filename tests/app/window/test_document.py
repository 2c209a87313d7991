"""The frame that a window works on: edits, files, what others do to them, and what is left after a crash."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from app.document.frame_file import open_frame, save_frame
from app.document.recovery import FOLDER, unsaved_frames
from app.window.document import FrameDocument
from app.window.session import Session
from geometry.edits import put_point, remove_point, rename_frame
from geometry.frame import Frame
from geometry.place import At
from tests.frames import EVERYTHING

STAND = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"


@pytest.fixture
def document(qtbot):
    session = Session()
    one = FrameDocument(session, session)
    one.said_lines = []
    one.said.connect(one.said_lines.append)
    one.refused.connect(one.said_lines.append)
    yield one
    one.let_go()
    session.keep_now()


@pytest.fixture
def stand(tmp_path):
    return Path(shutil.copy(STAND, tmp_path / "stand.frame"))


def test_edits_are_told_undone_and_refused(document, qtbot):
    with qtbot.waitSignal(document.changed):
        assert document.do("Add point a", lambda f: put_point(f, "a", At(1, 2, 3)))
    assert document.title == "frame *"
    assert document.history.undo_words == "Add point a"
    document.undo()
    assert document.frame == Frame()
    assert document.title == "frame"
    document.redo()
    assert document.frame.points["a"] == At(1, 2, 3)
    before = document.frame
    assert not document.do("Take point out", lambda f: remove_point(f, "b"))
    assert document.frame is before
    assert document.said_lines == ["There is no point 'b'."]


def test_open_edit_save(document, stand, qtbot):
    assert document.open(stand)
    assert document.title == "stand.frame"
    document.do("Rename", lambda f: rename_frame(f, "mine"))
    assert document.title == "stand.frame *"
    with qtbot.waitSignal(document.file_changed):
        assert document.save()
    assert open_frame(stand).name == "mine"
    assert document.title == "stand.frame"
    other = stand.with_name("other.frame")
    document.do("Rename", lambda f: rename_frame(f, "again"))
    assert document.save(other)
    assert (open_frame(other).name, open_frame(stand).name) == ("again", "mine")
    assert document.path == other
    assert [Path(name).name for name in document._session.state.recent] == [
        "other.frame",
        "stand.frame",
    ]
    document.undo()
    assert document.title == "other.frame *"


def test_a_file_that_cannot_be_read_leaves_the_frame_that_is_there(document, tmp_path):
    document.do("Rename", lambda f: rename_frame(f, "precious"))
    bad = tmp_path / "bad.frame"
    bad.write_text("{")
    assert not document.open(bad)
    assert not document.open(tmp_path / "none.frame")
    assert document.frame.name == "precious"
    assert len(document.said_lines) == 2
    assert not document.save()
    (tmp_path / "folder.frame").mkdir()
    assert not document.save(tmp_path / "folder.frame")
    assert document.history.changed


def test_what_somebody_else_writes_is_noticed(document, stand):
    document.open(stand)
    assert not document.changed_on_disk()
    document.do("Rename", lambda f: rename_frame(f, "mine"))
    document.save()
    assert not document.changed_on_disk()
    save_frame(stand, EVERYTHING)
    assert document.changed_on_disk()
    document.open(stand)
    stand.unlink()
    assert document.changed_on_disk()
    document.new()
    assert not document.changed_on_disk()


def test_within_seconds_an_edit_is_kept_and_dropped_when_it_is_saved(
    document, stand, qtbot, settings
):
    document.open(stand)
    document.do("Rename", lambda f: rename_frame(f, "mine"))
    qtbot.waitUntil(lambda: len(list((settings / FOLDER).glob("*.unsaved"))) == 1, timeout=9000)
    document.save()
    assert list((settings / FOLDER).glob("*.unsaved")) == []
    document.do("Rename", lambda f: rename_frame(f, "other"))
    document.keep_now()
    document.undo()
    document.keep_now()
    assert list((settings / FOLDER).glob("*.unsaved")) == []


CRASH = """
from pathlib import Path
import sys
from PySide6.QtCore import QCoreApplication, QTimer
app = QCoreApplication([])
from app.window.document import FrameDocument
from app.window.session import Session
from geometry.edits import rename_frame
session = Session()
document = FrameDocument(session)
document.open(Path(sys.argv[1]))
document.do("Rename", lambda f: rename_frame(f, "nearly lost"))
document.keep_now()
print("kept", flush=True)
app.exec()
"""


def test_after_a_kill_the_next_window_goes_on_with_it(document, stand, settings):
    process = subprocess.Popen(
        [sys.executable, "-c", CRASH, str(stand)], stdout=subprocess.PIPE, text=True, cwd=STAND.parents[2],
        env={**os.environ, "PYTHONPATH": ".", "COPEWRIGHT_SETTINGS": str(settings)},
    )  # fmt: skip
    assert process.stdout.readline().strip() == "kept"
    process.send_signal(signal.SIGKILL)
    process.wait()
    process.stdout.close()
    (left,) = unsaved_frames()
    document.restore(left)
    assert document.frame.name == "nearly lost"
    assert document.title == "stand.frame *"
    # It stays kept until it is saved.
    assert [one.frame.name for one in unsaved_frames()] == ["nearly lost"]
    document.save()
    assert unsaved_frames() == []
    assert open_frame(stand).name == "nearly lost"


def test_a_folder_that_may_not_be_looked_into_does_not_make_the_file_gone(
    monkeypatch, document, tmp_path
):
    """As root may look everywhere, the refusal is made up."""
    assert document.save(tmp_path / "a.frame")
    assert not document.gone

    def refused(_path, **_also):
        raise PermissionError(13, "not allowed")

    monkeypatch.setattr(Path, "stat", refused)
    assert not document.gone
    monkeypatch.undo()
    (tmp_path / "a.frame").unlink()
    assert document.gone
