"""Tables of numbers and a spreadsheet: cells are copied and pasted as they are there."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QTableWidgetItem

from app.window.number_table import Column, NumberTable
from tests.app.window.conftest import put

CONTROL = Qt.KeyboardModifier.ControlModifier
HOOP = "0\t0\t0\r\n0\t-210,5\t0\r\n310\t-210,5\t84\t60\r\n310\t\u221290\t84\r\n"


@pytest.fixture
def table(qtbot):
    columns = Column("x"), Column("y"), Column("z"), Column("radius", needed=False)
    one = NumberTable(
        "points", columns, [["0", "0", "0"], ["400", "0", "0", "90"], ["7", "0", "3"]]
    )
    qtbot.addWidget(one)
    one.changes, one.told = [], []
    one.edited.connect(lambda: one.changes.append(one.kept()))
    one.said.connect(one.told.append)
    return one


def paste(qtbot, table, text):
    QApplication.clipboard().setText(text)
    qtbot.keyClick(table, Qt.Key.Key_V, CONTROL)


def copied(qtbot, table):
    qtbot.keyClick(table, Qt.Key.Key_C, CONTROL)
    return QApplication.clipboard().text()


def test_points_of_a_spreadsheet_fill_the_rows_as_one_change(qtbot, table):
    table.setCurrentCell(0, 2)
    paste(qtbot, table, HOOP)
    assert table.numbers() == [
        (0, 0, 0, None), (0, -210.5, 0, None), (310, -210.5, 84, 60), (310, -90, 84, None)
    ]  # fmt: skip
    assert len(table.changes) == 1
    assert table.told == []
    assert table.rowCount() == 5
    assert not any(table.words(4))


def test_pasted_into_the_empty_row_they_come_after_the_others(qtbot, table):
    table.setCurrentCell(3, 0)
    paste(qtbot, table, "1;2;3\n4;5;6")
    assert [row[:3] for row in table.numbers()[2:]] == [(7, 0, 3), (1, 2, 3), (4, 5, 6)]


def test_in_place_of_all_that_is_chosen(qtbot, table):
    table.selectAll()
    paste(qtbot, table, "1\t2\t3\n4\t5\t6")
    assert [row[:3] for row in table.numbers()] == [(1, 2, 3), (4, 5, 6)]


def test_fewer_cells_than_a_row_has_go_where_the_cursor_is(qtbot, table):
    table.setCurrentCell(1, 1)
    paste(qtbot, table, "8\n9\n")
    assert table.numbers() == [(0, 0, 0, None), (400, 8, 0, 90), (7, 9, 3, None)]


def radii(table):
    return [row[3] for row in table.numbers()]


@pytest.fixture
def bends(qtbot, table):
    """Six points, of which two have a radius of their own."""
    table.selectAll()
    paste(qtbot, table, "0\t0\t0\n1\t0\t0\t40\n2\t0\t0\n3\t0\t0\t60\n4\t0\t0\t70\n5\t0\t0\n")
    assert radii(table) == [None, 40, None, 60, 70, None]
    return table


def test_an_empty_cell_of_a_column_keeps_those_below_in_their_rows(qtbot, bends):
    bends.setCurrentCell(1, 3)
    paste(qtbot, bends, "90\n\n150\n")
    assert radii(bends) == [None, 90, None, 150, 70, None]


def test_a_column_that_is_copied_comes_back_as_it_was(qtbot, bends):
    bends.clearSelection()
    for row in range(1, 5):
        bends.item(row, 3) or bends.setItem(row, 3, QTableWidgetItem())
        bends.item(row, 3).setSelected(True)
    copied(qtbot, bends)
    qtbot.keyClick(bends, Qt.Key.Key_V, CONTROL)
    assert radii(bends) == [None, 40, None, 60, 70, None]


def test_cells_of_some_columns_go_where_the_cursor_is_as_many_as_they_are(qtbot, bends):
    bends.setCurrentCell(2, 1)
    paste(qtbot, bends, "7\t8\t45")
    assert bends.numbers()[2] == (2, 7, 8, 45)
    # What the clipboard says nothing of stays.
    bends.clearSelection()
    bends.setCurrentCell(3, 0)
    paste(qtbot, bends, "9\t9\t9")
    assert bends.numbers()[3] == (9, 9, 9, 60)


def test_one_cell_does_not_take_the_place_of_all(qtbot, bends):
    bends.selectAll()
    before = bends.kept()
    paste(qtbot, bends, "5")
    assert bends.kept() == before
    assert "no whole rows" in bends.told[-1]


def test_rows_pasted_into_a_row_put_in_write_over_nothing(qtbot, bends):
    bends.setCurrentCell(2, 0)
    qtbot.keyClick(bends, Qt.Key.Key_Insert)
    paste(qtbot, bends, "1,5\t1\t1\n1,6\t2\t2")
    assert [row[0] for row in bends.numbers()] == [0, 1, 1.5, 1.6, 2, 3, 4, 5]


def test_steps_of_a_table_on_its_own_are_taken_back_and_made_again(qtbot, open_window):
    page = open_window("Bend").bend
    table = page.points
    table.setFocus()
    before = table.kept()
    table.selectAll()
    qtbot.keyClick(table, Qt.Key.Key_Delete)
    put(table, 0, 0, "5")
    assert table.kept() == [["5", "", "", ""]]
    for _ in range(3):
        qtbot.keyClick(table, Qt.Key.Key_Z, CONTROL)
    assert table.kept() == before
    qtbot.waitUntil(lambda: page.save.isEnabled())
    qtbot.keyClick(table, Qt.Key.Key_Z, CONTROL | Qt.KeyboardModifier.ShiftModifier)
    assert table.kept() == []
    # They are not the window's, and those of another tube do not come back.
    table.recall(before)
    qtbot.keyClick(table, Qt.Key.Key_Z, CONTROL)
    assert table.kept() == before


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1\t2\t3\n4\tfive\t6", "points, row 2, y 'five'"),
        ("1\t1,200\t3", "points, row 1, y '1,200' may be 1200 or 1,2000"),
        ("1\t2\t3\t4\t5", "points, row 1: '5' stands in column 5; there are 4"),
        ("", "there is no table on the clipboard"),
        ("1\t2\t3\n" * 300, "points would have 300 rows; allowed are 200"),
    ],
)
def test_what_is_no_table_is_said_and_nothing_changes(qtbot, table, text, why):
    table.setCurrentCell(0, 0)
    before = table.kept()
    paste(qtbot, table, text)
    (told,) = table.told
    assert told.startswith(why)
    assert told.endswith("; nothing was pasted.")
    assert (table.kept(), table.changes) == (before, [])


@pytest.mark.parametrize("name", ["en_GB", "de_DE"])
@pytest.mark.parametrize("inches", [False, True])
def test_what_is_copied_is_the_same_when_it_comes_back(country, qtbot, table, name, inches):
    country(name)
    put(table, 0, 0, "1 1/16 in")
    put(table, 1, 0, "433.0125")
    table.set_inches(inches)
    before = table.numbers()
    table.clearSelection()
    text = copied(qtbot, table)
    assert text.count("\n") == 3
    table.selectAll()
    paste(qtbot, table, text)
    assert table.numbers() == before


def test_the_chosen_cells_are_copied(qtbot, table):
    table.setCurrentCell(1, 0)
    table.item(1, 0).setSelected(True)
    table.item(1, 3).setSelected(True)
    table.item(2, 0).setSelected(True)
    assert copied(qtbot, table) == "400\t90\n7\t\n"


def test_on_the_page_what_is_pasted_is_bent_and_what_is_wrong_is_said(qtbot, open_window):
    page = open_window("Bend").bend
    page.points.setCurrentCell(0, 0)
    paste(qtbot, page.points, "0\t0\t0\n500\t0\t0\n500\t0\t400\n900\t0\t400")
    qtbot.waitUntil(lambda: len(page.result.rows) == 2)
    paste(qtbot, page.points, "0\t0\tx")
    assert "points, row 1, z 'x'" in page.state.text()
    text = copied(qtbot, page.bends)
    assert len(text.splitlines()) == 4
    assert text.startswith("bend\tstraight before it, on the bar\t")
    page.bends.setCurrentCell(1, 0)
    assert copied(qtbot, page.bends) == "2\n"


def test_trial_bends_of_a_tool_are_pasted_too(qtbot, open_window):
    page = open_window("Frame").frame
    page.edits.add_tool()
    page.choose("Tools", next(iter(page.frame.tools)))
    form = page.forms.tool
    paste(qtbot, form.trials, "45\t43,2\n90\t87,1")
    (tool,) = page.frame.tools.values()
    assert [one.trial.got_deg for one in tool.trials] == [43.2, 87.1]
    paste(qtbot, form.trials, "45\tx")
    assert "trial bends, row 1, got" in form.problem.text()


def test_a_row_put_in_and_taken_back_makes_no_room(qtbot, open_window):
    table = open_window("Bend").bend.points
    put(table, 0, 0, "5")
    table.setCurrentCell(1, 0)
    qtbot.keyClick(table, Qt.Key.Key_Insert)
    qtbot.keyClick(table, Qt.Key.Key_Z, CONTROL)
    table.clearSelection()
    table.setCurrentCell(1, 0)
    paste(qtbot, table, "410\t0\t0\n710\t0\t300")
    assert [row[0] for row in table.numbers()] == [0, 410, 710]
