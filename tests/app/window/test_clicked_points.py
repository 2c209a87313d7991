"""A tube's points clicked in a view: on a tube, beside every tube, and one after the other; points that hang on others dragged."""

from __future__ import annotations

import math
import random
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.window.clicked_place import place_on
from app.window.shown_words import typed
from geometry.as_bent_checks import as_drawn
from geometry.edits import put_point, put_tube, rename_tube
from geometry.frame import Tube
from geometry.place import Along, At, MirrorOf
from geometry.places import Places, point_along
from geometry.point_text import read_point
from geometry.units import parse_length
from tests.app.window.conftest import solved
from tests.geometry.test_hoop_as_bent import hoop

STAND = Path(__file__).parents[3] / "sample_projects/paddock-stand/paddock-stand.frame"
NONE = Qt.KeyboardModifier.NoModifier


@pytest.fixture
def page(qtbot, open_window):
    window = open_window("Frame", STAND)
    window.resize(1400, 900)
    return window.frame


def look(page, title):
    page.views.tabs.setCurrentIndex(["In space", "Side", "Above", "Front"].index(title))
    return page.views.flat[title]


def begin(page):
    page.column.tabs.setCurrentIndex(0)
    page.column.add.click()
    return page.forms.new


def spot_on(view, tube, share=0.4):
    """A pixel on a tube, away from every point, where it is the one in front."""
    part = next(one for one in view.scene.parts if one.name == tube)
    for place in [*part.middle[int(share * len(part.middle)) :], *part.middle]:
        at = tuple(place)
        clear = all(
            np.hypot(*(np.array(p) - at)) * view._scale > 16 for p in view.scene.points.values()
        )
        if clear and view.scene.part_at(at) is part:
            return view.pixel(QPointF(*at)).toPoint()
    raise AssertionError


def move(view, pixel):
    """Not QTest.mouseMove, which knows of keys that were held for a click before."""
    at = QPointF(pixel)
    event = QMouseEvent(
        QEvent.Type.MouseMove, at, view.mapToGlobal(at), Qt.MouseButton.NoButton, Qt.MouseButton.NoButton, NONE
    )  # fmt: skip
    QApplication.sendEvent(view, event)


def click(view, pixel, keys=NONE):
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, keys, pixel)


def test_a_click_on_a_tube_is_a_place_on_that_tube(qtbot, page):
    view = look(page, "Side")
    new = begin(page)
    pixel = spot_on(view, "prop right")
    wanted = view.at(QPointF(pixel))
    click(view, pixel)
    text = new.points[0].currentText()
    assert text.startswith("on prop at ")
    new.points[1].setEditText("-300, 60, 20")
    new.finish()
    qtbot.waitUntil(lambda: any(t.name == "tube" for t in page.frame.tubes), timeout=20_000)
    place = page.frame.points[page.frame.tube("tube").path[0]]
    assert place == Along("prop", distance=float(text.rpartition(" ")[2]))
    # It is where the pointer was, in the view.
    at = view.scene.view.flat(
        np.array([Places(page.frame).point(page.frame.tube("tube").path[0])])
    )[0]
    assert np.hypot(at[0] - wanted.x(), at[1] - wanted.y()) < 0.6 + 1.5 / view._scale
    # What a fabricator would do there is proposed: it sits on that tube.
    solved(qtbot, page)
    one = next(one for one in page.result.fitted.parts if one.part.name == "tube")
    assert one.cuts[0].onto == ("prop left",)


def test_in_inches_a_click_is_in_sixteenths_and_reads_back(qtbot, page):
    page.window().inches.setChecked(True)
    view = look(page, "Side")
    new = begin(page)
    click(view, spot_on(view, "prop right"))
    text = new.points[0].currentText()
    # As it is read from a rule, without a unit of its own.
    assert re.fullmatch(r"on prop at \d+(-\d+/(2|4|8|16))?", text)
    new.points[1].setEditText("-12, 2, 1")
    frame, tube = new.typed()
    distance = frame.points[tube.path[0]].distance
    assert distance / (25.4 / 16) == pytest.approx(round(distance / (25.4 / 16)), abs=1e-4)
    assert 0 < distance < Places(frame).path(frame.tube("prop")).developed_length


