"""What every page looks like: what is typed on the left, the drawings it makes on the right."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.jobs.writing import write_files
from app.window.background import Background
from app.window.drawing_view import DrawingView
from geometry.errors import CopewrightError
from geometry.findings import Finding
from templates_out.paper import PAPERS


def words_label(parent: QWidget, text: str = "") -> QLabel:
    """A label for sentences: wrapped, and its text can be copied."""
    label = QLabel(text, parent)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def typed_column(rows: QVBoxLayout) -> QScrollArea:
    """The column of fields, scrolled where the window is low."""
    form = QWidget()
    rows.setSpacing(8)
    rows.addStretch(1)
    form.setLayout(rows)
    scroll = QScrollArea()
    scroll.setWidget(form)
    scroll.setWidgetResizable(True)
    scroll.setFrameShape(QFrame.Shape.NoFrame)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setMinimumWidth(310)
    return scroll


def with_tools(view: DrawingView, measure: QPushButton, fit: QPushButton) -> QWidget:
    """A drawing with its two tools above it."""
    measure.setCheckable(True)
    measure.toggled.connect(view.set_measuring)
    fit.clicked.connect(view.fit)
    tools = QHBoxLayout()
    tools.addWidget(measure)
    tools.addWidget(fit)
    tools.addStretch(1)
    box = QWidget()
    upper = QVBoxLayout(box)
    upper.setContentsMargins(0, 0, 0, 0)
    upper.addLayout(tools)
    upper.addWidget(view, 1)
    return box


def put_together(
    page: QWidget, column: QScrollArea, upper: QWidget, lower: QWidget, findings: QLabel
) -> None:
    """Lay the page out; every part can be made larger by its edge."""
    findings.setAlignment(Qt.AlignmentFlag.AlignTop)
    findings.setMargin(6)
    below = QScrollArea()
    below.setWidget(findings)
    below.setWidgetResizable(True)
    below.setFrameShape(QFrame.Shape.NoFrame)
    foot = QSplitter(Qt.Orientation.Horizontal)
    foot.addWidget(lower)
    foot.addWidget(below)
    foot.setSizes([420, 260])
    right = QSplitter(Qt.Orientation.Vertical)
    right.addWidget(upper)
    right.addWidget(foot)
    right.setSizes([430, 270])
    whole = QSplitter(Qt.Orientation.Horizontal, page)
    whole.addWidget(column)
    whole.addWidget(right)
    whole.setStretchFactor(1, 1)
    whole.setSizes([320, 700])
    outer = QVBoxLayout(page)
    outer.setContentsMargins(6, 6, 6, 6)
    outer.addWidget(whole)


def findings_words(findings: tuple[Finding, ...]) -> str:
    """The count, then each finding: what is so, and what to do."""
    count = f"{len(findings)} finding{'s' * (len(findings) != 1)}"
    lines = [count if findings else "nothing to stop at"]
    lines += [f"{f.level}, {f.where}: {f.what} {f.do}" for f in findings]
    return "\n\n".join(lines)


class LivePage(QWidget):
    """A page that solves what is typed off the window's thread and shows it; saving writes its files.

    A page of its own says ``what`` it is about, ``ask`` for work from its fields, ``show_solved``, and
    which ``files`` it saves. An error is said, the last good drawing stays, and saving waits.
    """

    what = "part"
    done_to_it = "made"

    def __init__(self) -> None:
        super().__init__()
        self.background = Background(self)
        self.background.finished.connect(self._show_result)
        self.background.failed.connect(self.show_error)
        self.name = QLineEdit("tube", self)
        self.name.setAccessibleName("name")
        self.name.textEdited.connect(self.changed)
        self.sheet = QComboBox(self)
        self.sheet.addItems(list(PAPERS))
        self.sheet.setAccessibleName("paper")
        self.state = words_label(self)
        self.findings = words_label(self)
        self.save = QPushButton("Save PDF and DXF …", self)
        self.save.clicked.connect(self._save_asked)
        self.measure = QPushButton("Measure", self)
        self.fit_view = QPushButton("Fit", self)

    def ask(self) -> None:
        """Read the fields and ask the background for the work.

        Raises:
            CopewrightError: when they do not go together.
        """
        text = f"{type(self).__name__} does not say what to ask for"
        raise TypeError(text)

    def show_solved(self, solved: Any) -> tuple[Finding, ...]:  # noqa: ARG002 - the pages use it
        """Show what was solved; returns its findings."""
        text = f"{type(self).__name__} does not say how to show it"
        raise TypeError(text)

    def files(self) -> tuple[dict[str, bytes], Iterable[str]]:
        """The files to save, and names of earlier ones that they outdate."""
        text = f"{type(self).__name__} does not say what to save"
        raise TypeError(text)

    def changed(self) -> None:
        """Something was typed or chosen."""
        try:
            self.ask()
        except CopewrightError as error:
            self.background.drop()
            self.show_error(error)

    def _show_result(self, solved: object) -> None:
        self.findings.setText(findings_words(self.show_solved(solved)))
        self.state.setText("")
        self.save.setEnabled(True)

    def show_error(self, error: Exception) -> None:
        """Say it; the last good drawing stays, but it cannot be saved as this one's."""
        self.save.setEnabled(False)
        if isinstance(error, CopewrightError):
            last = f"The drawing is of the last {self.what} that can be {self.done_to_it}."
            self.state.setText(f"{error}. {last}")
        else:
            logging.getLogger(__name__).error("solving a %s", self.what, exc_info=error)
            self.state.setText(
                "Something went wrong inside the program; it is in the log. Your numbers stay."
            )

    def _save_asked(self) -> None:
        folder = QFileDialog.getExistingDirectory(self, f"Folder for this {self.what}'s papers")
        if folder:
            self.save_to(Path(folder))

    def save_to(self, folder: Path) -> None:
        """Write the files, the same as the command's, into a folder."""
        try:
            files, outdated = self.files()
            write_files(folder, files, outdated)
        except CopewrightError as error:
            self.state.setText(f"{error}.")
            return
        self.state.setText(f"Saved {', '.join(files)} in {folder}.")

    def close_down(self) -> None:
        """Let running work end."""
        self.background.wait()
