"""A frame's lists as tables: to and from a spreadsheet by the clipboard, and files of them."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget

from app.document.table_text import decode
from app.document.tables import points_text, read_tables, stock_text, tubes_text
from app.jobs.writing import write_files
from app.window.document import FrameDocument
from geometry.errors import CopewrightError
from geometry.frame import Frame

_TEXTS = {"Points": points_text, "Tubes": tubes_text, "Stock": stock_text}
_FILTER = "Tables (*.csv *.tsv *.txt);;All files (*)"
_CSV = "CSV (*.csv)"


def decimal_comma() -> bool:
    """The person's own spreadsheet writes a comma for decimals."""
    return QLocale().decimalPoint() == ","


def copy_rows(frame: Frame, kind: str, names: list[str]) -> str:
    """Put rows of a list on the clipboard, as a spreadsheet takes them; returns what to tell.

    Args:
        frame: whose list.
        kind: "Tubes", "Points" or "Stock".
        names: of the rows; none for all.
    """
    text = _TEXTS[kind](frame, names or None, decimal_comma=decimal_comma())
    QApplication.clipboard().setText(text)
    count = text.count("\n") - 1
    return f"Copied {count} row{'s' * (count != 1)}: paste them into a spreadsheet."


def paste_rows(document: FrameDocument) -> str:
    """Take a table from the clipboard into the frame; returns what to tell."""
    return take_table(document, QApplication.clipboard().text(), "Paste a table")


def take_table(document: FrameDocument, text: str, words: str) -> str:
    """Take points, tubes and stock from a text into the frame, all or none; returns what to tell.

    Args:
        document: the frame worked on.
        text: with headings, or points without.
        words: the edit's name.
    """
    try:
        taken = read_tables(text, document.frame)
    except CopewrightError as error:
        return f"{str(error)[:1].upper()}{str(error)[1:]}."
    if taken.frame != document.frame and not document.do(words, lambda _: taken.frame):
        return ""
    return f"{taken.words[:1].upper()}{taken.words[1:]}."


def import_tables(document: FrameDocument, path: Path) -> str:
    """Take points, tubes and stock from a file; returns what to tell."""
    try:
        text = decode(path.read_bytes())
    except OSError as error:
        return f"{path} cannot be read ({error.strerror})."
    except CopewrightError as error:
        return f"{path.name}: {error}."
    return take_table(document, text, f"Import {path.name}")


def export_tables(frame: Frame, path: Path) -> str:
    """Write stock, points and tubes to a CSV file; returns what to tell."""
    comma = decimal_comma()
    texts = [
        _TEXTS[kind](frame, decimal_comma=comma, separator=";" if comma else ",")
        for kind in ("Stock", "Points", "Tubes")
    ]
    place = path if path.suffix else path.with_suffix(".csv")
    try:
        # With a mark of order in front, without which some spreadsheets take it for another code.
        write_files(place.parent, {place.name: "\n".join(texts).encode("utf-8-sig")})
    except CopewrightError as error:
        return f"{error}."
    return f"Saved {place}."


def ask_import(window: QWidget, document: FrameDocument) -> str:
    """Ask for a file, and take its tables; returns what to tell."""
    name, _ = QFileDialog.getOpenFileName(window, "Import points and tubes", "", _FILTER)
    return import_tables(document, Path(name)) if name else ""


def ask_export(window: QWidget, document: FrameDocument) -> str:
    """Ask for a place, and write the tables there; returns what to tell."""
    name, _ = QFileDialog.getSaveFileName(window, "Save the tables", "", _CSV)
    return export_tables(document.frame, Path(name)) if name else ""
