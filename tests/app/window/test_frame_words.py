"""What the page Frame says in another language, and how it writes numbers where a comma is the decimal sign."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest

from app.document.frame_file import open_frame
from app.window.end_form import EndForm
from app.window.frame_lists import place_words, point_rows, stock_rows, tube_rows
from app.window.frame_view import FrameView
from app.window.new_tube import NewTube
from app.window.shown_words import STEP_WORDS
from app.window.tube_details import shown_of
from geometry.fitup import solve
from geometry.frame import STEPS, End, Frame, Plane, Stock
from geometry.place import Along, At, MirrorOf, OffsetFrom, Swung
from geometry.places import known_places
from geometry.point_text import POINT_EXAMPLES
from geometry.section import RoundTube
from templates_out.bend_view import FROM_RIGHT
from templates_out.frame_result import solve_frame
from templates_out.frame_scene import scene
from tests.frames import EVERYTHING

STAND = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"


@pytest.fixture
def comma(country):
    country("de_DE")


def test_lists_have_commas(comma):
    frame = open_frame(STAND)
    assert ("bar", f"bar\n33,7 x 2,6, {frame.stock['bar'].material}") in stock_rows(frame, inches=False)  # fmt: skip
    assert tube_rows(frame, {}, inches=False)[0][1].endswith("\n33,7 x 2,6")
    assert "1,1811" in tube_rows(frame, {}, inches=True)[1][1]
    rows = dict(point_rows(EVERYTHING, known_places(EVERYTHING), inches=False))
    assert rows["knee"] == "knee\n262; 130; 784,75 (from head low by -350; 130; -60,25)"
    assert rows["head high"].endswith("(120,5 from head low at 116°)")


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (OffsetFrom("a 1.5", (0.5, 1, -2)), "from a 1.5 by 0,5; 1; -2"),
        (Swung("a 1.5", 2.5, 22.5), "2,5 from a 1.5 at 22,5°"),
        (Along("rail 2.5", share=0.125), "on rail 2.5, 12,5 % along"),
        (Along("rail 2.5", distance=-2.5), "on rail 2.5, 2,5 from its finish"),
        (Along("rail 2.5", distance=2.5), "on rail 2.5, 2,5 from its start"),
        (MirrorOf("a 1.5"), "mirror image of a 1.5"),
    ],
)
def test_names_keep_their_points(comma, place, words):
    assert place_words(place, inches=False) == words


def test_a_plane_of_its_own_and_facts_have_commas(comma, qtbot):
    form = EndForm("start")
    qtbot.addWidget(form)
    end = End("plane", plane=Plane((1.5, 0.0, 2.0)))
    form.show_end(EVERYTHING, EVERYTHING.tubes[-1], end, inches=False)
    assert form.through.currentText() == "x 1,5; y 0; z 2"
    result = solve_frame(open_frame(STAND))
    one = result.fitted.parts[0]
    first = shown_of(result, one, 0.1).facts.partition("\n")[0]
    assert first == "roller bar: 380 mm from long point to long point, 0,76 kg"


def dragged(view):
    name = "prop head"
    start = view.pixel(QPointF(*view.scene.points[name])).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    for step in (10, 23):
        QTest.mouseMove(view, start + QPoint(step, -step))
    return view.caption


@pytest.mark.parametrize(("name", "sign", "between"), [("de_DE", ",", "; "), ("en_GB", ".", ", ")])
def test_a_dragged_caption_has_the_sign_of_the_country(country, qtbot, name, sign, between):
    country(name)
    frame = open_frame(STAND)
    places = known_places(frame)
    view = FrameView("side")
    qtbot.addWidget(view)
    view.resize(700, 500)
    view.grid = 0.25
    view.set_scene(scene(solve(frame), places, FROM_RIGHT), places)
    view.show()
    view.zoom(7.3, view.pixel(QPointF(*view.scene.points["prop head"])))
    seen = []
    view.point_dragged.connect(lambda _name, at, _done: seen.append(at))
    caption = dragged(view)
    x, y, z = seen[-1]
    assert any(value % 1 for value in (x, y, z))
    said = between.join(
        f"{axis} {value:g}".replace(".", sign) for axis, value in zip("xyz", seen[-1], strict=True)
    )
    assert caption.partition(" (")[0] == f"prop head: {said}"


@pytest.mark.parametrize("name", ["en_US", "de_DE", "ar_EG", "hi_IN", "de_CH", "fr_FR"])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_picked_place_reads_back_exactly(country, qtbot, name, units):
    country(name)
    form = NewTube()
    qtbot.addWidget(form)
    numbers = random.Random(2)
    places = [(-640.25, 0.0, 33.7), (1.0, 2.0, 3.0), (0.5, -0.25, 19999.125)] + [
        tuple(round(numbers.uniform(-3000, 3000), numbers.randint(0, 6)) for _ in range(3))
        for _ in range(30)
    ]
    for at in places:
        form._begun = False
        form.begin(Frame(stock={"bar": Stock(RoundTube(25.0, 2.0))}, units=units))
        form.pick_place(at, "y")
        form.points[1].setEditText("9; 9; 9")
        frame, tube = form.typed()
        assert frame.points[tube.path[0]] == At(*at)
    assert tube.path == ("tube start", "tube finish")
    form.proposing.wait()


def test_the_dust_of_a_calculation_is_not_written(comma, qtbot):
    form = NewTube()
    qtbot.addWidget(form)
    form.begin(Frame(stock={"bar": Stock(RoundTube(25.0, 2.0))}))
    form.pick_place((0.1 + 0.2, -1e-17, 2e4), "y")
    assert form.points[0].currentText() == "0,3; 0; 20000"
    form.pick_place((1.0, 5.0, 2.0), "y")
    assert form.points[1].currentText() == "1; 0; 2"
    form.proposing.wait()


def test_what_may_be_typed_for_a_point_is_what_is_read(qtbot):
    form = NewTube()
    qtbot.addWidget(form)
    form.begin(Frame())
    assert form.points[0].toolTip() == (
        f"Type {POINT_EXAMPLES}; or click in a view (with Alt or Shift beside every tube)"
    )


def test_every_step_has_its_word():
    assert tuple(STEP_WORDS) == STEPS


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """The page in a language that puts every text between brackets."""
    settings = str(tmp_path_factory.mktemp("settings"))
    done = subprocess.run(
        [sys.executable, "-m", "tests.app.window.marked_words"],
        env={**os.environ, "COPEWRIGHT_SETTINGS": settings, "LC_ALL": "C.UTF-8"},
        cwd=Path(__file__).parents[3],
        capture_output=True,
        encoding="utf-8",
        timeout=240,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_every_text_can_be_put_into_another_language(marked):
    assert marked["bare"] == []


def test_edits_are_named_in_the_language(marked):
    assert len(marked["undone"]) > 25
    assert [words for words in marked["undone"] if words[0] + words[-1] != "⟦⟧"] == []


def test_what_the_program_calls_new_things_is_in_the_language(marked):
    assert marked["names"] == ["⟦⟦tube⟧ finish⟧", "⟦tube⟧"]


def test_what_is_to_be_typed_is_the_same_in_every_language(marked):
    words = "\n".join(marked["steps"])
    assert len(marked["steps"]) == 9
    for typed in (
        "main", "33.7", "roller right: 0, -190, 45", "roller left: mirror of roller right", "prop head", "35, 0, 245",
        "rear paddock stand",
    ):  # fmt: skip
        assert typed in words
    # What is to be pressed is called what the window calls it.
    for pressed in (
        "⟦Add a stock⟧",
        "⟦Tubes⟧",
        "⟦make its opposite hand too⟧",
        "⟦Done⟧",
        "⟦File⟧",
        "⟦Paper⟧",
    ):
        assert pressed in words
