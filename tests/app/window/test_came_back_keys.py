"""Keys in the table of what came back."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.document.samples import sample_frame
from app.window.came_back import CameBackDialog


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
