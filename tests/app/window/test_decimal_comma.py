"""In a country with a decimal comma numbers are shown with one, and read as what they are."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QLocale, QPointF

from app.window.drawing_view import DrawingView
from app.window.number_field import NumberField
from app.window.number_table import Column, NumberTable
from app.window.result_table import ResultTable
from app.window.words import set_country
from templates_out.table import Table
from tests.app.window.conftest import put, type_in


@pytest.fixture(autouse=True)
def germany():
    before = QLocale()
    set_country(QLocale("de_DE"))
    yield
    set_country(before)


@pytest.fixture
def field(qtbot):
    one = NumberField("tube OD", 25.4, 1, 2000)
    qtbot.addWidget(one)
    return one


@pytest.fixture
def table(qtbot):
    one = NumberTable("points", (Column("x"), Column("turn", "angle")), [["12.5", "0"], ["7", "3"]])
    qtbot.addWidget(one)
    return one


@pytest.mark.parametrize(
    ("typed", "value"),
    [("38,1", 38.1), ("38.1", 38.1), ("25,4", 25.4), ("1,234", 1.234), ("1.234", 1.234), ("1,5in", 38.1)],
)  # fmt: skip
def test_either_sign_parts_off_decimals_and_never_thousands(qtbot, field, typed, value):
    type_in(qtbot, field, typed)
    assert field.good
    assert field.value == pytest.approx(value, abs=1e-12)


@pytest.mark.parametrize("typed", ["1.234,5", "1,234.5", "1.234.5", "1,234,5"])
def test_two_signs_are_no_number(qtbot, field, typed):
    type_in(qtbot, field, typed)
    assert not field.good
    assert field.value == 25.4


@pytest.mark.parametrize("inches", [False, True])
@pytest.mark.parametrize("value", [1.234, 25.4, 38.1, 1000.5, 1234.0, 1.6, 12.345])
def test_what_a_field_shows_is_read_as_the_same(qtbot, field, value, inches):
    field.set_inches(inches)
    field.set_value(value)
    shown = field.edit.text()
    assert "." not in shown
    type_in(qtbot, field, shown)
    assert field.value == pytest.approx(value, abs=0.002 if inches else 1e-12)


def test_a_field_says_its_value_with_a_comma(qtbot, field):
    assert field.edit.text() == "25,4"
    assert field.words == "25,4 mm"
    type_in(qtbot, field, "six apples")
    assert "25,4 mm still counts" in field.message.text()


def test_an_angle_has_a_comma_too(qtbot):
    one = NumberField("angle", 62.5, 0, 90, kind="angle")
    qtbot.addWidget(one)
    assert one.words == "62,5°"
    type_in(qtbot, one, one.edit.text())
    assert one.value == 62.5


def test_a_tables_cells_are_shown_and_read_with_a_comma(table):
    assert table.words(0) == ["12,5", "0"]
    assert table.numbers() == [(12.5, 0.0), (7.0, 3.0)]
    put(table, 1, 0, "1,234")
    put(table, 1, 1, "0,5")
    assert table.numbers()[1] == (1.234, 0.5)


def test_what_a_table_keeps_is_the_same_in_every_country(table):
    put(table, 1, 0, "25,4")
    kept = table.kept()
    assert kept == [["12.5", "0"], ["25.4", "3"]]
    set_country(QLocale("en_GB"))
    table.recall(kept)
    assert table.words(1) == ["25.4", "3"]
    set_country(QLocale("de_DE"))
    table.recall(kept)
    assert table.words(1) == ["25,4", "3"]


def test_a_table_in_inches_and_back(table):
    table.set_inches(True)
    assert table.words(0)[0] == "0,4921"
    assert table.numbers()[0][0] == 12.5
    table.set_inches(False)
    assert table.words(0)[0] == "12,5"


@pytest.mark.parametrize("value", [6.1e-17, -1e-12, 1e-7])
def test_the_dust_of_a_calculation_is_kept_as_a_number(table, value):
    put(table, 0, 0, "1")
    table.item(0, 0).setData(256, ("1", value))
    table.recall(table.kept())
    assert table.numbers()[0][0] == pytest.approx(value, abs=1e-9)


def test_words_in_a_cell_stay_as_they_were_typed(table):
    table.recall([["v1.5 b", "1.5in"], ["1-1/2in", ""]])
    assert table.words(0) == ["v1.5 b", "1.5in"]
    assert table.kept()[0][0] == "v1.5 b"


def test_results_have_a_comma(qtbot):
    results = ResultTable("bend table")
    qtbot.addWidget(results)
    results.show_table(
        Table(("bend", "angle"), ("", "°"), (("1", "45.00*"), ("last", "-0.5")), (1, 1))
    )
    shown = [[results.item(row, column).text() for column in range(2)] for row in range(2)]
    assert shown == [["1", "45,00*"], ["last", "-0,5"]]


def test_a_measured_length_has_a_comma(qtbot):
    view = DrawingView("the wrap")
    qtbot.addWidget(view)
    view._points = [QPointF(0, 0), QPointF(3.25, 4.5)]
    assert view.measured_words() == "5,55 mm (across 3,25 mm, up 4,5 mm)"
