"""Every command of the page of a frame: undone it leaves the very frame that was, done again the very one that came."""

from __future__ import annotations

import ast
import os
import re
import time
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from app.window import came_back
from app.window.table_traffic import import_tables
from geometry.as_bent import AsBent
from geometry.edits import put_point, put_stock
from geometry.frame import Stock
from geometry.place import At
from geometry.section import BoxSection

WINDOW = Path(came_back.__file__).parent


@pytest.fixture
def page(qtbot, open_window):
    window = open_window("Frame")
    window.actions_of_frame.open_sample("paddock-stand")
    return window.frame


def tube(page, name="prop"):
    page.choose("Tubes", name)
    return page.forms.tube


def bent(page):
    """The handle, with a bend."""
    form = tube(page, "handle")
    form.longer.click()
    return form


def points(page, way):
    page.choose("Points", "arm front", "handle right")
    form = page.forms.points
    form.way.setCurrentIndex([form.way.itemData(i) for i in range(form.way.count())].index(way))
    form.do.click()


def box(page):
    section = BoxSection(40.0, 20.0, 2.0)
    page.document.do("Box", lambda f: put_stock(f, "main", Stock(section)))
    return tube(page, "handle")


def with_tool(page):
    page.edits.add_tool()
    name = next(iter(page.frame.tools))
    page.choose("Tools", name)
    return name


def measured(page):
    bent(page)
    one = page.frame.tube("handle")
    came = AsBent("", angles=(5.0,))
    page.document.do("Came", lambda f: came_back.with_measured(f, one, "", came))
    return tube(page, "handle")


def two_free(page):
    for number in (1, 2):
        page.document.do(
            "Add", lambda f, n=number: put_point(f, f"free {n}", At(0.0, 0.0, 99.0 * n))
        )


def take_file(page):
    path = Path(os.environ["COPEWRIGHT_SETTINGS"]) / "new points.csv"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("point,x,y,z\nnew,1,2,3\n")
    import_tables(page.document, path)


def paste(page):
    QApplication.clipboard().setText("point\tx\ty\tz\nnew\t1\t2\t3\n")
    page.paste_rows()


def new_tube(page):
    page.column.add.click()
    form = page.forms.new
    form.name.setText("brace")
    for combo, point in zip(form.points, ("arm front", "handle right"), strict=True):
        combo.setEditText(point)
    # Its ends are proposed off the window's thread.
    while form._ready is None:
        QApplication.processEvents()
        time.sleep(0.005)
    form.finish()


def used(page):
    measured(page).as_bent.click()


def say(line):
    line.setText("me")
    line.editingFinished.emit()


def put_in(page, name):
    page.window().page(name)
    getattr(page.window(), name.lower()).into_frame.click()


def activate(combo, index):
    combo.setCurrentIndex(index)
    combo.activated.emit(index)


def another(combo):
    activate(combo, (combo.currentIndex() + 1) % combo.count())


def nothing(_page):
    """There is nothing to be prepared."""