def test_a_click_at_the_very_finish_is_on_the_tube(page):
    numbers = random.Random(3)
    for _ in range(40):
        end = tuple(numbers.uniform(100, 900) for _ in range(3))
        frame = put_tube(
            put_point(put_point(page.frame, "a", At(0, 0, 0)), "b", At(*end)),
            Tube("rod", "main", ("a", "b")),
        )
        text = place_on(frame, "rod", end, "y")
        _, place = read_point(text, frame, "p")
        length = math.dist((0, 0, 0), end)
        # The last whole millimetre that is on it.
        assert place.distance == (round(length) if round(length) <= length else math.floor(length))
        at = Places(put_point(frame, "p", place)).point("p")
        assert math.dist(at, end) == pytest.approx(length - place.distance, abs=1e-6)


def test_with_alt_it_is_a_place_beside_every_tube(page):
    view = look(page, "Side")
    new = begin(page)
    click(view, spot_on(view, "prop right"), Qt.KeyboardModifier.AltModifier)
    assert not new.points[0].currentText().startswith("on ")
    assert new.points[0].currentText().count(",") == 2


def test_a_click_on_the_opposite_hand_is_where_it_is(qtbot, page):
    view = look(page, "Above")
    handed = next(one for one in page.frame.tubes if one.handed)
    new = begin(page)
    part = next(
        one for one in view.scene.parts if one.tube == handed.name and one.name.endswith("right")
    )
    entered = Places(page.frame).path(handed)
    assert np.mean([y for _, y, _ in entered.vertices]) > 0, "the stand's are entered as left ones"
    place = next(
        tuple(p) for p in part.middle[len(part.middle) // 3 :]
        if view.scene.part_at(tuple(p)) is part
        and all(np.hypot(*(np.array(at) - p)) * view._scale > 16 for at in view.scene.points.values())
    )  # fmt: skip
    click(view, view.pixel(QPointF(*place)).toPoint())
    x, y, z = (float(word) for word in new.points[0].currentText().split(","))
    assert y < 0
    mirrored = np.array((x, -y, z))
    steps = [np.array(Places(page.frame).point(name)) for name in handed.path]
    way = (steps[1] - steps[0]) / np.linalg.norm(steps[1] - steps[0])
    off = mirrored - steps[0]
    assert np.linalg.norm(off - (off @ way) * way) < 0.2


def test_clicks_go_on_adding_points_and_write_over_none(page):
    view = look(page, "Above")
    new = begin(page)
    new.points[0].setEditText("first: 700, 300, 0")
    new.points[1].setFocus()
    new.points[1].setEditText("second: 800, 300, 0")
    click(view, QPoint(30, 30), Qt.KeyboardModifier.AltModifier)
    click(view, QPoint(60, 30), Qt.KeyboardModifier.AltModifier)
    texts = [combo.currentText() for combo in new.points]
    assert texts[:2] == ["first: 700, 300, 0", "second: 800, 300, 0"]
    assert len(texts) == 4
    assert all(texts)


def test_before_the_click_it_says_which_place_it_would_be(page):
    view = look(page, "Side")
    move(view, spot_on(view, "prop right"))
    assert view.caption == ""
    begin(page)
    move(view, spot_on(view, "prop right", 0.5))
    assert view.caption == "on prop right"
    move(view, QPoint(25, 25))
    assert view.caption.startswith("x ")
    assert " z " in view.caption
    assert "y" not in view.caption.partition("(")[0]
    head = view.pixel(QPointF(*view.scene.points["prop head"])).toPoint()
    move(view, head)
    assert view.caption == "prop head"


def test_across_from_the_first_point_it_is_its_mirror_image(qtbot, page):
    """A tube across is level, though nobody clicks twice at one height."""
    view = look(page, "Front")
    new = begin(page)
    first = spot_on(view, "prop left")
    click(view, first)
    assert new.points[0].currentText().startswith("on prop at ")
    middle = view.pixel(QPointF(0.0, 0.0)).x()
    across = QPoint(round(2 * middle - first.x()), first.y() + 2)
    click(view, across)
    assert new.points[1].currentText() == "mirror of tube start"
    assert new.points[0].currentText().startswith("tube start: on prop at ")
    # Whatever the tube is called then.
    new.name.setText("")
    QTest.keyClicks(new.name, "brace")
    frame, tube = new.typed()
    left, right = (Places(frame).point(name) for name in tube.path)
    assert right == (left[0], -left[1], left[2])
    # Far from there it is a place of its own.
    new.points[1].setEditText("")
    click(view, across - QPoint(0, round(40 * view._scale)))
    assert not new.points[1].currentText().startswith("mirror")


@pytest.mark.parametrize("title", ["Above", "Front"])
def test_across_a_hoop_it_is_the_mirror_image_too(qtbot, page, title):
    """Both sides of a hoop are one tube: whole millimetres from its start would not be level."""
    page.document.do("Hoop", lambda _: as_drawn(replace(hoop(), tubes=hoop().tubes[:1])))
    solved(qtbot, page)
    view = look(page, title)
    new = begin(page)
    first = spot_on(view, "hoop", 0.2)
    click(view, first)
    middle = view.pixel(QPointF(0.0, 0.0))
    mirrored = (
        QPoint(first.x() + 1, round(2 * middle.y() - first.y()))
        if title == "Above"
        else QPoint(round(2 * middle.x() - first.x()), first.y() + 1)
    )
    click(view, mirrored)
    assert new.points[0].currentText().startswith("tube start: on hoop at ")
    assert new.points[1].currentText() == "mirror of tube start"


def test_a_tube_to_come_is_a_line_in_space_too(qtbot, page):
    space = page.views.space
    page.views.tabs.setCurrentIndex(0)
    qtbot.waitUntil(lambda: space._drawing is not None)
    new = begin(page)
    new.points[0].setEditText("0, 0, 60")
    new.points[1].setEditText("top: -400, 0, 60")
    assert space._line == ("tube start", "top")
    # Drawn anew for whatever reason, it is still there.
    page.views.show_seen(page.views._seen)
    assert space._line == ("tube start", "top")
    assert set(page.frame.points) < set(space._marked)
    ends = space.placed(np.array([space._marked[name] for name in space._line]))[:, :2]
    picture = space.grab().toImage()
    accent = space.palette().highlight().color()
    along = [ends[0] + share * (ends[1] - ends[0]) for share in np.linspace(0.1, 0.9, 60)]
    hits = [picture.pixelColor(round(x), round(y)) == accent for x, y in along]
    # Dashed.
    assert 0.3 < np.mean(hits) < 0.95
    new.leave.click()
    assert space._line == ()
    assert "top" not in space._marked


def test_a_mirror_image_that_is_dragged_stays_one(qtbot, page):
    view = look(page, "Above")
    image, base = next(
        (name, place.base)
        for name, place in page.frame.points.items()
        if isinstance(place, MirrorOf)
    )
    before = Places(page.frame).point(base)
    start = view.pixel(QPointF(*view.scene.points[image])).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, NONE, start)
    for step in (8, 20, 31):
        QTest.mouseMove(view, start + QPoint(step, step // 2))
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, NONE, start + QPoint(31, 15))
    assert isinstance(page.frame.points[image], MirrorOf)
    x, y, z = Places(page.frame).point(image)
    assert Places(page.frame).point(base) == (x, -y, z) != before
    page.document.undo()
    assert Places(page.frame).point(base) == before


def test_a_point_on_a_tube_slides_and_the_caption_says_where_it_is(page):
    page.document.do("Add", lambda f: put_point(f, "clip", Along("prop", distance=40.0)))
    view = look(page, "Side")
    start = (
        view.pixel(QPointF(*view.scene.points["clip"])).toPoint()
        if "clip" in view.scene.points
        else None
    )
    if start is None:
        page.views.show_seen(page.views.seer(page.frame, page._places())())
        start = view.pixel(QPointF(*view.scene.points["clip"])).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, NONE, start)
    QTest.mouseMove(view, start + QPoint(20, -30))
    QTest.mouseMove(view, start + QPoint(30, -60))
    z = Places(page.frame).point("clip")[2]
    assert view.caption.startswith("clip: ")
    assert f"z {z:.2f}".rstrip("0").rstrip(".") in view.caption
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, NONE, start + QPoint(30, -60))
    moved = page.frame.points["clip"]
    assert isinstance(moved, Along)
    assert moved.distance != 40.0
    # Renamed, the tube still has it.
    page.document.do("Rename", lambda f: rename_tube(f, "prop", "leg"))
    assert page.frame.points["clip"] == Along("leg", distance=moved.distance)


