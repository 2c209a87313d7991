"""The page Start: what a person can begin with, and what they worked on last."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.document.samples import samples
from app.window.colours import ChoiceButton
from app.window.page_frame import scrolled, words_label
from app.window.session import Session
from app.window.words import tr

INTRO = tr(
    "Choose what you want to make. Nothing is asked beforehand, and you can change your mind at any time. What you "
    "make is kept, even if the program or the machine stops."
)
_COLUMN_PX = 460
_MOST_RECENT = 5


class StartPage(QWidget):
    """One joint, one bent tube, a frame, a sample, or a file.

    Signals:
        page_wanted: go to the page of this name.
        new_wanted: begin a frame.
        walk_wanted: make a first frame step by step.
        open_wanted: choose a frame's file.
        recent_wanted: open this file.
        sample_wanted: open the sample of this key.
    """

    key = "Start"
    help_words = INTRO
    page_wanted = Signal(str)
    new_wanted = Signal()
    walk_wanted = Signal()
    open_wanted = Signal()
    recent_wanted = Signal(str)
    sample_wanted = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.joint = self._choice(
            tr("One joint"), tr("Four measured numbers, and a wrap to tape round the tube.")
        )
        self.bend = self._choice(
            tr("One bent tube"),
            tr("Its points and a radius, and a drawing that a shop can bend from."),
        )
        self.frame = self._choice(
            tr("A frame"), tr("Tubes and points in the order of the jig, and the whole shop book.")
        )
        self.walk = self._choice(
            tr("A first frame, step by step"),
            tr("Six tubes, told one by one. It takes a quarter of an hour."),
        )
        self.open = self._choice(tr("A frame's file …"), tr("Open a frame that was saved."))
        self.joint.clicked.connect(lambda: self.page_wanted.emit("Joint"))
        self.bend.clicked.connect(lambda: self.page_wanted.emit("Bend"))
        self.frame.clicked.connect(self.new_wanted)
        self.walk.clicked.connect(self.walk_wanted)
        self.open.clicked.connect(self.open_wanted)
        self.samples = {one.key: self._choice(one.title, one.words) for one in samples()}
        for key, button in self.samples.items():
            button.clicked.connect(lambda _=False, key=key: self.sample_wanted.emit(key))
        self.recent: dict[str, ChoiceButton] = {}
        self._recent_box = QVBoxLayout()
        self._lay_out()

    def _choice(self, title: str, words: str) -> ChoiceButton:
        button = ChoiceButton(title, words)
        button.setAccessibleName(title)
        button.setAccessibleDescription(words)
        return button

    def _lay_out(self) -> None:
        make, other = QVBoxLayout(), QVBoxLayout()
        make.addWidget(self._heading(tr("Make")))
        for button in (self.joint, self.bend, self.frame, self.walk):
            make.addWidget(button)
        make.addStretch(1)
        other.addWidget(self._heading(tr("Go on with")))
        other.addLayout(self._recent_box)
        other.addWidget(self.open)
        if self.samples:
            other.addWidget(self._heading(tr("Look at a sample")))
        for button in self.samples.values():
            other.addWidget(button)
        other.addStretch(1)
        columns = QHBoxLayout()
        columns.setSpacing(24)
        for rows in (make, other):
            column = QWidget()
            column.setLayout(rows)
            column.setMaximumWidth(_COLUMN_PX)
            columns.addWidget(column, 1)
        columns.addStretch(0)
        whole = QWidget()
        rows = QVBoxLayout(whole)
        rows.addWidget(words_label(self, INTRO))
        rows.addLayout(columns, 1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(8, 8, 8, 8)
        outer.addWidget(scrolled(whole))

    def _heading(self, words: str) -> QLabel:
        label = QLabel(words)
        large = label.font()
        large.setPointSizeF(large.pointSizeF() * 1.3)
        label.setFont(large)
        return label

    def showEvent(self, event: object) -> None:  # noqa: ARG002 - Qt's
        """The files worked on last, as they are now."""
        names = [name for name in self.session.state.recent if Path(name).is_file()][:_MOST_RECENT]
        if list(self.recent) == names:
            return
        for button in self.recent.values():
            self._recent_box.removeWidget(button)
            button.deleteLater()
        self.recent = {}
        for name in names:
            button = self._choice(Path(name).name, str(Path(name).parent))
            button.clicked.connect(lambda _=False, name=name: self.recent_wanted.emit(name))
            self.recent[name] = button
            self._recent_box.addWidget(button)

    def close_down(self) -> None:
        """Nothing runs here."""
