"""Asks for a folder to save papers in, and before others that are there are written over."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QStandardPaths
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.window.words import tr

if TYPE_CHECKING:
    from app.window.document import FrameDocument


WHERE_WORDS = tr("Where the folder {name} is to be")
"""Title of the dialog that asks for a place of papers that have a folder of their own."""


def own_documents() -> str:
    """Where the platform keeps what a person has made; their own folder where there is no such place."""
    place = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
    return place if Path(place).is_dir() else str(Path.home())


def beside(document: FrameDocument) -> str:
    """The folder of a frame's file; else that of what a person has made."""
    return str(document.path.parent) if document.path else own_documents()


def ask_folder(
    parent: QWidget,
    title: str,
    start: str,
    held: Sequence[str],
    whose: str,
    own: str = "",
    written: Sequence[str] = (),
) -> str:
    """The folder that the person chooses; "" for none.

    Args:
        parent: asks.
        title: of the dialog.
        start: where it begins.
        held: names of files that such a folder holds.
        whose: papers that would take their place, in words.
        own: a folder of this name in the chosen one is meant, unless that is it, or holds all such files already.
        written: those of them that are written; all where none are named.
    """
    folder = QFileDialog.getExistingDirectory(parent, title, start)
    if not folder:
        return ""
    place = Path(folder)
    if own and place.name != own and not all((place / name).exists() for name in held):
        place /= own
    there = [name for name in written or held if (place / name).exists()]
    if not there:
        return str(place)
    text = tr(
        "{folder} holds papers already ({files}). Replace them with those of {whose}?"
    ).format(folder=place, files=", ".join(there), whose=whose)
    yes = QMessageBox.StandardButton.Yes
    asked = QMessageBox.question(parent, tr("Replace papers?"), text)
    return str(place) if asked == yes else ""


def own_suffix(parent: QWidget, chosen: Path, suffix: str) -> Path | None:
    """A file's place with our suffix; None where that would write over another file, and the person does not want it.

    Args:
        parent: asks.
        chosen: in a dialog, which has asked about that very place.
        suffix: such as ".pdf".
    """
    if chosen.suffix.lower() == suffix:
        return chosen
    place = chosen.with_name(f"{chosen.name}{suffix}")
    if not place.exists():
        return place
    text = tr("{file} is there already. Write over it?").format(file=place)
    yes = QMessageBox.StandardButton.Yes
    return place if QMessageBox.question(parent, tr("Write over it?"), text) == yes else None
