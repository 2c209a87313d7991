"""What belongs to the chosen tube, beside the views: its wraps, drawn live, its bends, and the frame's findings."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QStackedWidget, QTabWidget, QVBoxLayout, QWidget

from app.window.background import Background
from app.window.drawing_view import DrawingView
from app.window.findings_list import FindingsList
from app.window.page_frame import StillCombo, finding_words, findings_count, scrolled, words_label
from app.window.result_table import ResultTable
from app.window.shown_words import HAND_WORDS
from app.window.words import numerals, sentence, spoken, tr
from geometry.end_cut import EndCut
from geometry.errors import CopewrightError
from geometry.findings import Finding
from geometry.fitup import FittedPart
from geometry.frame import END_NAMES
from geometry.lengths import format_mm, mm
from templates_out.bend_words import bend_tables, fact_lines
from templates_out.drawing import Drawing
from templates_out.frame_result import FrameResult
from templates_out.frame_words import came_back_note, cut_facts, end_title
from templates_out.frame_wraps import part_wraps
from templates_out.table import Table
from templates_out.welds import weld_facts

_CHOOSE = tr("Choose a tube, in the list or in a view, and its wrap is drawn here.")
_TITLES = {"start": tr("Start"), "finish": tr("Finish")}
_NAMES = {"start": tr("the wrap at the start"), "finish": tr("the wrap at the finish")}
_NOT_CUT = {
    "start": tr("The start of {part} cannot be cut yet; the findings say why."),
    "finish": tr("The finish of {part} cannot be cut yet; the findings say why."),
}
_SQUARE = {
    "start": tr("The start of {part} is sawn square: it needs no wrap."),
    "finish": tr("The finish of {part} is sawn square: it needs no wrap."),
}


@dataclass(frozen=True, eq=False)
class Shown:
    """All that is shown of a part.

    Attributes:
        name: the part's.
        wraps: by the end.
        why: what is said of an end without a wrap, by the end.
        bends: the bend table; None of a straight tube.
        inches: its lengths are inches, not mm.
        facts: of the bends, or of the tube, in words.
    """

    name: str
    wraps: dict[str, Drawing]
    why: dict[str, str]
    bends: Table | None
    inches: bool
    facts: str


class TubeDetails(QWidget):
    """Tabs: the wraps of the tube's two ends, its bends and facts, the findings with their count.

    Signals:
        jumped: the finding that was chosen.
        hand_chosen: the part, of a tube's two, that is wanted.
    """

    jumped = Signal(object)
    hand_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.shown: Shown | None = None
        self._asked: tuple[FrameResult, str, float] | None = None
        self.drawing = Background(self, patient=True)
        self.drawing.finished.connect(self._show)
        self.drawing.failed.connect(self._fail)
        self.tabs = QTabWidget()
        self.tabs.setAccessibleName(tr("the chosen tube"))
        self.tabs.setDocumentMode(True)
        self.wraps = {end: DrawingView(_NAMES[end]) for end in END_NAMES}
        self.words = {end: words_label(self, _CHOOSE) for end in END_NAMES}
        self.either = {end: QStackedWidget() for end in END_NAMES}
        for end in END_NAMES:
            self.words[end].setMargin(10)
            self.either[end].addWidget(self.words[end])
            self.either[end].addWidget(self.wraps[end])
            self.tabs.addTab(self.either[end], _TITLES[end])
        self.bends = ResultTable(tr("bend table"))
        self.facts: QLabel = words_label(self)
        self.facts.setMargin(10)
        figures = QWidget()
        both = QVBoxLayout(figures)
        both.setContentsMargins(0, 0, 0, 0)
        both.addWidget(self.bends, 1)
        both.addWidget(scrolled(self.facts, tr("facts")), 1)
        self.tabs.addTab(figures, tr("Facts"))
        self.findings = FindingsList()
        self.tabs.addTab(self.findings, tr("Findings"))
        self.findings.jumped.connect(self.jumped)
        self.hands = StillCombo()
        self.hands.setAccessibleName(tr("which hand"))
        self.hands.activated.connect(lambda _: self.hand_chosen.emit(self.hands.currentData()))
        self.tabs.setCornerWidget(self.hands)
        self.hands.hide()
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.tabs)

    def show_findings(self, findings: tuple[Finding, ...], first: Sequence[str]) -> None:
        """The findings, and their count on the tab.

        Args:
            findings: all of the frame's.
            first: the parts of the chosen tube.
        """
        self.findings.show_findings(findings, first)
        count = findings_count(findings) if findings else tr("No findings")
        self._call(self.tabs.count() - 1, count[:1].upper() + count[1:])

    def _call(self, tab: int, words: str) -> None:
        """Give a tab its title; the same one again would have all of them laid out and painted anew."""
        if self.tabs.tabText(tab) != words:
            self.tabs.setTabText(tab, words)

    def show_findings_tab(self) -> None:
        """Bring the findings to the front."""
        self.tabs.setCurrentWidget(self.findings)

    def show_end(self, place: str) -> None:
        """The wrap of an end to the front, "start" or "finish"; the findings stay there for any other place."""
        if place in END_NAMES and self.tabs.currentWidget() is not self.findings:
            self.tabs.setCurrentWidget(self.either[place])

    def show_hands(self, parts: Sequence[str], chosen: str) -> None:
        """Offer the parts that are made of a tube, where they are two."""
        self.hands.setVisible(len(parts) > 1)
        if [self.hands.itemData(index) for index in range(self.hands.count())] != list(parts):
            self.hands.clear()
            for part in parts:
                hand = part.rpartition(" ")[2]
                self.hands.addItem(HAND_WORDS.get(hand, hand), part)
        self.hands.setCurrentIndex(self.hands.findData(chosen))

    def show_part(self, result: FrameResult | None, name: str, paper_mm: float) -> None:
        """Draw what belongs to a part; nothing for no part, or one that the frame does not have.

        Args:
            result: the frame.
            name: the part's; "" for none.
            paper_mm: thickness of the paper.
        """
        parts = result.fitted.parts if result else ()
        one = next((one for one in parts if one.part.name == name), None)
        if result is None or one is None:
            if self._asked is not None or self.shown is not None:
                self._asked = None
                self.drawing.drop()
                self._clear()
            return
        asked = (result, name, paper_mm)
        if asked != self._asked:
            self._asked = asked
            self.drawing.ask(lambda: shown_of(result, one, paper_mm))

    def _clear(self) -> None:
        self.shown = None
        for end in END_NAMES:
            self.words[end].setText(_CHOOSE)
            self.either[end].setCurrentIndex(0)
        self.bends.setRowCount(0)
        self.facts.setText(
            tr("Choose a tube, in the list or in a view, and its figures stand here.")
        )
        self._show_bends(None)

    def _show(self, shown: Shown) -> None:
        """Show it; a wrap stays as it was zoomed while the same tube is changed."""
        same = self.shown is not None and self.shown.name == shown.name
        self.shown = shown
        for end in END_NAMES:
            drawing = shown.wraps.get(end)
            self.either[end].setCurrentIndex(0 if drawing is None else 1)
            if drawing is None:
                self.words[end].setText(shown.why[end])
                continue
            self.wraps[end].set_drawing(drawing)
            if not same:
                self.wraps[end].fit()
        self._show_bends(shown.bends, inches=shown.inches)
        self.facts.setText(shown.facts)

    def _show_bends(self, table: Table | None, *, inches: bool = False) -> None:
        """A bent tube's table above its facts; a straight one has facts alone."""
        self.bends.setVisible(table is not None)
        self._call(len(END_NAMES), tr("Facts") if table is None else tr("Bends"))
        if table is not None:
            # Above the numbers of the bends: the unit of all lengths.
            unit = tr("lengths: inches") if inches else tr("lengths: mm")
            self.bends.show_table(replace(table, units=(unit, *table.units[1:])))

    def _fail(self, error: Exception) -> None:
        self._clear()
        words = sentence(error) if isinstance(error, CopewrightError) else ""
        if not words:
            logging.getLogger(__name__).error("the chosen tube", exc_info=error)
            words = tr("Something went wrong inside the program; it is in the log.")
        for end in END_NAMES:
            self.words[end].setText(words)


