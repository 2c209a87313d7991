"""The left column of a frame's page: its name, its tubes, points, stock and bending tools, and what is done with them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.window.frame_lists import NamedList, TubeList, point_rows, stock_rows, tool_rows, tube_rows
from app.window.page_frame import findings_count, words_label
from app.window.words import tr
from geometry.findings import Finding
from geometry.frame import Frame, made_names
from geometry.path import Point

KINDS = ("Tubes", "Points", "Stock", "Tools")
"""The lists, as the program calls them."""
TITLES = {"Tubes": tr("Tubes"), "Points": tr("Points"), "Stock": tr("Stock"), "Tools": tr("Tools")}
"""What a person sees them called."""
ADD = {
    "Tubes": tr("Add a tube"), "Points": tr("Add a point"), "Stock": tr("Add a stock"), "Tools": tr("Add a tool"),
}  # fmt: skip
_STATE_LINES = 3
_MOST = 28
"""Letters of the frame's name on its button; of a longer one the middle is left out."""
_WHOLE = tr("The frame itself: its name, and what its drawings say")
_ADD_KEY, _COPY_KEY, _TAKE_OUT_KEY = "Ins", "Ctrl+D", "Del"


class FrameColumn(QWidget):
    """Four lists, one in view, and the buttons that go with it.

    Signals:
        chosen: the list in view and the name chosen in it, "" for none: the frame itself.
        taken_out: the list and the names that are to be taken out.
        add_wanted: the list that one is to be added to.
        turned: another list is in view.
        rows_copied: the chosen rows of the list in view are wanted on the clipboard.
        rows_pasted: the table on the clipboard is wanted in the frame.
        findings_wanted: the findings are to be shown.
        copied: the tube that is to be copied.
        moved: a tube's name, and its new place in the order, from 0.
    """

    chosen = Signal(str, str)
    taken_out = Signal(str, list)
    add_wanted = Signal(str)
    turned = Signal()
    copied = Signal(str)
    rows_copied = Signal()
    rows_pasted = Signal()
    findings_wanted = Signal()
    moved = Signal(str, int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tubes, points = TubeList(), NamedList(tr("points"), several=True)
        self._lists = self._tubes, points, NamedList(tr("stock")), NamedList(tr("bending tools"))
        self._unfilled: dict[str, Callable[[], list[tuple[str, str]]]] = {}
        self._follows: tuple[object, ...] = ()
        self._rows: list[tuple[str, str]] = []
        points.setToolTip(
            tr("Choose several with Shift or Ctrl, to move, turn, mirror or scale them")
        )
        self.whole = QPushButton(tr("frame"))
        self.tabs = QTabWidget()
        self.tabs.setAccessibleName(tr("lists"))
        for kind, one in zip(KINDS, self._lists, strict=True):
            self.tabs.addTab(one, TITLES[kind])
        self.add, self.copy, self.take_out = (
            QPushButton(words) for words in (ADD["Tubes"], tr("Copy"), tr("Take out"))
        )
        self.add.setToolTip(tr("Key {key}").format(key=_shown(_ADD_KEY)))
        self.copy.setToolTip(
            tr("The same tube once more, under another name; {key}").format(key=_shown(_COPY_KEY))
        )
        self.take_out.setToolTip(
            tr("What others need cannot be taken out; key {key} in the list").format(
                key=_shown(_TAKE_OUT_KEY)
            )
        )
        self.findings = QPushButton(tr("No findings"))
        self.findings.setToolTip(tr("What to stop at before steel is cut, below the views"))
        self.count, self.state = words_label(self), words_label(self)
        # Most of what is said has its place there all the time: nothing moves under the pointer.
        self.state.setMinimumHeight(_STATE_LINES * self.state.fontMetrics().lineSpacing())
        self.state.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.setMinimumWidth(230)
        buttons = QHBoxLayout()
        for button in (self.add, self.copy, self.take_out):
            buttons.addWidget(button)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.whole)
        rows.addWidget(self.tabs, 1)
        rows.addLayout(buttons)
        rows.addWidget(self.findings)
        rows.addWidget(self.count)
        rows.addWidget(self.state)
        self._connect()
        self._follow()

    def _connect(self) -> None:
        for kind, one in zip(KINDS, self._lists, strict=True):
            one.chosen.connect(lambda name, kind=kind: self._told(kind, name))
            one.taken_out.connect(lambda names, kind=kind: self.taken_out.emit(kind, names))
            one.copied.connect(self.rows_copied)
            one.pasted.connect(self.rows_pasted)
        self._tubes.moved.connect(self.moved)
        self.tabs.currentChanged.connect(lambda _: self._turn())
        self.findings.clicked.connect(self.findings_wanted)
        self.whole.clicked.connect(self._choose_whole)
        self.add.clicked.connect(lambda: self.add_wanted.emit(self.kind))
        self.copy.clicked.connect(lambda: self.copied.emit(self.current))
        self.take_out.clicked.connect(
            lambda: self.taken_out.emit(self.kind, self.list_in_view.selected)
        )
        for button, key in ((self.add, _ADD_KEY), (self.copy, _COPY_KEY)):
            action = QAction(button.text(), self)
            action.setShortcut(QKeySequence(key))
            action.triggered.connect(button.click)
            self.addAction(action)

    @property
    def lists(self) -> tuple[NamedList, ...]:
        """Tubes, points, stock, tools."""
        return tuple(map(self._filled, KINDS))

    @property
    def tubes(self) -> NamedList:
        """In fit-up order."""
        return self._filled("Tubes")

    @property
    def points(self) -> NamedList:
        """The list of points."""
        return self._filled("Points")

    @property
    def stock(self) -> NamedList:
        """The list of stock."""
        return self._filled("Stock")

    @property
    def tools(self) -> NamedList:
        """The list of bending tools."""
        return self._filled("Tools")

    @property
    def kind(self) -> str:
        """The list in view: "Tubes", "Points", "Stock" or "Tools"."""
        return KINDS[self.tabs.currentIndex()]

    @property
    def list_in_view(self) -> NamedList:
        """The list in view."""
        return self._filled(self.kind)

    @property
    def current(self) -> str:
        """The name that is chosen in the list in view; "" for none."""
        return self.list_in_view.current

    def picked(self, name: str) -> list[str]:
        """The points that are chosen after a click on one: it alone, or with Ctrl one more, or one less."""
        if not QApplication.keyboardModifiers() & Qt.KeyboardModifier.ControlModifier:
            return [name]
        before = self._points_chosen
        return [one for one in before if one != name] if name in before else [*before, name]

    @property
    def _points_chosen(self) -> list[str]:
        """Those that are seen to be chosen: what was chosen in a list that is not in view does not count."""
        return self.points.selected if self.kind == "Points" else []

    def dragged_with(self, name: str) -> list[str]:
        """The points that are dragged together when one is taken: all that are chosen, if it is one of them."""
        chosen = self._points_chosen
        return chosen if name in chosen else []

    def choose(self, kind: str, *names: str) -> None:
        """Bring a list to the front and choose names in it, the last of them the current one, without telling anybody."""
        self.tabs.blockSignals(True)
        self.tabs.setCurrentIndex(KINDS.index(kind))
        self.tabs.blockSignals(False)
        *_, name = names or ("",)
        self.list_in_view.choose(name, names)
        self._follow()

    def show_frame(
        self,
        frame: Frame,
        places: Mapping[str, Point],
        findings: Sequence[Finding],
        *,
        inches: bool,
    ) -> None:
        """Show a frame; what was chosen stays chosen.

        The list in view is filled at once, and one with something chosen; the others when they are asked for, or told to.

        Args:
            frame: whose lists.
            places: where its points are, mm.
            findings: what is known of it.
            inches: lengths in inches.
        """
        name = frame.name
        shown = name if len(name) <= _MOST else f"{name[: _MOST // 2]}…{name[-_MOST // 2 :]}"
        self.whole.setText(shown.replace("&", "&&"))
        self.whole.setToolTip(_WHOLE if shown == name else f"{name}\n{_WHOLE}")
        self._unfilled |= {
            "Points": lambda: point_rows(frame, places, inches=inches),
            "Stock": lambda: stock_rows(frame, inches=inches),
            "Tools": lambda: tool_rows(frame, inches=inches),
        }
        self.show_tubes(frame, findings, inches=inches)
        self._follow()

    def show_rest(self) -> None:
        """The lists that are not in view too, which the views need not wait for."""
        for kind in KINDS:
            self._filled(kind)

    def _filled(self, kind: str) -> NamedList:
        """A list as it is to be."""
        found = self._lists[KINDS.index(kind)]
        rows = self._unfilled.get(kind)
        if rows is not None:
            found.show_rows(rows())
            del self._unfilled[kind]
        return found

    def show_tubes(self, frame: Frame, findings: Sequence[Finding], *, inches: bool) -> None:
        """The tubes alone, with how many errors and warnings each has."""
        self._unfilled["Tubes"] = lambda: self._tube_rows(frame, findings, inches=inches)
        for kind, one in zip(KINDS, self._lists, strict=True):
            # What is chosen is followed from one edit to the next; over several at once it could only be guessed.
            if kind == self.kind or one.selectedItems():
                self._filled(kind)

    def _tube_rows(
        self, frame: Frame, findings: Sequence[Finding], *, inches: bool
    ) -> list[tuple[str, str]]:
        """What the list of tubes says; most edits leave it as it is."""
        follows = frame.tubes, frame.stock, frame.progress, findings, inches
        if follows != self._follows:
            self._rows = tube_rows(frame, _counts(frame, findings), inches=inches)
            self._follows = follows
        return self._rows

    def _choose_whole(self) -> None:
        self.list_in_view.choose("")
        self._told(self.kind, "")

    def _turn(self) -> None:
        """Another list is in view; nothing is chosen by that."""
        self._follow()
        self.turned.emit()

    def _told(self, kind: str, name: str) -> None:
        self._follow()
        self.chosen.emit(kind, name)

    def _follow(self) -> None:
        """The buttons are for the list in view."""
        self.add.setText(ADD[self.kind])
        self.copy.setVisible(self.kind == "Tubes")
        self.copy.setEnabled(self.kind == "Tubes" and bool(self.current))
        self.take_out.setEnabled(bool(self.current))


def _counts(frame: Frame, findings: Sequence[Finding]) -> dict[str, str]:
    """How many errors and warnings there are of each tube that has some, in words."""
    tubes = {part: one.name for one in frame.tubes for part in (one.name, *made_names(one))}
    own: dict[str, list[Finding]] = {}
    for one in findings:
        for tube in {tubes[part] for part in one.speaks_of(tubes)}:
            if one.level != "note":
                own.setdefault(tube, []).append(one)
    return {tube: findings_count(tuple(some)) for tube, some in own.items()}


def _shown(key: str) -> str:
    """A key as it is called on the person's keyboard."""
    return QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText)