def test_in_space_a_click_on_a_tube_is_a_place_on_it_too(qtbot, page):
    space = page.views.space
    page.views.tabs.setCurrentIndex(0)
    qtbot.waitUntil(lambda: space._drawing is not None or space.problem)
    assert space.problem == ""
    new = begin(page)
    # All points are shown while one is asked for, and each can be clicked on.
    assert set(space._marked) == set(page.frame.points)
    at = space.placed(np.array([page._places()["handle left"]]))[0]
    QTest.mouseClick(space, Qt.MouseButton.LeftButton, NONE, QPoint(int(at[0]), int(at[1])))
    assert new.points[0].currentText() == "handle left"
    path = Places(page.frame).path(page.frame.tube("roller bar"))
    wanted = point_along(path, 100.0)
    at = space.placed(np.array([wanted]))[0]
    QTest.mouseClick(space, Qt.MouseButton.LeftButton, NONE, QPoint(int(at[0]), int(at[1])))
    text = new.points[1].currentText()
    assert text.startswith("on roller bar at ")
    assert float(text.rpartition(" ")[2]) == pytest.approx(100.0, abs=4.0)
    QTest.mouseClick(space, Qt.MouseButton.LeftButton, NONE, QPoint(3, 3))
    assert "In space click on a tube or a point" in page.column.state.text()
    assert len(new.points) == 2
    new.give_up()
    assert not space._marked
    with qtbot.waitSignal(page.views.part_picked):
        QTest.mouseClick(space, Qt.MouseButton.LeftButton, NONE, QPoint(int(at[0]), int(at[1])))


