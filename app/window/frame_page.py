"""The page of a whole frame: its lists on the left, its views in the middle, what is chosen at the right."""

from __future__ import annotations

import logging

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QSplitter, QVBoxLayout, QWidget

from app.window.alone import take_alone, why_not_alone
from app.window.background import Background, Following
from app.window.came_back import ask_what_came_back
from app.window.findings_list import place_of, place_within
from app.window.folders import beside
from app.window.frame_column import FrameColumn
from app.window.frame_edits import FrameEdits
from app.window.frame_forms import FrameForms
from app.window.frame_views import FrameViews, Seen
from app.window.kept_tools import add_tool
from app.window.look_over import Looked, looked_over
from app.window.named_form import NamedForm
from app.window.page_frame import findings_count
from app.window.session import Session
from app.window.table_traffic import copy_rows, paste_rows
from app.window.tube_details import TubeDetails
from app.window.walk import Walk
from app.window.words import counted, reason, sentence, tr
from geometry.errors import CopewrightError
from geometry.findings import Finding
from geometry.frame import Frame, made_names
from geometry.path import Point
from geometry.places import known_places
from templates_out.frame_result import FrameResult

INTRO = tr(
    "Begin with the tube that you have: its stock. Then add the tubes in the order in which they go into the jig, each "
    "through its points. Each tube's ends are cut to fit those above it in the list, and the page Paper has the sheets."
)
_REST_MS = 60
"""After an edit, until what takes longer than the views is worked out."""


