"""Where papers go: a folder of their own, and nothing that is there is written over unasked."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QMessageBox, QWidget

from app.window import folders
from app.window.folders import ask_folder, own_documents

HELD = ("book.pdf", "numbers.json", "dxf")
OWN = "cart-papers"


@pytest.fixture
def asked(qtbot, tmp_path, monkeypatch):
    """Asks for a place, which is answered with a folder; what is asked besides is kept and answered too."""
    parent, questions = QWidget(), []
    qtbot.addWidget(parent)

    def ask(chosen, answer=QMessageBox.StandardButton.Yes, written=()):
        monkeypatch.setattr(folders.QFileDialog, "getExistingDirectory", lambda *_: str(chosen))
        monkeypatch.setattr(
            folders.QMessageBox, "question", lambda *words: questions.append(words[2]) or answer
        )
        return ask_folder(parent, "where", str(tmp_path), HELD, "the cart", OWN, written), questions

    return ask


def test_papers_get_a_folder_of_their_own_though_a_file_like_theirs_lies_beside_it(asked, tmp_path):
    (tmp_path / "book.pdf").write_text("another's")
    place, questions = asked(tmp_path)
    assert place == str(tmp_path / OWN)
    assert questions == []


@pytest.mark.parametrize("name", [OWN, "other-papers"])
def test_a_folder_that_is_one_of_papers_is_meant_itself(asked, tmp_path, name):
    there = tmp_path / name
    there.mkdir()
    for one in HELD:
        (there / one).write_text("before")
    place, questions = asked(there)
    assert place == str(there)
    assert "holds papers already (book.pdf, numbers.json, dxf)" in questions[0]


@pytest.mark.parametrize("answer", [QMessageBox.StandardButton.Yes, QMessageBox.StandardButton.No])
def test_papers_that_are_there_are_replaced_only_when_asked(asked, tmp_path, answer):
    (tmp_path / OWN).mkdir()
    (tmp_path / OWN / "book.pdf").write_text("mine")
    place, questions = asked(tmp_path, answer)
    assert len(questions) == 1
    assert place == (str(tmp_path / OWN) if answer == QMessageBox.StandardButton.Yes else "")


def test_only_what_is_written_is_asked_about(asked, tmp_path):
    there = tmp_path / OWN
    there.mkdir()
    for one in HELD:
        (there / one).write_text("before")
    _, questions = asked(there, written=("dxf",))
    assert "holds papers already (dxf)" in questions[0]
    (there / "dxf").unlink()
    place, questions = asked(there, written=("dxf",))
    assert (place, len(questions)) == (str(there), 1)


def test_no_place_is_none(asked):
    assert asked("") == ("", [])


def test_where_there_is_no_folder_for_documents_it_is_their_own(tmp_path, monkeypatch):
    monkeypatch.setattr(
        folders.QStandardPaths, "writableLocation", lambda *_: str(tmp_path / "gone")
    )
    monkeypatch.setattr(folders.Path, "home", lambda: tmp_path)
    assert own_documents() == str(tmp_path)
