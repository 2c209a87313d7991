"""The lists of a frame: what they say, what a hand does with them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtTest import QTest

from app.window.frame_lists import (
    NamedList,
    TubeList,
    place_words,
    point_rows,
    stock_rows,
    tube_rows,
)
from geometry.places import Places
from tests.frames import EVERYTHING

NAMES = [tube.name for tube in EVERYTHING.tubes]


@pytest.fixture
def tubes(qtbot):
    one = TubeList()
    qtbot.addWidget(one)
    one.show_rows(tube_rows(EVERYTHING, {"cross": "2 warnings"}, inches=False))
    one.show()
    return one


def test_tubes_are_numbered_in_the_order_they_go_into_the_jig(tubes):
    assert tubes.names == NAMES
    said = [tubes.item(row).text() for row in range(tubes.count())]
    assert said[1] == "2  top rail, both hands; right cut\n25 x 1.5, 1 bend"
    assert said[2].endswith("; 2 warnings")
    assert tube_rows(EVERYTHING, {}, inches=True)[0][1] == "1  headstock; welded\n1-1/2 x 0.0799 in"


def test_a_tube_that_is_used_as_it_came_says_so():
    def first_line(tube):
        frame = replace(
            EVERYTHING, tubes=tuple(tube if t.name == tube.name else t for t in EVERYTHING.tubes)
        )
        return tube_rows(frame, {}, inches=False)[1][1].partition("\n")[0]

    rail = EVERYTHING.tubes[1]
    came = replace(rail, as_bent=tuple(replace(one, use=True) for one in rail.as_bent))
    assert first_line(rail) == "2  top rail, both hands; right cut"
    assert first_line(came) == "2  top rail, both hands; right cut; right as it came"


def test_a_tube_is_chosen_by_hand_and_by_the_page(tubes, qtbot):
    with qtbot.waitSignal(tubes.chosen) as told:
        tubes.setCurrentRow(2)
    assert told.args == ["cross"]
    with qtbot.assertNotEmitted(tubes.chosen):
        tubes.choose("leg")
        tubes.show_rows(tube_rows(EVERYTHING, {}, inches=True))
    assert tubes.current == "leg"
    tubes.show_rows(tube_rows(EVERYTHING, {}, inches=True)[:2])
    assert tubes.current == ""


def test_alt_and_the_arrows_move_it_and_delete_takes_it_out(tubes, qtbot):
    tubes.choose("cross")
    with qtbot.waitSignal(tubes.moved) as told:
        QTest.keyClick(tubes, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert told.args == ["cross", 1]
    with qtbot.waitSignal(tubes.moved) as told:
        QTest.keyClick(tubes, Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    assert told.args == ["cross", 3]
    with qtbot.waitSignal(tubes.taken_out) as told:
        QTest.keyClick(tubes, Qt.Key.Key_Delete)
    assert told.args == [["cross"]]
    tubes.choose(NAMES[0])
    with qtbot.assertNotEmitted(tubes.moved):
        QTest.keyClick(tubes, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)


@pytest.mark.parametrize(("row", "before", "to"), [(0, 3, 2), (3, 0, 0), (1, 5, 4)])
def test_dragged_it_goes_where_it_is_dropped(tubes, qtbot, row, before, to):
    """As the list itself moves its rows when one is dropped before another."""
    name = NAMES[row]
    with qtbot.waitSignal(tubes.moved) as told:
        assert tubes.model().moveRow(QModelIndex(), row, QModelIndex(), before)
    assert told.args == [name, to]
    assert tubes.names[to] == name


def test_points_and_stock_are_said_as_they_are_set_out(qtbot):
    places = Places(EVERYTHING)
    at = {name: places.point(name) for name in EVERYTHING.points}
    said = dict(point_rows(EVERYTHING, at, inches=False))
    assert said["head low"] == "head low\n612, 0, 845"
    assert said["head high"].endswith("(120.5 from head low at 116°)")
    assert said["knee"].endswith("(from head low by -350, 130, -60.25)")
    assert said["half way"].endswith("(on top rail, 50 % along)")
    assert said["near the seat"].endswith("(on top rail, 60 from its finish)")
    assert said["other side"].endswith("(mirror image of half way)")
    assert dict(point_rows(EVERYTHING, {}, inches=False))["floor"] == "floor\nnowhere"
    assert dict(stock_rows(EVERYTHING, inches=False))["jig"].startswith("jig\n50 x 30 x 3, ")
    assert (
        place_words(EVERYTHING.points["near the seat"], inches=True)
        == "on top rail, 2.3622 from its finish"
    )
    one = NamedList("points")
    qtbot.addWidget(one)
    one.show_rows(point_rows(EVERYTHING, at, inches=False))
    assert one.names == list(EVERYTHING.points)