class FramePage(QWidget):
    """A frame: pick in a list or in a view, change it in its form or drag its points.

    Signals:
        looked_over: the findings of the frame as it is now.
    """

    looked_over = Signal(object)

    key = "Frame"
    help_words = INTRO

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.document = session.document
        self.result: FrameResult | None = None
        self.findings: tuple[Finding, ...] = ()
        self._placed: tuple[Frame, dict[str, Point]] | None = None
        self.part = ""
        self._said = ""
        self._before: Frame | None = None
        self.seeing, self.background = Following(self), Background(self)
        self._later = QTimer(self, singleShot=True, interval=_REST_MS)
        self.column = FrameColumn()
        self.views = FrameViews()
        self.views.start_folder = lambda: beside(self.document)
        self.views.remember(session)
        self.details = TubeDetails()
        self.forms = FrameForms(INTRO)
        self.walk: Walk | None = None
        self.edits = FrameEdits(self.document, self.choose, self._put_back)
        self._lay_out()
        self._connect()
        self._refresh()

    def _lay_out(self) -> None:
        middle = QSplitter(Qt.Orientation.Vertical)
        middle.addWidget(self.views)
        middle.addWidget(self.details)
        middle.setSizes([430, 230])
        middle.setStretchFactor(0, 2)
        middle.setStretchFactor(1, 1)
        whole = QSplitter()
        for widget in (self.column, middle, self.forms):
            whole.addWidget(widget)
        whole.setStretchFactor(1, 1)
        whole.setSizes([240, 520, 290])
        for splitter in (middle, whole):
            splitter.setChildrenCollapsible(False)
        self._rows = QVBoxLayout(self)
        self._rows.setContentsMargins(8, 8, 8, 8)
        self._rows.addWidget(whole, 1)

    def _connect(self) -> None:
        self.document.replaced.connect(self._begin_anew)
        self.document.changed.connect(self._refresh)
        self.document.said.connect(self._say)
        self.document.refused.connect(self._say)
        self.session.paper_changed.connect(self._show_details)
        self.seeing.finished.connect(self._show_seen)
        self.background.finished.connect(self._show_result)
        for work in (self.seeing, self.background):
            work.failed.connect(self._show_error)
        self._later.timeout.connect(self._look_over)
        self.column.chosen.connect(self._chosen)
        self.column.turned.connect(self._turned)
        self.column.add_wanted.connect(self._add)
        self.column.findings_wanted.connect(self.details.show_findings_tab)
        self.column.rows_copied.connect(self.copy_rows)
        self.column.rows_pasted.connect(self.paste_rows)
        self.views.part_picked.connect(self._pick_part)
        self.views.point_picked.connect(self._pick_point)
        self.views.place_picked.connect(self.forms.new.pick_place)
        self.views.said.connect(self.column.state.setText)
        self.details.jumped.connect(self.jump)
        self.details.hand_chosen.connect(self._pick_hand)
        self.forms.new.thought.connect(self.views.sketch_tube)
        self.forms.new.left.connect(self._leave_new)
        self.forms.tube.alone_wanted.connect(self._take_alone)
        self.forms.tube.came_back.connect(self._measure)
        self._connect_edits()

    def _connect_edits(self) -> None:
        edits = self.edits
        self.column.taken_out.connect(edits.take_out)
        self.column.copied.connect(edits.copy)
        self.column.moved.connect(self._move_tube)
        self.views.point_dragged.connect(self._drag)
        self.views.drag_left.connect(edits.leave_drag)
        self.views.drag_left.connect(self._refresh)
        self.forms.edit_by(edits)

    @property
    def frame(self) -> Frame:
        """As it is now."""
        return self.document.frame

    @property
    def first(self) -> QWidget:
        """Where the keys go first."""
        return self.column.list_in_view

    @property
    def adding(self) -> bool:
        """A tube is being added."""
        return self.forms.front is self.forms.new

    def choose(self, kind: str, *names: str) -> None:
        """Choose a tube, a stock or points, in the list, the form and the views; "" for the frame itself."""
        self._stop_adding()
        self.column.choose(kind, *names)
        self._show_chosen()

    def _chosen(self, kind: str, name: str) -> None:
        """Chosen by hand in a list; while a tube is added, a point is one of its own."""
        if not self.adding:
            self._show_chosen()
        elif kind == "Points" and name:
            self.forms.new.pick(name)
        elif name:
            self.choose(kind, name)

    def _turned(self) -> None:
        """Another list is in view; while a tube is added, what was chosen in it before is none of its points."""
        if self.adding:
            self.column.list_in_view.choose("")
        else:
            self._show_chosen()

    def _show_chosen(self) -> None:
        """The form, the views and the details follow the list that is in view."""
        kind, name, inches = self.column.kind, self.column.current, self.session.inches
        points = self.column.points.selected if kind == "Points" else []
        self.views.choose(name if kind == "Tubes" else "", *points)
        if kind == "Tubes" and name and self.part not in made_names(self.frame.tube(name)):
            self.part = made_names(self.frame.tube(name))[0]
        self._show_details()
        if self.adding:
            self.forms.new.follow(self.frame)
            return
        names = self.column.list_in_view.selected if name else []
        at = self._places().get(name, (0.0, 0.0, 0.0)) if kind == "Points" else (0.0, 0.0, 0.0)
        self.forms.show_chosen(self.frame, kind, names, at, inches=inches)

    def _say(self, words: str) -> None:
        self._said = words
        self.column.state.setText(words)

    def _put_back(self) -> None:
        """What could not be done changes nothing: the lists and forms go back to what is."""
        self._show_lists()
        self._show_chosen()
        if isinstance(self.forms.front, NamedForm):
            self.forms.front.say(self._said)

    def _show_details(self) -> None:
        tube = self.column.tubes.current if self.column.kind == "Tubes" else ""
        hands = made_names(self.frame.tube(tube)) if tube else ()
        self.details.show_findings(self.findings, hands)
        self.details.show_hands(hands, self.part)
        self.details.show_part(self.result, self.part if tube else "", self.session.paper.thickness)
        if tube:
            whys = why_not_alone(self.frame, self.frame.tube(tube), self.result, self.part)
            self.forms.tube.show_alone(whys)

    def _places(self) -> dict[str, Point]:
        """Where the points are; those that are nowhere are left out."""
        if self._placed is None or self._placed[0] is not self.frame:
            self._placed = self.frame, known_places(self.frame)
        return self._placed[1]

    def _begin_anew(self) -> None:
        """Another frame: nothing of the last one is chosen, begun, or looked at closely."""
        self.forms.new.forget()
        self._stop_adding()
        self.end_walk()
        self.column.choose("Tubes", "")
        self.part = ""
        self.result = self._before = None
        self.findings = ()
        self.seeing.drop()
        self.views.fit_next()

    def _refresh(self) -> None:
        """The lists at once, the rest when it is solved."""
        frame = self.frame
        self.views.set_inches(self.session.inches)
        if self.edits.dragging:
            # The view follows the pointer; the lists and forms follow when the point is let go.
            self._see(frame)
            return
        self.column.state.setText("")
        self._show_lists()
        self._show_chosen()
        if self.walk is not None:
            self.walk.follow(frame)
        self._see(frame)

    def _see(self, frame: Frame) -> None:
        """Cut it and draw it; until then its points are where they are."""
        self.background.drop()
        self.views.sketch(frame, self._places())
        self.seeing.ask(self.views.seer(frame, self._places()))

    def _show_seen(self, seen: Seen) -> None:
        """The views first; all that follows from the frame when it has come to rest."""
        self.views.show_seen(seen)
        if not self.seeing.busy:
            self._later.start()

    def _look_over(self) -> None:
        self.column.show_rest()
        frame, before = self.frame, self._before
        self.background.ask(lambda: looked_over(frame, before))

    def _show_lists(self) -> None:
        self.column.show_frame(
            self.frame, self._places(), self.findings, inches=self.session.inches
        )

    def _show_result(self, looked: Looked) -> None:
        result, found = looked.result, looked.result.findings
        self.result, self.findings, self._before = result, found, None
        self.column.show_tubes(self.frame, found, inches=self.session.inches)
        self._show_details()
        self.column.findings.setText(findings_count(found) if found else tr("No findings"))
        parts = len(result.fitted.parts)
        self.column.count.setText(counted(parts, tr("{n} part"), tr("{n} parts")))
        if looked.changed:
            self.column.state.setText(looked.changed)
        self.looked_over.emit(found)

    def _show_error(self, error: Exception) -> None:
        if isinstance(error, CopewrightError):
            words = tr("{why}. The views are of the last frame that could be made.")
            self.column.state.setText(words.format(why=reason(error)))
            return
        logging.getLogger(__name__).error("the frame page", exc_info=error)
        self.column.state.setText(
            tr("Something went wrong inside the program; it is in the log. Your frame stays.")
        )

    def jump(self, finding: Finding) -> None:
        """Go to the place that a finding speaks of."""
        tube, part, point = place_of(finding, self.frame)
        if tube:
            self._pick_part(tube, part)
            place = place_within(finding, part or tube)
            self.forms.bring_into_view(self.forms.tube.field_of(place, finding.code, part))
            self.details.show_end(place)
        elif point:
            self.choose("Points", point)

    def _measure(self, part: str) -> None:
        """What a part measures that came back from the bender."""
        try:
            edit = ask_what_came_back(self, self.frame, part, inches=self.session.inches)
        except CopewrightError as error:
            self.forms.tube.say(sentence(error))
            return
        if edit is not None:
            self.edits.do(*edit)

    def _take_alone(self, what: str) -> None:
        try:
            take_alone(self.session, self.result, self.part, what)
        except CopewrightError as error:
            self.forms.tube.say(sentence(error))

    def _move_tube(self, name: str, to: int) -> None:
        """Elsewhere in the order; what is cut otherwise then is said."""
        before = self.frame
        if self.edits.move_tube(name, to) and self.frame != before:
            self._before = before

    def _drag(self, name: str, at: Point, done: bool) -> None:
        also = self.column.dragged_with(name)
        self.edits.drag(name, at, self._places(), self.views.shown, also=also, done=done)
        if done:
            self._refresh()
            if not self.adding:  # To be typed exactly.
                self.choose("Points", *(one for one in also if one != name), name)

    def _pick_part(self, tube: str, part: str) -> None:
        if self.adding:
            return
        if part:
            self.part = part
        self.choose("Tubes", tube)

    def _pick_hand(self, part: str) -> None:
        self.part = part
        self._show_details()

    def _pick_point(self, name: str) -> None:
        if self.adding:
            self.forms.new.pick(name)
        else:
            self.choose("Points", *self.column.picked(name))

    def copy_rows(self, *, every: bool = False) -> None:
        """The chosen rows of the list in view, or all, on the clipboard for a spreadsheet."""
        column = self.column
        names = [] if every else column.list_in_view.selected
        column.state.setText(copy_rows(self.frame, column.kind, names))

    def paste_rows(self) -> None:
        """The table on the clipboard, into the frame."""
        self.column.state.setText(paste_rows(self.document))

    def _add(self, kind: str) -> None:
        """A new one of a list, chosen at once; a tube when its points are given."""
        if kind == "Tubes":
            self.views.ask_for_places(True)
            self.forms.bring(self.forms.new)
            self.forms.new.begin(self.frame)
            return
        if kind == "Stock":
            self.edits.add_stock(inches=self.session.inches)
        elif kind == "Points":
            self.edits.add_point()
        else:
            words = add_tool(self.edits, self.frame, self.column.add)
            self.column.state.setText(words)
        self.forms.name_it()

    def _stop_adding(self) -> None:
        if self.adding:
            self.views.ask_for_places(False)
            self.forms.new.pause()
            self.forms.bring(self.forms.frame)

    def _leave_new(self) -> None:
        self._stop_adding()
        self._show_chosen()

    def begin_walk(self) -> None:
        """Lead the person through a first frame."""
        if self.walk is None:
            self.walk = Walk(self)
            self._rows.insertWidget(0, self.walk)
            self.walk.left.connect(self.end_walk)
            self.walk.show_me.connect(self.edits.do)
        self.walk.follow(self.frame)

    def end_walk(self) -> None:
        """Lead no longer."""
        if self.walk is not None:
            self._rows.removeWidget(self.walk)
            self.walk.deleteLater()
            self.walk = None

    def close_down(self) -> None:
        """Let running work end, and begin no more."""
        self._later.stop()
        for work in (self.seeing, self.background, self.details.drawing, self.forms.new.proposing):
            work.wait()
