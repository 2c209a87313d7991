"""Words in the person's language, and numbers as their country writes them."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from PySide6.QtCore import QCoreApplication, QTranslator

from app.window import words
from app.window.words import counted, joined, load_language, numerals, sentence, tr
from tests.app.window.languages import tool

SHEETS = {"{n} sheet": "{n} Blatt", "{n} sheets": "{n} Blätter", "{most} and {last}": "{most} und {last}"}  # fmt: skip


@pytest.fixture
def application(qapp):
    """Speaks no language of a test afterwards."""
    before = qapp.findChildren(QTranslator)
    yield qapp
    for one in qapp.findChildren(QTranslator):
        if one not in before:
            qapp.removeTranslator(one)
            one.setParent(None)


def write(folder, language, texts):
    """A language file, each text by itself or with its meaning."""
    tree = ET.Element("TS", version="2.1", language=language)
    context = ET.SubElement(tree, "context")
    ET.SubElement(context, "name")
    for source, text in texts.items():
        source, *meaning = (source,) if isinstance(source, str) else source
        one = ET.SubElement(context, "message")
        ET.SubElement(one, "source").text = source
        for words_of_it in meaning:
            ET.SubElement(one, "comment").text = words_of_it
        ET.SubElement(one, "translation").text = text
    ts = folder / f"copewright_{language}.ts"
    ET.ElementTree(tree).write(ts, encoding="utf-8")
    tool("lrelease", ts)


def test_without_a_language_every_text_is_itself():
    assert tr("Save the &papers …") == "Save the &papers …"
    assert tr("{n} sheets").format(n=3) == "3 sheets"
    assert tr("") == ""


@pytest.mark.parametrize(
    ("count", "said"), [(0, "0 sheets"), (1, "1 sheet"), (2, "2 sheets"), (21, "21 sheets")]
)
def test_a_count_has_its_word(count, said):
    assert counted(count, "{n} sheet", "{n} sheets") == said


@pytest.mark.parametrize(
    ("given", "said"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (("a", "b", "c"), "a, b and c")],
)
def test_words_in_a_list(given, said):
    assert joined(given) == said


def test_an_error_is_said_as_a_sentence():
    assert sentence(ValueError("the wall is too thin")) == "The wall is too thin."
    assert sentence("") == "."


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("C", "38.1"), ("en_GB", "38.1"), ("de_DE", "38,1"), ("fr_FR", "38,1"), ("de_CH", "38.1"),
        # Fields read no other sign than these two.
        ("ar_EG", "38.1"), ("fa_IR", "38.1"),
    ],
)  # fmt: skip
def test_a_number_has_its_countrys_sign(country, name, shown):
    country(name)
    assert numerals("38.1") == shown
    assert numerals(".5 and 5. and 1-1/2 and a.b") == ".5 and 5. and 1-1/2 and a.b"


def test_a_language_is_that_of_the_country(application, country, tmp_path):
    write(tmp_path, "de", SHEETS)
    country("de_AT")
    assert load_language(application, tmp_path)
    assert tr("{n} sheets") == "{n} Blätter"
    assert counted(1, tr("{n} sheet"), tr("{n} sheets")) == "1 Blatt"
    assert joined(["a", "b", "c"]) == "a, b und c"
    assert tr("Nobody has put this into it") == "Nobody has put this into it"
    # Qt's own buttons go along.
    assert QCoreApplication.translate("QPlatformTheme", "Cancel") == "Abbrechen"


def test_a_regions_own_words_come_first(application, country, tmp_path):
    write(tmp_path, "pt", {"{n} sheets": "{n} folhas"})
    write(tmp_path, "pt_BR", {"{n} sheets": "{n} páginas"})
    country("pt_BR")
    assert load_language(application, tmp_path)
    assert tr("{n} sheets") == "{n} páginas"


def test_one_text_for_two_things(application, country, tmp_path):
    write(tmp_path, "de", {"Start": "Anfang", ("Start", "the page"): "Willkommen"})
    country("de_DE")
    assert load_language(application, tmp_path)
    assert (tr("Start"), tr("Start", "the page")) == ("Anfang", "Willkommen")
    # One whose meaning nobody has looked at is still put into the language.
    assert tr("Start", "of a race") == "Anfang"


@pytest.mark.parametrize("name", ["de_DE", "en_US", "C", "ja_JP"])
def test_without_a_file_it_stays_in_english(application, country, tmp_path, name):
    country(name)
    assert not load_language(application, tmp_path)
    assert not load_language(application, tmp_path / "nowhere")
    assert tr("{n} sheets") == "{n} sheets"
    assert QCoreApplication.translate("QPlatformTheme", "Cancel") == "Cancel"


def test_whoever_speaks_english_first_is_not_given_their_second_language(
    application, monkeypatch, tmp_path
):
    write(tmp_path, "de", SHEETS)

    class Speaks:
        languages = ("en-GB", "en", "de-DE", "de")

        def uiLanguages(self):
            return self.languages

    monkeypatch.setattr(words, "QLocale", Speaks)
    assert not load_language(application, tmp_path)
    Speaks.languages = ("ja-JP", "ja", "de-DE", "de", "en")
    assert load_language(application, tmp_path)
    assert tr("{n} sheets") == "{n} Blätter"
