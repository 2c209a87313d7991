"""What every page looks like: what is typed on the left, the drawings it makes on the right."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.window.drawing_view import DrawingView
from geometry.findings import Finding


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
