"""The program is killed while a frame is edited: the next window offers the work of seconds before."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

from app.document.frame_file import open_frame

STAND = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"
MOST_LOST_SECONDS = 10.0
EDITING = """
import sys, time
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
application = QApplication([])
from app.window.main_window import MainWindow
window = MainWindow(Path(sys.argv[1]))
window.show()
number = 100
def edit():
    global number
    number += 1
    page = window.frame
    if page.column.current != "arm front":
        page.choose("Points", "arm front")
    field = page.forms.point.axes[0]
    field.edit.selectAll()
    QTest.keyClicks(field.edit, str(number))
    print(number, time.time(), flush=True)
timer = QTimer()
timer.timeout.connect(edit)
QTimer.singleShot(500, lambda: timer.start(100))
application.exec()
"""


def test_what_was_typed_seconds_before_a_kill_is_offered(
    settings, open_window, tmp_path, qtbot, monkeypatch
):
    stand = Path(shutil.copy(STAND, tmp_path / "stand.frame"))
    running = subprocess.Popen(
        [sys.executable, "-c", EDITING, str(stand)],
        env={**os.environ, "COPEWRIGHT_SETTINGS": str(settings), "QT_QPA_PLATFORM": "offscreen"},
        stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    typed = {}
    while not typed or max(typed.values()) - min(typed.values()) < 5.0:
        number, when = running.stdout.readline().split()
        typed[int(number)] = float(when)
    killed = time.time()
    running.kill()
    running.wait()
    running.stdout.close()
    # The file itself is as it was.
    assert open_frame(stand) == open_frame(STAND)
    offered = []

    def take(_, unsaved):
        offered.append(unsaved)
        return "take"

    monkeypatch.setattr("app.window.document_actions.DocumentActions._ask_to_restore", take)
    window = open_window("Frame")
    qtbot.waitUntil(lambda: bool(offered))
    assert [one.path for one in offered] == [str(stand)]
    number = round(window.document.frame.points["arm front"].x)
    assert killed - typed[number] < MOST_LOST_SECONDS
    assert window.document.path == stand
    assert window.document.history.changed
    # Saved, it is offered no more.
    window.actions_of_frame.save.trigger()
    assert open_frame(stand) == window.document.frame
    window.close()
    offered.clear()
    open_window("Frame")
    qtbot.wait(50)
    assert not offered
