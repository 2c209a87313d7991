"""Work that follows something that moves: never more than one behind, and the last one always comes."""

from __future__ import annotations

import threading

import pytest

from app.window.background import Background, Following


@pytest.fixture
def told(qtbot):
    work = Following()
    answers = []
    work.finished.connect(answers.append)
    work.failed.connect(lambda error: answers.append(str(error)))
    yield work, answers
    work.wait()


def test_what_is_asked_meanwhile_waits_and_only_the_last_counts(qtbot, told):
    work, answers = told
    go = threading.Event()
    work.ask(lambda: go.wait(5) and 0)
    for number in (1, 2, 3):
        work.ask(lambda number=number: number)
    assert work.busy
    go.set()
    qtbot.waitUntil(lambda: len(answers) == 2)
    assert answers == [0, 3]
    assert not work.busy


def test_an_error_stops_nothing(qtbot, told):
    work, answers = told
    go = threading.Event()
    work.ask(lambda: go.wait(5) and 1 / 0)
    work.ask(lambda: 7)
    go.set()
    qtbot.waitUntil(lambda: len(answers) == 2)
    assert answers == ["division by zero", 7]
    work.ask(lambda: 8)
    qtbot.waitUntil(lambda: answers[-1] == 8)


def test_a_background_drops_what_is_late(qtbot):
    work, answers = Background(), []
    work.finished.connect(answers.append)
    go = threading.Event()
    work.ask(lambda: go.wait(5) and 0)
    work.ask(lambda: 1)
    assert work.busy
    go.set()
    qtbot.waitUntil(lambda: answers == [1])
    assert not work.busy
    work.wait()
