"""The form of a tube's end: shows every way it can be cut, and says it again without losing a word."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from app.window.end_form import EndForm
from geometry.frame import End, Plane
from tests.app.window.conftest import type_in
from tests.frames import EVERYTHING

ENDS = [(tube, end) for tube in EVERYTHING.tubes for end in tube.ends]
MORE = [
    End("plane", plane=Plane((10.0, -20.0, 25.4), (0.0, 1.0, 1.0)), extra=3.0),
    End("mitre", other="leg", way="past", root_gap=1.5),
]


@pytest.fixture
def form(qtbot):
    one = EndForm("start")
    qtbot.addWidget(one)
    one.show()
    one.told = []
    one.edited.connect(one.told.append)
    return one


def shown(form, tube, end, **how):
    form.show_end(EVERYTHING, tube, end, inches=how.get("inches", False))


@pytest.mark.parametrize(("tube", "end"), [*ENDS, *((EVERYTHING.tubes[-1], end) for end in MORE)])
def test_what_is_shown_is_what_would_be_said(form, tube, end):
    for inches in (False, True):
        shown(form, tube, end, inches=inches)
        assert form.told == []
        assert form._said(form.cut.currentData()) == end


def test_only_what_a_cut_asks_for_is_in_view(form):
    tube = EVERYTHING.tube("strut")
    asked = {
        "cope": {form.fit, form.onto, form.gap, form.extra}, "square": {form.extra},
        "mitre": {form.other, form.way, form.gap, form.extra}, "plane": {form.through, form.lies, form.extra},
    }  # fmt: skip
    every = set().union(*asked.values(), form.normal)
    shown(form, tube, End())
    for cut, widgets in asked.items():
        form.cut.setCurrentIndex(form.cut.findData(cut))
        assert {widget for widget in every if widget.isVisibleTo(form)} == widgets, cut


def test_each_change_is_told_once(form, qtbot):
    shown(form, EVERYTHING.tube("cross"), End("cope"))
    form.fit.setCurrentIndex(form.fit.findData("square-cut"))
    form.onto.item(1).setCheckState(Qt.CheckState.Checked)
    type_in(qtbot, form.gap, "1,5")
    names = [form.onto.item(row).text() for row in range(form.onto.count())]
    assert names == [
        "headstock",
        "top rail, the hand on its side",
        "top rail left",
        "top rail right",
    ]
    assert form.told[-1] == End("cope", "square-cut", ("top rail",), 1.5)
    assert form.told[0] == End("cope", "square-cut")
    # Another cut keeps what it asks for too, and drops the rest.
    form.cut.setCurrentIndex(form.cut.findData("mitre"))
    assert form.told[-1].cut == "mitre"
    assert (form.told[-1].root_gap, form.told[-1].onto) == (1.5, ())


def test_how_a_plane_lies_is_chosen_or_said_in_numbers(form, qtbot):
    strut = EVERYTHING.tube("strut")
    shown(form, strut, End("plane", plane=Plane()))
    assert form.lies.currentData() == "z"
    for axis, normal in (("x", (1.0, 0.0, 0.0)), ("y", (0.0, 1.0, 0.0)), ("z", (0.0, 0.0, 1.0))):
        form.lies.setCurrentIndex(form.lies.findData(axis))
        form.lies.activated.emit(form.lies.currentIndex())
        assert form.told[-1].plane.normal == normal
        assert not form.normal[0].isVisibleTo(form)
    form.lies.setCurrentIndex(form.lies.findData(""))
    form.lies.activated.emit(form.lies.currentIndex())
    type_in(qtbot, form.normal[0], "1")
    assert form.told[-1].plane.normal == (1.0, 0.0, 1.0)
    # What is typed goes on in numbers, though it is one that could be chosen; what is shown anew does not.
    shown(form, strut, form.told[-1])
    type_in(qtbot, form.normal[2], "0")
    shown(form, strut, form.told[-1])
    assert form.normal[0].isVisibleTo(form)
    shown(form, strut, End("plane", plane=Plane()))
    assert form.lies.currentData() == "z"
    # What was said in numbers of one tube is not how another one's plane is shown.
    form.lies.setCurrentIndex(form.lies.findData(""))
    shown(form, EVERYTHING.tube("leg"), End("plane", plane=Plane()))
    assert form.lies.currentData() == "z"
    shown(form, strut, End("plane", plane=Plane(normal=(1.0, 0.0, 2.0))))
    assert form.lies.currentData() == ""


def test_what_is_no_plane_is_said_beside_the_form(form, qtbot):
    shown(form, EVERYTHING.tube("strut"), End("plane", plane=Plane()))
    form.lies.setCurrentIndex(form.lies.findData(""))
    form.lies.activated.emit(form.lies.currentIndex())
    type_in(qtbot, form.normal[2], "0")
    assert "normal is 0" in form.problem.text()
    assert form.told == []
    type_in(qtbot, form.normal[0], "1")
    assert form.problem.isHidden()
    assert form.told[-1].plane.normal == (1.0, 0.0, 0.0)


def test_what_no_tick_means_is_said_where_there_is_something_to_tick(qtbot):
    form = EndForm("start")
    qtbot.addWidget(form)
    form.show()
    form.show_end(EVERYTHING, EVERYTHING.tubes[-1], End("cope"), inches=False)
    assert form.hint.isVisible()
    form.show_end(EVERYTHING, EVERYTHING.tubes[-1], End("square"), inches=False)
    assert not form.hint.isVisible()
