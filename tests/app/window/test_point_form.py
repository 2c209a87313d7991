"""The form of a point: every way of setting one out, shown and said again without losing a digit."""

from __future__ import annotations

import pytest

from app.window.point_form import PointForm
from geometry.frame import Frame
from geometry.place import Along, At, MirrorOf, OffsetFrom, Swung
from geometry.places import Places
from tests.app.window.conftest import type_in
from tests.frames import EVERYTHING

PLACES = Places(EVERYTHING)


@pytest.fixture
def form(qtbot):
    one = PointForm()
    qtbot.addWidget(one)
    one.show()
    one.told = []
    one.edited.connect(lambda words, place: one.told.append((words, place)))
    return one


def shown(form, name, inches=False):
    form.show_point(EVERYTHING, name, PLACES.point(name), inches=inches)


@pytest.mark.parametrize("name", EVERYTHING.points)
@pytest.mark.parametrize("inches", [False, True])
def test_showing_a_point_changes_nothing(form, name, inches):
    shown(form, "knee")
    shown(form, name, inches)
    assert form.told == []
    assert form._said(form.kind.currentData()) == EVERYTHING.points[name]


def test_numbers_are_told_as_they_are_typed(form, qtbot):
    shown(form, "head low")
    type_in(qtbot, form.axes[2], "850")
    assert form.told[-1] == ("Set out point head low", At(612, 0, 850))
    shown(form, "head high")
    type_in(qtbot, form.angle, "117")
    assert form.told[-1][1] == Swung("head low", 120.5, 117)
    shown(form, "near the seat")
    type_in(qtbot, form.along, "-75")
    assert form.told[-1][1] == Along("top rail", distance=-75)
    shown(form, "half way")
    type_in(qtbot, form.share, "40")
    assert form.told[-1][1] == Along("top rail", share=0.4)


def choose(form, kind):
    form.kind.setCurrentIndex(form.kind.findData(kind))
    form.kind.activated.emit(form.kind.currentIndex())


def test_another_way_of_setting_out(form):
    shown(form, "knee")
    choose(form, "at")
    # It stays where it is.
    assert form.told[-1][1] == At(*PLACES.point("knee"))
    choose(form, "mirror")
    form.base.setCurrentText("seat")
    form.base.activated.emit(0)
    assert form.told[-1][1] == MirrorOf("seat")
    choose(form, "from")
    assert isinstance(form.told[-1][1], OffsetFrom)
    choose(form, "along")
    assert isinstance(form.told[-1][1], Along)


def test_where_there_is_nothing_to_hang_on_it_says_so(form):
    frame = Frame("f", points={"a": At(1, 2, 3)})
    form.show_point(frame, "a", (1.0, 2.0, 3.0), inches=False)
    choose(form, "from")
    assert "there is no other point yet" in form.problem.text()
    choose(form, "share")
    assert "there is no tube yet" in form.problem.text()
    assert form.told == []
    choose(form, "at")
    assert form.problem.isHidden()


def test_a_new_name_is_asked_for(form, qtbot):
    shown(form, "knee")
    form.name.setText("elbow")
    with qtbot.waitSignal(form.renamed) as told:
        form.name.editingFinished.emit()
    assert told.args == ["knee", "elbow"]
    form.name.setText("")
    form.name.editingFinished.emit()
    assert form.name.text() == "knee"
