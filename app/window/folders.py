"""Asks for a folder to save papers in, and before others that are there are written over."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.window.words import tr


def ask_folder(parent: QWidget, title: str, start: str, held: Sequence[str], whose: str) -> str:
    """The folder that the person chooses; "" for none.

    Args:
        parent: asks.
        title: of the dialog.
        start: where it begins.
        held: names of files that would be written over.
        whose: papers that would take their place, in words.
    """
    folder = QFileDialog.getExistingDirectory(parent, title, start)
    there = [name for name in held if folder and (Path(folder) / name).exists()]
    if not there:
        return folder
    text = tr(
        "{folder} holds papers already ({files}). Replace them with those of {whose}?"
    ).format(folder=folder, files=", ".join(there), whose=whose)
    yes = QMessageBox.StandardButton.Yes
    return folder if QMessageBox.question(parent, tr("Replace papers?"), text) == yes else ""
