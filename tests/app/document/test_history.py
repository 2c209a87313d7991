"""Undo and redo over random changes, and what is offered after a crash."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from app.document.history import MOST_STEPS, History, opened
from app.document.recovery import FOLDER, Recovery, forget, unsaved_frames
from geometry.edits import put_point, rename_frame
from geometry.frame import Frame
from geometry.place import At
from tests.frames import EVERYTHING


class Changes(RuleBasedStateMachine):
    """Against a plain list of frames and a place in it."""

    def __init__(self) -> None:
        super().__init__()
        self.history = opened(EVERYTHING)
        self.frames, self.at = [EVERYTHING], 0

    @rule(x=st.integers(-500, 500))
    def move(self, x):
        frame = put_point(self.history.frame, "floor", At(x, 0, 0))
        self.change(frame, f"Move to {x}")

    @rule(name=st.sampled_from(["one", "two", "three"]))
    def rename(self, name):
        self.change(rename_frame(self.history.frame, name), "Rename")

    def change(self, frame, words):
        same = frame == self.history.frame
        self.history = self.history.changed_to(frame, words)
        if not same:
            self.frames = [*self.frames[: self.at + 1], frame]
            self.at += 1
            assert self.history.undo_words == words
            assert self.history.redo_words == ""

    @precondition(lambda self: self.at > 0)
    @rule()
    def undo(self):
        words = self.history.undo_words
        self.history = self.history.undone()
        self.at -= 1
        assert self.history.redo_words == words

    @precondition(lambda self: self.at < len(self.frames) - 1)
    @rule()
    def redo(self):
        words = self.history.redo_words
        self.history = self.history.redone()
        self.at += 1
        assert self.history.undo_words == words

    @rule()
    def save(self):
        self.history = self.history.kept()

    @invariant()
    def the_frame_is_the_lists(self):
        assert self.history.frame == self.frames[self.at]
        assert bool(self.history.undo_words) == (self.at > 0)
        assert bool(self.history.redo_words) == (self.at < len(self.frames) - 1)
        assert self.history.changed == (self.history.frame != self.history.saved)


TestChanges = Changes.TestCase
TestChanges.settings = settings(max_examples=30, stateful_step_count=30)


def test_a_drag_is_one_step():
    history = opened(EVERYTHING)
    for x in range(5):
        history = history.changed_to(
            put_point(history.frame, "floor", At(x, 9, 9)), "Move point floor", merge=True
        )
    assert len(history.past) == 1
    assert history.undone().frame == EVERYTHING
    other = history.changed_to(
        put_point(history.frame, "knee", At(1, 1, 1)), "Move point knee", merge=True
    )
    assert len(other.past) == 2


def test_what_changes_nothing_leaves_no_step_and_the_oldest_are_let_go():
    history = History(Frame())
    assert not history.changed
    assert history.changed_to(Frame(), "Nothing") is history
    assert history.undone() is history
    assert history.redone() is history
    for number in range(MOST_STEPS + 20):
        history = history.changed_to(rename_frame(history.frame, f"f{number}"), "Rename")
    assert len(history.past) == MOST_STEPS
    assert history.changed
    assert not history.kept().changed


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("COPEWRIGHT_SETTINGS", str(tmp_path))
    return tmp_path / FOLDER


CRASH = """
import sys, time
from pathlib import Path
from app.document.recovery import Recovery
from tests.frames import EVERYTHING
Recovery().keep(EVERYTHING, "/somewhere/my.frame")
print("kept", flush=True)
time.sleep(60)
"""


def test_a_window_that_is_killed_leaves_its_frame_to_the_next(folder):
    process = subprocess.Popen(
        [sys.executable, "-c", CRASH], stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parents[3],
        env={**os.environ, "PYTHONPATH": "."},
    )  # fmt: skip
    try:
        assert process.stdout.readline().strip() == "kept"
        # While it runs, it is nobody else's.
        assert unsaved_frames() == []
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()
    (left,) = unsaved_frames()
    assert left.frame == EVERYTHING
    assert left.path == "/somewhere/my.frame"
    forget(left.key)
    assert unsaved_frames() == []


def written(folder, seconds, process, frame=EVERYTHING, name="x"):
    from app.document.frame_file import frame_bytes

    head = {
        "format": "copewright-unsaved",
        "version": 1,
        "path": "",
        "seconds": seconds,
        "process": process,
    }
    folder.mkdir(exist_ok=True)
    place = folder / f"{name}.unsaved"
    place.write_bytes(json.dumps(head).encode() + b"\n" + frame_bytes(frame))
    return place


def test_the_newest_comes_first_and_what_cannot_be_read_is_left(folder):
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    written(folder, 10.0, gone.pid, name="old")
    written(folder, 20.0, gone.pid, replace(EVERYTHING, name="newer"), name="new")
    broken = [written(folder, 30.0, gone.pid, name=name) for name in ("a", "b", "c")]
    broken[0].write_bytes(b"")
    broken[1].write_bytes(b'{"format": "copewright-unsaved"}\n{}')
    broken[2].write_bytes(broken[2].read_bytes()[:-40])
    assert [one.frame.name for one in unsaved_frames()] == ["newer", EVERYTHING.name]
    assert all(place.exists() for place in broken)


def test_saved_there_is_nothing_to_offer(folder):
    own = Recovery()
    own.keep(EVERYTHING, "")
    own.keep(replace(EVERYTHING, name="later"), "")
    assert len(list(folder.glob("*.unsaved"))) == 1
    own.drop()
    assert list(folder.iterdir()) == []
    own.drop()
