"""Work that follows something that moves: never more than one behind, and the last one always comes."""

from __future__ import annotations

import threading

import pytest
from PySide6.QtWidgets import QApplication, QWidget

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


class Slow(QWidget):
    def __init__(self, seen):
        super().__init__()
        self.seen = seen

    def paintEvent(self, _event):
        self.seen.append("painted")


def test_a_patient_one_lets_the_window_paint_first(qtbot):
    seen = []
    window, work, answers = Slow(seen), Background(patient=True), []
    qtbot.addWidget(window)
    with qtbot.waitExposed(window):
        window.show()
    QApplication.processEvents()
    work.finished.connect(answers.append)
    seen.clear()
    window.update()
    work.ask(lambda: seen.append("begun") or 1)
    assert work.busy
    qtbot.waitUntil(lambda: answers == [1])
    assert seen == ["painted", "begun"]
    # What is dropped before it has begun never begins.
    work.ask(lambda: seen.append("late") or 2)
    work.ask(lambda: seen.append("last") or 3)
    qtbot.waitUntil(lambda: answers == [1, 3])
    assert "late" not in seen
    work.ask(lambda: seen.append("closed"))
    work.wait()
    QApplication.processEvents()
    assert "closed" not in seen
