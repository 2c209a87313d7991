"""How every page is laid out: what is typed on the left, the drawings it makes on the right."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.window.shown_words import MATERIAL_WORDS
from app.window.words import counted, spoken, tr
from geometry.findings import LEVELS, Finding, Level
from geometry.material import MATERIALS

COLUMN_PX = 312
_LONG_WORD = 24
LEVEL_WORDS: dict[Level, str] = {
    "error": tr("Error"),
    "warning": tr("Warning"),
    "note": tr("Note"),
}
_COUNTED: dict[Level, tuple[str, str]] = {
    "error": (tr("{n} error"), tr("{n} errors")),
    "warning": (tr("{n} warning"), tr("{n} warnings")),
    "note": (tr("{n} note"), tr("{n} notes")),
}


def words_label(parent: QWidget, text: str = "", *, rich: bool = False) -> QLabel:
    """A label for sentences: wrapped, and its text can be copied.

    Args:
        parent: whose it is.
        text: that it shows; a name in it may look like a tag.
        rich: its tags are meant.
    """
    label = QLabel(parent)
    label.setTextFormat(Qt.TextFormat.RichText if rich else Qt.TextFormat.PlainText)
    label.setText(text)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


class StillCombo(QComboBox):
    """A choice that a passing wheel does not change."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave it to the column, which scrolls."""
        event.ignore()


def scrolled(content: QWidget, name: str = "") -> QScrollArea:
    """A part of the page that scrolls up and down where it is higher than its room.

    Args:
        content: of the part.
        name: of words that the keys scroll; "" for fields, which come into view when the keys come to them.
    """
    scroll = QScrollArea()
    if name:
        scroll.setAccessibleName(name)
    else:
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    scroll.setWidget(content)
    scroll.setWidgetResizable(True)
    scroll.setFrameShape(QFrame.Shape.NoFrame)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    return scroll


def typed_column(rows: QVBoxLayout, foot: QVBoxLayout) -> QWidget:
    """The column of fields, scrolled where the window is low, and below it what always stays in view."""
    form = QWidget()
    rows.setSpacing(7)
    rows.addStretch(1)
    form.setLayout(rows)
    column = QWidget()
    whole = QVBoxLayout(column)
    whole.setContentsMargins(0, 0, 0, 0)
    whole.addWidget(scrolled(form), 1)
    whole.addLayout(foot)
    column.setMinimumWidth(COLUMN_PX)
    return column


def beside(left: QWidget, findings: QLabel) -> QSplitter:
    """A picture with the findings at its right."""
    both = QSplitter(Qt.Orientation.Horizontal)
    both.addWidget(left)
    both.addWidget(findings_view(findings))
    both.setSizes([430, 260])
    both.setChildrenCollapsible(False)
    return both


def findings_view(findings: QLabel) -> QScrollArea:
    """The findings, scrolled where they are many."""
    findings.setAlignment(Qt.AlignmentFlag.AlignTop)
    findings.setMargin(8)
    return scrolled(findings, tr("findings"))


def put_together(page: QWidget, column: QWidget, upper: QWidget, lower: QWidget) -> None:
    """Lay the page out; every part can be made larger by its edge."""
    right = QSplitter(Qt.Orientation.Vertical)
    right.addWidget(upper)
    right.addWidget(lower)
    right.setStretchFactor(0, 3)
    right.setStretchFactor(1, 2)
    right.setSizes([410, 270])
    whole = QSplitter(Qt.Orientation.Horizontal, page)
    whole.addWidget(column)
    whole.addWidget(right)
    whole.setStretchFactor(0, 0)
    whole.setStretchFactor(1, 1)
    whole.setSizes([COLUMN_PX, 600])
    for splitter in (right, whole):
        splitter.setChildrenCollapsible(False)
    outer = QVBoxLayout(page)
    outer.setContentsMargins(8, 8, 8, 8)
    outer.addWidget(whole)


def tabs_with_tools(
    name: str, views: Sequence[tuple[str, QWidget]], *tools: QPushButton
) -> QTabWidget:
    """Views behind each other, their tools beside the tabs."""
    tabs = QTabWidget()
    tabs.setAccessibleName(name)
    tabs.setDocumentMode(True)
    for title, view in views:
        tabs.addTab(view, title)
    if tools:
        box = QWidget()
        row = QHBoxLayout(box)
        row.setContentsMargins(0, 0, 0, 2)
        for tool in tools:
            row.addWidget(tool)
        tabs.setCornerWidget(box)
    return tabs


def finding_words(finding: Finding) -> str:
    """A finding on one line: its level, where, what is so and what to do."""
    level = LEVEL_WORDS[finding.level]
    return f"{level}, {spoken(finding.where)}: {spoken(finding.what)} {spoken(finding.do)}"


def findings_words(findings: tuple[Finding, ...]) -> str:
    """The count, then each finding: what is so, and what to do; rich text."""
    if not findings:
        nothing = tr("Nothing to stop at")
        return f"<b>{escape(nothing)}</b>"
    count = counted(len(findings), tr("{n} finding"), tr("{n} findings"))
    told = [
        f"<p><b>{escape(LEVEL_WORDS[f.level])}</b>, {_broken(spoken(f.where))}: {_broken(spoken(f.what))} {_broken(spoken(f.do))}</p>"
        for f in findings
    ]
    return f"<b>{escape(count)}</b>{''.join(told)}"


def _broken(words: str) -> str:
    """Rich text in which a very long word, such as a name, may go on on the next line."""
    parts = [
        "\u200b".join(word[at : at + _LONG_WORD] for at in range(0, len(word), _LONG_WORD))
        for word in words.split(" ")
    ]
    return escape(" ".join(parts))


def fill_materials(combo: QComboBox) -> None:
    """The materials there are, with what their names mean; the name is the choice's data."""
    for name in MATERIALS:
        combo.addItem(f"{name}, {MATERIAL_WORDS[name]}", name)


def findings_count(findings: tuple[Finding, ...]) -> str:
    """How many there are of each level, the worst first."""
    return ", ".join(
        counted(count, *_COUNTED[level])
        for level in LEVELS
        if (count := sum(one.level == level for one in findings))
    )