def shown_of(result: FrameResult, one: FittedPart, paper_mm: float) -> Shown:
    """All that is shown of a part.

    Args:
        result: the frame.
        one: the part.
        paper_mm: thickness of the paper.
    """
    wraps = part_wraps(result, one, paper_mm)
    why = {}
    for end, cut in zip(END_NAMES, one.cuts, strict=True):
        if cut is None:
            why[end] = _NOT_CUT[end].format(part=one.part.name)
        elif end not in wraps:
            why[end] = _SQUARE[end].format(part=one.part.name)
    bend, inches = result.bends.get(one.part.name), result.units == "in"
    table = bend_tables(bend, inches=inches)[0] if bend else None
    note = came_back_note(result, one.part.name)
    lines = [
        *([spoken(note)] if note else []),
        tr("{part}: {length} from long point to long point, {mass} kg").format(
            part=one.part.name,
            length=spoken(mm(one.cut_length)),
            mass=numerals(format_mm(one.mass, 2)),
        ),
        *(_end_facts(result, one, cut) for cut in one.cuts if cut is not None),
        *map(finding_words, result.bend_notes(one.part.name)),
        *(map(spoken, fact_lines(bend)) if bend else ()),
    ]
    return Shown(one.part.name, wraps, why, table, inches, "\n\n".join(lines))


def _end_facts(result: FrameResult, one: FittedPart, cut: EndCut) -> str:
    """How an end is cut, and how it is welded where it lands."""
    landing = result.landings.get((one.part.name, cut.at.name))
    facts = [cut_facts(one, cut), *([weld_facts(landing)] if landing else [])]
    return f"{spoken(end_title(cut))}: {'; '.join(map(spoken, facts))}"