# What it is called, by its template; what is there before; and what is done.
COMMANDS = [
    ("Add point {name}", nothing, lambda p: p.edits.add_point()),
    ("Add stock {name}", nothing, lambda p: p.edits.add_stock(inches=False)),
    ("Add bending tool {name}", nothing, lambda p: p.edits.add_tool()),
    ("Rename {name}", nothing, lambda p: p.edits.rename("Tubes", "arm", "long arm")),
    ("Rename {name}", nothing, lambda p: p.edits.rename("Points", "arm front", "nose")),
    ("Rename {name}", nothing, lambda p: p.edits.rename("Stock", "main", "thin")),
    ("Rename {name}", with_tool, lambda p: p.edits.rename("Tools", next(iter(p.frame.tools)), "old one")),
    ("Rename {name}", nothing, lambda p: p.edits.rename_frame("rear paddock stand", "other")),
    ("Mark {part} as {step}", nothing, lambda p: p.edits.mark("handle", "cut")),
    ("Move {name} in the order", nothing, lambda p: p.column.moved.emit("handle", 0)),
    ("Move point {name}", nothing, lambda p: p.edits.drag("arm front", (10.0, 160.0, 45.0), p._places(), done=True)),
    ("Move {n} points", nothing, lambda p: (points(p, "move"), p.forms.points.steps[2].set_value(9.0), p.forms.points.do.click())),
    ("Turn {n} points", nothing, lambda p: points(p, "turn")),
    ("Mirror {n} points", nothing, lambda p: (points(p, "mirror"))),
    ("Scale {n} points", nothing, lambda p: (points(p, "scale"), p.forms.points.factor.set_value(90.0), p.forms.points.do.click())),
    ("Copy {name}", nothing, lambda p: p.edits.copy("prop")),
    ("Take out {name}", nothing, lambda p: p.edits.take_out("Tubes", ["prop"])),
    ("Take out {name}", two_free, lambda p: p.edits.take_out("Points", ["free 1"])),
    ("Take out {name}", lambda p: p.edits.add_stock(inches=False), lambda p: p.edits.take_out("Stock", [list(p.frame.stock)[-1]])),
    ("Take out {name}", with_tool, lambda p: p.edits.take_out("Tools", list(p.frame.tools))),
    ("Take out {n} points", two_free, lambda p: p.edits.take_out("Points", ["free 1", "free 2"])),
    ("Lengths in inches", nothing, lambda p: p.window().inches.setChecked(True)),
    ("Lengths in mm", lambda p: p.window().inches.setChecked(True), lambda p: p.window().inches.setChecked(False)),
    ("Paste a table", nothing, paste),
    ("Import {file}", nothing, take_file),
    ("Put {name} into the frame", nothing, lambda p: put_in(p, "Joint")),
    ("Put {name} into the frame", nothing, lambda p: put_in(p, "Bend")),
    ("Add {name}", nothing, new_tube),
    ("Cut at the start of {name}", nothing, lambda p: tube(p).ends[0].cut.setCurrentIndex(1)),
    ("Cut at the finish of {name}", nothing, lambda p: tube(p).ends[1].extra.set_value(7.0)),
    ("Cut at the start of {name}", nothing, lambda p: tube(p).ends[0].gap.set_value(1.5)),
    ("Both hands of {name}", nothing, lambda p: tube(p).handed.click()),
    ("Stock of {name}", lambda p: p.edits.add_stock(inches=False), lambda p: another(tube(p).stock)),
    ("Points of {name}", nothing, lambda p: another(tube(p).points[1])),
    ("Roll of {name}", box, lambda p: tube(p, "handle").roll.set_value(30.0)),
    ("Add a bend of {name}", nothing, bent),
    ("Take a bend out of {name}", bent, lambda p: tube(p, "handle").shorter.click()),
    ("Bend radius of {name}", bent, lambda p: tube(p, "handle").radii[0].set_value(61.0)),
    ("Spare bar of {name}", bent, lambda p: tube(p, "handle").trims[1].set_value(12.0)),
    ("As it came of {name}", measured, lambda p: tube(p, "handle").as_bent.click()),
    ("As drawn of {name}", used, lambda p: tube(p, "handle").as_bent.click()),
    ("Stock {name}", nothing, lambda p: (p.choose("Stock", "main"), p.forms.stock.wall.set_value(2.5))),
    ("Bending tool {name}", with_tool, lambda p: p.forms.tool.between.set_value(444.0)),
    ("Set out point {name}", nothing, lambda p: (p.choose("Points", "prop head"), activate(p.forms.point.kind, 0))),
    ("What the drawings say", nothing, lambda p: (p.choose("Tubes", ""), say(p.forms.frame.facts["owner"]))),
]  # fmt: skip


@pytest.mark.parametrize(
    ("template", "prepare", "act"),
    [pytest.param(*one, id=f"{number} {one[0]}") for number, one in enumerate(COMMANDS)],
)
def test_every_command_is_undone_and_done_again(qtbot, page, template, prepare, act):
    window = page.window()
    prepare(page)
    document = window.document
    before, steps = document.frame, len(document.history.past)
    act(page)
    after = document.frame
    assert after != before
    assert len(document.history.past) == steps + 1
    words = document.history.undo_words
    assert re.fullmatch(re.sub(r"\\\{\w+\\\}", ".+", re.escape(template)), words)
    assert window.actions_of_frame.undo.text().removeprefix("&Undo: ") == words
    window.actions_of_frame.undo.trigger()
    assert document.frame == before
    window.actions_of_frame.redo.trigger()
    assert document.frame == after


# What a dialog says, tried where the dialog is (test_came_back).
ELSEWHERE = {"What came back: {part}"}


def test_no_command_is_left_out():
    """Whatever is handed over as the name of an edit, in any file of the window."""
    names = set()
    for path in WINDOW.glob("*.py"):
        for call in ast.walk(ast.parse(path.read_text())):
            called = getattr(
                getattr(call, "func", None), "attr", getattr(getattr(call, "func", None), "id", "")
            )
            if called in ("do", "typed", "_tell", "tell", "take_table") and call.args:
                names |= {c.value for one in call.args for c in translated(one)}
            elif isinstance(call, ast.Assign) and path.name == "frame_edits.py":
                named = getattr(call.targets[0], "id", "") == "words"
                names |= {c.value for c in translated(call.value) if named}
    names |= {f"{way} {{n}} points" for way in ("Move", "Turn", "Mirror", "Scale")}
    done = {template for template, *_ in COMMANDS} | ELSEWHERE
    assert names - done == set()


def translated(tree):
    calls = (one for one in ast.walk(tree) if isinstance(one, ast.Call))
    return [
        part
        for call in calls
        if getattr(call.func, "id", "") == "tr"
        for part in call.args
        if isinstance(part, ast.Constant)
    ]
