"""Every word of the window can be put into another language, with Qt's own tools."""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys

import pytest
from PySide6.QtWidgets import QLabel, QPushButton

from tests.app.window.languages import (
    SAID,
    WINDOW,
    collected,
    made_up,
    messages,
    strange_placeholders,
    write_made_up,
)
from tests.app.window.spoken import Spoken

SOURCES = sorted(WINDOW.glob("*.py"))
SHOWS = {
    "setText", "setToolTip", "setWindowTitle", "setAccessibleName", "setAccessibleDescription", "setPlaceholderText",
    "setTabText", "setInformativeText", "setStatusTip", "addTab", "addRow", "addAction", "addMenu", "addButton", "addItem",
    "QAction", "QCheckBox", "QCommandLinkButton", "QLabel", "QMenu", "QPushButton", "QRadioButton", "QToolButton",
    "Column", "DrawingView", "FrameView", "NumberField", "NumberTable", "ResultTable", "SolidView", "SpaceView", "Way",
}  # fmt: skip
"""What is given to these is seen or read aloud."""
LOGS = ("critical", "debug", "error", "exception", "info", "warning")
NOT_SAID = {
    # For the log, and for who writes a page.
    "app.window.", "VTK: %s", " does not say ", "what to ask for", "how to show it", "what to print",
    "where its parts are", "how it is in another unit", "what to save", "how it goes into a frame",
    # Parts of English sentences of the packages that have no Qt, as they are read.
    "not solved", "tube wall", "tool's reference", r"bend (\d+) radius",
    # In PDF files, which are in no language of the window's.
    "Printer test sheet", "Full size: ", "Frame: ", "print at 100 %",
    # Units, a name, the ends of files, markup, what another program is asked.
    " mm", " in", "Copewright ", " – Copewright ", " (*.frame);;", " (*.png)", " (*.csv *.tsv *.txt);;", "CSV (*.csv)",
    "PDF (*.pdf)", '<a href="paper">', "Custom.",
    # Keys, and what stands in the settings; heads of the tables that are on paper too, by which they are known.
    "straight before", "mm round", "in round", "tool radius",
    "In space", "not given (reckoned as E235)",
    # What is typed, which is the same in every language, and the names in the first frame, step by step.
    "1-1/4 x 14swg", "roller: 0, -190, 45", "left: mirror of right", "roller right: 0, -190, 45", "roller left: mirror of roller right",
    "on rail at 120", "on rail at 50 %", "on rail at height 550", "handle right: -640, -130, 60", "handle left: mirror of handle right", "arm front: 0, 160, 45",
    "arm rear: -640, 105, 60", "roller bar", "roller right", "roller left", "handle right", "handle left", "arm front",
    "arm rear", "prop foot", "prop head", "rear paddock stand",
}  # fmt: skip
"""Sentences, and what looks like parts of such, that the person neither sees nor hears from the window."""
KEYS = {
    # Kinds of numbers, keys of a choice, the program's name.
    "bend_page.py": {"angle"}, "tool_form.py": {"angle"}, "stock_form.py": {"round", "box"}, "trouble.py": {"Copewright"},
}  # fmt: skip
"""What is given to ``SHOWS`` and not shown, or a name; by the file."""


@pytest.fixture(scope="module")
def language(tmp_path_factory):
    """A folder with the made-up language."""
    folder = tmp_path_factory.mktemp("languages")
    write_made_up(folder)
    return folder


def name_of(call: ast.Call) -> str:
    return getattr(call.func, "id", "") or getattr(call.func, "attr", "")


def in_calls(tree: ast.AST, names) -> set[int]:
    """Constants anywhere in calls of these."""
    calls = (one for one in ast.walk(tree) if isinstance(one, ast.Call) and name_of(one) in names)
    return {id(part) for call in calls for part in ast.walk(call) if isinstance(part, ast.Constant)}


def texts_of(tree: ast.AST):
    """The words in a file that are neither translated, nor said of the file itself, nor for the log."""
    left_out = in_calls(tree, ("tr", "said", *LOGS))
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr):
            left_out.add(id(node.value))
        elif isinstance(node, ast.AnnAssign | ast.arg) and node.annotation is not None:
            left_out |= {id(part) for part in ast.walk(node.annotation)}
    for node in ast.walk(tree):
        words = isinstance(node, ast.Constant) and isinstance(node.value, str)
        if words and id(node) not in left_out:
            yield node


