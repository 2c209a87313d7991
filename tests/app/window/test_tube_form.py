"""The form of a tube: it shows all of one, tells each change as a new one, and never loses what it does not show."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.window.tube_form import TubeForm
from geometry.bend_plan import radius_left
from tests.app.window.conftest import type_in
from tests.frames import EVERYTHING


@pytest.fixture
def form(qtbot):
    one = TubeForm()
    qtbot.addWidget(one)
    one.show()
    one.told = []
    one.edited.connect(lambda words, tube: one.told.append((words, tube)))
    return one


@pytest.mark.parametrize("tube", EVERYTHING.tubes, ids=lambda tube: tube.name)
@pytest.mark.parametrize("inches", [False, True])
def test_showing_a_tube_changes_nothing(form, tube, inches):
    for other in (EVERYTHING.tubes[0], EVERYTHING.tubes[1], tube):
        form.show_tube(EVERYTHING, other, inches=inches)
    assert form.told == []
    assert form.tube == tube
    assert [combo.currentText() for combo in form.points] == list(tube.path)
    assert tuple(field.value for field in form.radii) == pytest.approx(tube.radii)
    assert form.stock.currentText() == tube.stock
    assert form.trims[0].isVisibleTo(form) is bool(tube.radii)


def test_each_change_is_a_new_tube_with_the_rest_as_it_was(form, qtbot):
    rail = EVERYTHING.tube("top rail")
    form.show_tube(EVERYTHING, rail, inches=False)
    type_in(qtbot, form.radii[0], "155")
    assert form.told[-1] == ("Bend radius of top rail", replace(rail, radii=(155.0,)))
    type_in(qtbot, form.trims[1], "12")
    rail = replace(rail, radii=(155.0,), trim=(10.0, 12.0))
    assert form.told[-1] == ("Spare bar of top rail", rail)
    form.stock.setCurrentText("main")
    form.stock.activated.emit(0)
    assert form.told[-1][1].stock == "main"
    form.points[1].setCurrentText("floor")
    form.points[1].activated.emit(0)
    assert form.told[-1][1].path == ("head low", "floor", "seat")
    form.ends[1].cut.setCurrentIndex(form.ends[1].cut.findData("cope"))
    words, tube = form.told[-1]
    assert words == "Cut at the finish of top rail"
    assert tube.ends[1].cut == "cope"
    assert tube.ends[0] == rail.ends[0]


@pytest.mark.parametrize("end", [0, 1])
def test_a_new_plane_goes_through_the_ends_own_point(form, end):
    rail = EVERYTHING.tube("top rail")
    form.show_tube(EVERYTHING, rail, inches=False)
    form.ends[end].cut.setCurrentIndex(form.ends[end].cut.findData("plane"))
    plane = form.told[-1][1].ends[end].plane
    assert (plane.through, plane.normal) == (rail.path[-end], (0.0, 0.0, 1.0))


def test_points_are_added_and_taken_out_with_their_bends(form, qtbot):
    cross = EVERYTHING.tube("cross")
    form.show_tube(EVERYTHING, cross, inches=False)
    assert not form.shorter.isEnabled()
    form.longer.click()
    _, bent = form.told[-1]
    assert len(bent.path) == 3
    # As the tool at hand leaves it.
    tool = EVERYTHING.tools["hand 148"]
    left = radius_left(tool, EVERYTHING.stock["thin"].section, EVERYTHING.stock["thin"].steel, 90.0)
    assert bent.radii == (round(left, 1),)
    form.show_tube(EVERYTHING, bent, inches=False)
    form.shorter.click()
    assert form.told[-1][1] == cross
    form.show_tube(EVERYTHING, EVERYTHING.tube("leg"), inches=False)
    before = len(form.told)
    form.longer.click()
    assert len(form.told) == before
    assert "a box section is not bent" in form.problem.text()


def test_a_new_name_is_asked_for_and_an_empty_one_is_put_back(form, qtbot):
    form.show_tube(EVERYTHING, EVERYTHING.tube("cross"), inches=False)
    form.name.setText("brace")
    with qtbot.waitSignal(form.renamed) as told:
        form.name.editingFinished.emit()
    assert told.args == ["cross", "brace"]
    form.name.setText("  ")
    with qtbot.assertNotEmitted(form.renamed):
        form.name.editingFinished.emit()
    assert form.name.text() == "cross"


def test_what_makes_no_tube_is_said(form, qtbot):
    form.show_tube(EVERYTHING, EVERYTHING.tube("top rail"), inches=False)
    form._tell("Points", path=("seat",))
    assert "needs at least 2" in form.problem.text()
    assert form.told == []


def test_bends_that_are_alike_are_typed_once(form, qtbot):
    bent = replace(
        EVERYTHING.tube("top rail"),
        path=("head low", "knee", "seat", "floor"),
        radii=(150.0, 150.0),
        as_bent=(),
    )
    frame = replace(
        EVERYTHING, tubes=tuple(bent if one.name == bent.name else one for one in EVERYTHING.tubes)
    )
    form.show_tube(frame, bent, inches=False)
    assert form.alike.isVisibleTo(form)
    assert form.alike.isChecked()
    type_in(qtbot, form.radii[1], "120")
    assert form.told[-1][1].radii == (120.0, 120.0)
    form.show_tube(frame, form.told[-1][1], inches=False)
    assert [field.value for field in form.radii] == [120.0, 120.0]
    # Each on its own, until they are made alike again.
    form.alike.click()
    type_in(qtbot, form.radii[0], "90")
    assert form.told[-1][1].radii == (90.0, 120.0)
    form.show_tube(frame, form.told[-1][1], inches=False)
    assert not form.alike.isChecked()
    form.alike.click()
    assert form.told[-1][1].radii == (90.0, 90.0)
    # A tube that is not so to begin with is left as it is.
    form.show_tube(frame, replace(bent, name="other", radii=(100.0, 130.0)), inches=False)
    assert not form.alike.isChecked()
    form.show_tube(frame, EVERYTHING.tube("cross"), inches=False)
    assert not form.alike.isVisibleTo(form)


def test_what_was_typed_wrong_is_dropped_with_the_tube_that_it_was_for(form, qtbot):
    """Of a tube with another count of bends than the next one has."""
    rail, path = EVERYTHING.tube("top rail"), ("head low", "knee", "seat", "floor")
    hoop = replace(rail, name="hoop", path=path, radii=(150.0, 120.0))
    frame = replace(EVERYTHING, tubes=(*EVERYTHING.tubes, hoop))
    for wrong in ("1o0", "1e9"):
        for one, other in ((rail, hoop), (hoop, rail), (hoop, frame.tube("cross"))):
            form.show_tube(frame, one, inches=False)
            type_in(qtbot, form.radii[-1], wrong)
            assert not form.radii[-1].good
            form.show_tube(frame, other, inches=False)
            assert form.told == []
            assert tuple(field.value for field in form.radii if field.good) == other.radii


def test_the_form_of_another_thing_is_read_from_its_top(qtbot, stand_window):
    page = stand_window.frame
    page.choose("Tubes", "handle")
    scroll = page.forms.currentWidget()
    bar = scroll.verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    bar.setValue(bar.maximum())
    page._show_chosen()
    assert bar.value() > 0, "the same one stays where it is"
    page.choose("Tubes", "prop")
    assert bar.value() == 0