def test_a_place_beyond_its_tube_is_said_in_the_form(page):
    new = begin(page)
    new.points[0].setEditText("on prop at 5000")
    new.points[1].setEditText("0, 0, 0")
    assert not new.done.isEnabled()
    assert "allowed is up to its length" in new.told.text()


def test_a_mirror_image_follows_the_name_of_its_point(qtbot, stand_window):
    page = stand_window.frame
    page.column.add.click()
    new = page.forms.new
    new.points[0].setEditText("cross start: -200, 60, 400")
    new.points[1].setEditText("mirror of cross start")
    for text in ("cross lef: -200, 60, 400", "cross left: -200, 60, 400"):
        new.points[0].setEditText(text)
    assert new.points[1].currentText() == "mirror of cross left"
    qtbot.waitUntil(new.done.isEnabled, timeout=5000)


def test_a_mirror_image_of_another_point_keeps_to_that(stand_window):
    """Though a name passes through that one's while it is typed."""
    page = stand_window.frame
    page.column.add.click()
    new = page.forms.new
    new.points[1].setEditText("other: mirror of prop foot")
    for text in ("prop foots: 0, 10, 400", "prop foot: 0, 10, 400", "prop foo: 0, 10, 400"):
        new.points[0].setEditText(text)
    assert new.points[1].currentText() == "other: mirror of prop foot"


def test_a_mirror_image_follows_through_a_name_that_another_point_has(stand_window):
    page = stand_window.frame
    page.column.add.click()
    new = page.forms.new
    new.points[0].setEditText("prop foo: 0, 10, 400")
    new.points[1].setEditText("other: Mirror of prop foo")
    for text in ("prop foot: 0, 10, 400", "prop Foot : 0, 10, 400", "prop foot low: 0, 10, 400"):
        new.points[0].setEditText(text)
    assert new.points[1].currentText() == "other: mirror of prop foot low"
    # What is typed there by hand is meant itself again.
    new.points[1].setEditText("other: mirror of prop foot")
    new.points[0].setEditText("prop foot lower: 0, 10, 400")
    assert new.points[1].currentText() == "other: mirror of prop foot"


@pytest.mark.parametrize(
    "value", [-561.975, 0.0, 9.525, -0.396875, 115.8875, 45.123, 9.53, -25.4, 1e4 / 3]
)
def test_what_a_click_types_in_inches_is_read_back_as_it_was(value):
    text = typed([value, 0.0, -value], inches=True)
    read = [parse_length(one, default_unit="in") for one in text.split(", ")]
    assert read == pytest.approx([value, 0.0, -value], abs=1e-6)
    assert (typed([value], inches=True) == "-22-1/8") is (value == -561.975)