def sentences_in(tree: ast.AST) -> list[str]:
    """Words that look like a sentence or a part of one."""
    looks = re.compile(
        r"[A-Za-z]{2}.*\s|\s.*[A-Za-z]{2}|[A-Za-z]{2}.*…|[A-Za-z]{2}.*[.,:;?!]$", re.S
    )
    return [one.value for one in texts_of(tree) if looks.search(one.value)]


def shown_bare(tree: ast.AST) -> list[str]:
    """Words given as they are to what shows them."""
    calls = (one for one in ast.walk(tree) if isinstance(one, ast.Call) and name_of(one) in SHOWS)
    given = (part for call in calls for part in call.args)
    return [
        part.value
        for part in given
        if isinstance(part, ast.Constant) and re.search("[A-Za-z]{2}", str(part.value))
    ]


def asked_for(tree: ast.AST) -> list[ast.expr]:
    """What ``tr`` is called with, the meanings too, and ``said``."""
    calls = (one for one in ast.walk(tree) if isinstance(one, ast.Call))
    return [part for call in calls if name_of(call) in ("tr", "said") for part in call.args]


def test_what_the_tool_collects_is_what_the_window_asks_for(tmp_path):
    asked = [part for path in SAID for part in asked_for(ast.parse(path.read_text()))]
    strange = [ast.unparse(part) for part in asked if not isinstance(part, ast.Constant)]
    assert strange == []
    assert {part.value for part in asked} == set(collected(tmp_path / "new.ts"))


def test_no_sentence_of_the_window_is_in_english_alone():
    found = {text for path in SOURCES for text in sentences_in(ast.parse(path.read_text()))}
    assert found - NOT_SAID == set()
    assert NOT_SAID - found == set(), "no longer there: take it out of the list"


def test_nothing_is_shown_in_english_alone():
    found = {path.name: set(shown_bare(ast.parse(path.read_text()))) for path in SOURCES}
    assert {name: words for name, words in found.items() if words} == KEYS


def test_a_text_that_was_forgotten_is_found():
    tree = ast.parse('self.say("Saved.")\nself.setText("Copy")\nsay(f"{n} sheets in {folder}")')
    assert sentences_in(tree) == ["Saved.", " sheets in "]
    assert shown_bare(tree) == ["Copy"]


def test_a_window_in_another_language_has_no_word_of_english(language, tmp_path):
    told = tmp_path / "told.json"
    folder = tmp_path / "papers"
    folder.mkdir()
    walk = [sys.executable, "-m", "tests.app.window.translated_walk", language, folder, told]
    done = subprocess.run(
        walk,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "COPEWRIGHT_SETTINGS": str(tmp_path / "settings")},
        cwd=WINDOW.parents[1],
        capture_output=True,
        text=True,
        timeout=200,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    answer = json.loads(told.read_text())
    assert answer["loaded"]
    assert answer["seen"] > 800
    assert answer["left"] == {}


def test_a_word_of_english_is_found(qtbot):
    label = QLabel(made_up("Choose a {name}").format(name="stock"))
    button = QPushButton("Cut", label)
    qtbot.addWidget(label)
    spoken = Spoken()
    spoken.look("here")
    assert set(spoken.left()) >= {label.text(), "Cut"}
    spoken.names.add("stock")
    assert label.text() not in spoken.left()
    assert button.text() in spoken.left()


def test_the_made_up_language_keeps_what_programs_read():
    assert made_up("&Undo: {edit}") == "⟦&Ｕｎｄｏ: {edit}⟧"
    assert made_up("<b>1 in</b>") == "⟦<b>1 ｉｎ</b>⟧"


def test_every_text_of_the_made_up_language_can_be_filled_in(language):
    assert strange_placeholders(language / "copewright_de.ts") == []
    assert len(messages(language / "copewright_de.ts")) > 400


@pytest.mark.parametrize("bad", ["{blatt} Blätter", "{n Blätter", "{} Blätter", "Blätter}"])
def test_a_strange_placeholder_is_found(tmp_path, bad):
    ts = tmp_path / "copewright_de.ts"
    ts.write_text(
        "<TS><context><name></name><message><source>{n} sheets</source>"
        f"<translation>{bad}</translation></message></context></TS>"
    )
    assert strange_placeholders(ts) == [bad]


@pytest.mark.parametrize("ts", sorted((WINDOW / "languages").glob("*.ts")), ids=lambda ts: ts.stem)
def test_the_languages_that_there_are_fill_in_what_the_program_does(ts):
    assert strange_placeholders(ts) == []
