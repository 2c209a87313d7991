"""A frame's lists as tables: to and from a spreadsheet by the clipboard, and files of them."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QApplication, QFileDialog, QWidget

from app.document.table_text import decode
from app.document.tables import points_text, read_tables, stock_text, tubes_text
from app.jobs.writing import write_files
from app.window.document import FrameDocument
from app.window.folders import beside, own_suffix
from app.window.words import counted, decimal_comma, reason, sentence, tr
from geometry.errors import CopewrightError
from geometry.frame import Frame
from templates_out.file_names import FileNames

_TEXTS = {"Points": points_text, "Tubes": tubes_text, "Stock": stock_text}
_TABLES = " (*.csv *.tsv *.txt);;".join((tr("Tables"), tr("All files"))) + " (*)"
_CSV = "CSV (*.csv)"


def copy_rows(frame: Frame, kind: str, names: list[str]) -> str:
    """Put rows of a list on the clipboard, as a spreadsheet takes them; returns what to tell.

    Args:
        frame: whose list.
        kind: "Tubes", "Points" or "Stock".
        names: of the rows; none for all.
    """
    if kind not in _TEXTS:
        return tr("Bending tools are in no table; keep one for your other frames by its button.")
    text = _TEXTS[kind](frame, names or None, decimal_comma=decimal_comma())
    QApplication.clipboard().setText(text)
    count = text.count("\n") - 1
    return counted(
        count,
        tr("Copied {n} row: paste them into a spreadsheet."),
        tr("Copied {n} rows: paste them into a spreadsheet."),
    )


def paste_rows(document: FrameDocument) -> str:
    """Take a table from the clipboard into the frame; returns what to tell."""
    return take_table(document, QApplication.clipboard().text(), tr("Paste a table"))


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
        return sentence(error)
    if taken.frame != document.frame and not document.do(words, lambda _: taken.frame):
        return ""
    return sentence(taken.words)


def import_tables(document: FrameDocument, path: Path) -> str:
    """Take points, tubes and stock from a file; returns what to tell."""
    try:
        text = decode(path.read_bytes())
    except OSError as error:
        return tr("{file} cannot be read ({why}).").format(file=path, why=error.strerror)
    except CopewrightError as error:
        return tr("{file}: {why}.").format(file=path.name, why=reason(error))
    return take_table(document, text, tr("Import {file}").format(file=path.name))


def export_tables(frame: Frame, path: Path) -> str:
    """Write stock, points and tubes to a CSV file; returns what to tell."""
    comma = decimal_comma()
    texts = [
        _TEXTS[kind](frame, decimal_comma=comma, separator=";" if comma else ",")
        for kind in ("Stock", "Points", "Tubes")
    ]
    try:
        # With a mark of order in front, without which some spreadsheets take it for another code.
        write_files(path.parent, {path.name: "\n".join(texts).encode("utf-8-sig")})
    except CopewrightError as error:
        return sentence(error)
    return tr("Saved {file}.").format(file=path)


def ask_import(window: QWidget, document: FrameDocument) -> str:
    """Ask for a file, and take its tables; returns what to tell."""
    title = tr("Import points and tubes")
    name, _ = QFileDialog.getOpenFileName(window, title, beside(document), _TABLES)
    return import_tables(document, Path(name)) if name else ""


def ask_export(window: QWidget, document: FrameDocument) -> str:
    """Ask for a place, and write the tables there; returns what to tell."""
    start = str(Path(beside(document)) / f"{FileNames().of(document.frame.name)}.csv")
    name, _ = QFileDialog.getSaveFileName(window, tr("Save the tables"), start, _CSV)
    path = own_suffix(window, Path(name), ".csv") if name else None
    return export_tables(document.frame, path) if path is not None else ""
