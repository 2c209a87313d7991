"""The form of a stock: round and box, told as it is typed, in mm, inches and gauges."""

from __future__ import annotations

import pytest

from app.window.stock_form import StockForm
from geometry.frame import Stock
from geometry.section import BoxSection, RoundTube
from tests.app.window.conftest import type_in
from tests.frames import EVERYTHING


@pytest.fixture
def form(qtbot):
    one = StockForm()
    qtbot.addWidget(one)
    one.show()
    one.told = []
    one.edited.connect(lambda words, stock: one.told.append((words, stock)))
    return one


@pytest.mark.parametrize("name", EVERYTHING.stock)
@pytest.mark.parametrize("inches", [False, True])
def test_showing_a_stock_changes_nothing(form, name, inches):
    for other in (*EVERYTHING.stock, name):
        form.show_stock(other, EVERYTHING.stock[other], inches=inches)
    assert form.told == []
    assert form._said() == EVERYTHING.stock[name]
    assert form.od.isVisibleTo(form) is isinstance(EVERYTHING.stock[name].section, RoundTube)


def test_sizes_are_told_as_they_are_typed(form, qtbot):
    form.show_stock("main", Stock(RoundTube(38.1, 2.0)), inches=False)
    type_in(qtbot, form.od, "1-5/8in")
    type_in(qtbot, form.wall, "16swg")
    words, stock = form.told[-1]
    assert words == "Stock main"
    assert (stock.section.od, stock.section.wall) == pytest.approx((41.275, 1.6256))
    form.material.setCurrentText("E355, stronger mild steel")
    form.material.activated.emit(0)
    assert form.told[-1][1].material == "E355"
    type_in(qtbot, form.bar, "3000")
    assert form.told[-1][1].bar_length == 3000


def test_from_round_to_box(form, qtbot):
    form.show_stock("jig", Stock(RoundTube(38.1, 2.0)), inches=False)
    form.shape.setCurrentIndex(1)
    form.shape.activated.emit(1)
    assert form.told[-1][1].section == BoxSection(40.0, 40.0, 2.0, 4.0)
    type_in(qtbot, form.height_, "30")
    assert form.told[-1][1].section == BoxSection(40.0, 30.0, 2.0, 4.0)


def test_what_no_tube_is_is_said(form, qtbot):
    form.show_stock("main", Stock(RoundTube(10.0, 2.0)), inches=False)
    type_in(qtbot, form.wall, "6")
    assert "wall" in form.problem.text()
    assert form.told == []


def test_a_new_name_is_asked_for(form, qtbot):
    form.show_stock("main", Stock(RoundTube(10.0, 2.0)), inches=False)
    form.name.setText("other")
    with qtbot.waitSignal(form.renamed) as told:
        form.name.editingFinished.emit()
    assert told.args == ["main", "other"]
