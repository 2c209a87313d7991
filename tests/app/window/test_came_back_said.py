"""The keys of the dialog of what came back, and what it says in inches."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.document.samples import sample_frame
from app.jobs.came_back import CameBack
from app.window.came_back import CameBackDialog
from app.window.came_back_words import meaning
from geometry.findings import Finding
from geometry.lengths import mm
from geometry.said import said


def test_delete_and_backspace_empty_a_cell_and_no_drawn_one(qtbot):
    frame = sample_frame("single-cylinder")
    dialog = CameBackDialog(frame, frame.tube("rear loop"), "", inches=False)
    qtbot.addWidget(dialog)
    dialog.show()
    for key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
        dialog.table.item(0, 1).setText("110")
        dialog.table.setCurrentCell(0, 1)
        QTest.keyClick(dialog.table, key)
        assert dialog.table.item(0, 1).text() == ""
        drawn = dialog.table.item(0, 0).text()
        dialog.table.setCurrentCell(0, 0)
        QTest.keyClick(dialog.table, key)
        assert dialog.table.item(0, 0).text() == drawn != ""
    dialog._close_down()


def test_nothing_moves_when_another_row_is_chosen(qtbot):
    frame = sample_frame("single-cylinder")
    dialog = CameBackDialog(frame, frame.tube("rear loop"), "", inches=False)
    qtbot.addWidget(dialog)
    dialog.show()
    tops = set()
    for row in range(dialog.table.rowCount()):
        dialog.table.setCurrentCell(row, 1)
        qtbot.wait(20)
        tops.add((dialog.table.geometry().getRect(), dialog.hold.y()))
        assert (
            dialog.table.viewport()
            .rect()
            .contains(dialog.table.visualItemRect(dialog.table.item(row, 1)))
        )
    assert len(tops) == 1
    dialog._close_down()


def test_in_inches_each_length_is_said_once_so():
    """The findings are in inches already: what is 12 inches away there is not divided again."""
    frame = replace(sample_frame("single-cylinder"), units="in")
    clash = Finding(
        "clash",
        "error",
        "a and b",
        "They run 1 in into each other near (0, 0, 12.008).",
        "Move one.",
    )
    verdict = Finding("as-bent", "warning", "rear loop", "As bent, …", "Use it as bent.")
    came = CameBack(
        "rear loop", frame, (verdict, clash), off=said("straight 1 is {by} over", by=mm(25.4)),
        ends=(2, (said("stay, start stands {by} open", by=mm(50.8)),)),
    )  # fmt: skip
    words = "\n".join(meaning(came, inches=True))
    assert "near (0, 0, 12.008)" in words
    assert "straight 1 is 1 in over" in words
    assert "stay, start stands 2 in open" in words
    assert "straight 1 is 25.4 mm over" in "\n".join(meaning(came, inches=False))
