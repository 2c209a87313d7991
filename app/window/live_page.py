"""A page that solves what is typed off the window's thread and shows it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
)

from app.document.settings import Kept
from app.window.background import Background
from app.window.drawing_view import DrawingView
from app.window.into_frame import IntoFrame, Way
from app.window.kept_fields import kept_of, put_back
from app.window.number_field import NumberField
from app.window.number_table import NumberTable
from app.window.page_frame import findings_words, tabs_with_tools, words_label
from app.window.papered_page import PaperedPage
from app.window.session import Session
from app.window.solid_view import SolidView
from app.window.words import joined, reason, tr
from geometry.errors import CopewrightError
from geometry.findings import Finding
from geometry.frame import Frame
from templates_out.drawing import Drawing

Part = str | int
"""What a field or a table's row stands for on the picture."""


class LivePage(PaperedPage):
    """What the pages with one part share.

    A page of its own asks for work from its fields (``ask``) and shows it (``show_solved``). An error is said, the last
    drawing that was meant stays, and saving waits.
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.fields: dict[str, NumberField] = {}
        self.choices: dict[str, QComboBox] = {}
        self.tables: dict[str, NumberTable] = {}
        self._pointing: Part | None = None
        self._asked, self._solved, self._refused = False, False, False
        self._seen: Any = None
        self._meant: Any = None
        self._then: Callable[[], None] | None = None
        self.background = Background(self)
        self.background.finished.connect(self._show_result)
        self.background.failed.connect(self.show_error)
        self.findings = words_label(self, rich=True)
        self.picture = DrawingView(self.said.picture, captioned=True)
        self.solid = SolidView(self.said.space)
        self.into_frame = IntoFrame(session, self.ways_into, self._say, self)
        self.measure = QPushButton(tr("Measure"), self)
        self.fit_view = QPushButton(tr("Fit"), self)

    # What a page of its own says.

    def ask(self) -> None:
        """Read the fields and ask the background for the work.

        Raises:
            CopewrightError: when they do not go together.
        """
        raise TypeError(self._missing("what to ask for"))

    def show_solved(self, solved: Any) -> tuple[Finding, ...]:
        """Show what was solved; returns its findings."""
        raise TypeError(self._missing("how to show it"))

    def in_unit(self, solved: Any) -> Any:
        """What was solved, in the unit that the person reads now; itself where it is."""
        raise TypeError(self._missing("how it is in another unit"))

    def pointer(self, part: Part) -> tuple[Drawing, str]:
        """Strokes over the picture that point at a part, and what it is in words."""
        raise TypeError(self._missing("where its parts are"))

    def ways_into(self, frame: Frame) -> list[Way]:
        """How what is typed can be put into a frame.

        Raises:
            CopewrightError: when it cannot be made.
        """
        raise TypeError(self._missing("how it goes into a frame"))

    def show_count_of(self, findings: tuple[Finding, ...]) -> None:
        """Where the findings are not in view, say how many there are."""

    # What all pages do.

    def begin(self) -> None:
        """Connect the page's fields, put in what stood there last, and solve it."""
        put_back(self, self.session.state.pages.get(self.key, {}))
        for part, field in self.fields.items():
            field.value_changed.connect(self.changed)
            field.good_changed.connect(self._review)
            field.settled.connect(self._keep_meant)
            field.focused.connect(lambda on, part=part: self.point(part if on else None))
        for choice in self.choices.values():
            choice.currentIndexChanged.connect(self.changed)
        for table in self.tables.values():
            table.edited.connect(self.changed)
            table.said.connect(self.state.setText)
        self.name.textEdited.connect(self.changed)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.save.clicked.connect(lambda: self._when_solved(self._save_asked))
        self.print.clicked.connect(lambda: self._when_solved(self._print_asked))
        self.paper_line.linkActivated.connect(lambda _: self.session.page_asked.emit("Paper"))
        self.session.inches_changed.connect(self.set_inches)
        self.session.paper_changed.connect(self._paper_changed)
        self._paper_changed()
        # Once the window is painted: the first solving loads what the window itself does not need.
        QTimer.singleShot(0, self._solve)

    def foot(self) -> QVBoxLayout:
        """What is done with the drawing, always in view."""
        buttons = QHBoxLayout()
        buttons.addWidget(self.save, 3)
        buttons.addWidget(self.print, 2)
        foot = QVBoxLayout()
        foot.addWidget(self.state)
        foot.addWidget(self.paper_line)
        foot.addWidget(self.into_frame)
        foot.addLayout(buttons)
        return foot

    def views(self, name: str, flat: DrawingView) -> QTabWidget:
        """The flat drawing, which can be measured, and the picture in space behind each other."""
        self.measure.setCheckable(True)
        self.measure.toggled.connect(flat.set_measuring)
        flat.measured.connect(self.state.setText)
        for view in (flat, self.solid):
            self.fit_view.clicked.connect(view.fit)
        both = ((name, flat), (tr("In space"), self.solid))
        tabs = tabs_with_tools(tr("views"), both, self.measure, self.fit_view)
        tabs.currentChanged.connect(lambda index: self.measure.setEnabled(index == 0))
        return tabs

    def changed(self) -> None:
        """Something was typed or chosen: solve it, and remember it for next time."""
        if self.isVisible():
            self.session.subject = self.key
        self._solve()
        self.session.keep_fields(self.key, self.remembered())

    def _solve(self) -> None:
        self._count_later.stop()
        self.counting.drop()
        self._asked, self._solved = True, False
        try:
            self.ask()
        except CopewrightError as error:
            self.background.drop()
            self.show_error(error)

    def _show_result(self, solved: object) -> None:
        self._mark("", "")
        self._show(solved)
        self._count_later.start()
        self._solved, self._refused = True, False
        self._keep_meant()
        self._review()
        then, self._then = self._then, None
        if then is not None and self.save.isEnabled():
            then()

    def _show(self, solved: object) -> None:
        self._seen = solved
        findings = self.show_solved(solved)
        self.findings.setText(findings_words(findings))
        self.show_count_of(findings)
        self.point(self._pointing)

    def _keep_meant(self) -> None:
        """What is shown is what the fields mean, not the 3 of a 30 that is being typed."""
        half_way = any(field.half_way for field in self.fields.values())
        if self._solved and not self._refused and not half_way:
            self._meant = self._seen

    def _review(self) -> None:
        """With a field that is wrong nothing is saved or put anywhere: the drawing is not what stands there."""
        if self._refused:
            return
        self._allow(all(field.good for field in self.fields.values()))
        # What is only half typed is not to be mended yet.
        wrong = joined([field.label for field in self.fields.values() if field.told])
        mend = tr("Mend {fields} to save, print or put it into the frame.").format(fields=wrong)
        self.state.setText(mend if wrong else "")

    def _when_solved(self, action: Callable[[], None]) -> None:
        """Do it with what is typed by now: an open cell is closed, a tube still being solved waited for."""
        self.setFocus()
        if self._solved and self.save.isEnabled():
            action()
        elif not self._solved:
            self._then = action

    def _allow(self, on: bool) -> None:
        for button in (self.save, self.print, self.into_frame):
            button.setEnabled(on)
        # What must not be saved here is not to be printed from the page Paper either.
        if on and self.result is not None:
            self._put_papers()
        else:
            self.session.drop_papers(self.key)

    def show_error(self, error: Exception) -> None:
        """Say it; the last good drawing stays, but it cannot be saved as this one's."""
        self._solved, self._refused, self._then = True, True, None
        self._allow(False)
        if self._meant is not None:
            self._meant = self.in_unit(self._meant)
            if self._meant is not self._seen:
                self._show(self._meant)
        if isinstance(error, CopewrightError):
            self._mark(error.words, error.about)
            self.state.setText(f"{reason(error)}. {self.said.last_good}")
        else:
            self._say_failure(error)

    def field_of(self, about: str) -> NumberField | None:
        """The field of the value that an error is about; None where it is none's alone."""
        return self.fields.get("wall" if about == "tube wall" else about)

    def _mark(self, why: str, about: str) -> None:
        """What is wrong is said beside its field too."""
        its = self.field_of(about)
        for field in self.fields.values():
            field.clash(why if field is its else "")

    def point(self, part: Part | None) -> None:
        """Point at a part on the picture, or no longer."""
        self._pointing = part
        if part is None or self.result is None:
            self.picture.point_at(None)
        else:
            self.picture.point_at(*self.pointer(part))

    def set_inches(self, inches: bool) -> None:
        """Show lengths in inches or mm; nothing changes its value."""
        for field in self.fields.values():
            field.set_inches(inches)
        for table in self.tables.values():
            table.set_inches(inches)
        for view in self.findChildren(DrawingView):
            view.set_inches(inches)
        # A length measured in the other unit is no longer meant, and papers say the unit too.
        self.state.setText("")
        if self._asked:
            self._solve()

    def remembered(self) -> dict[str, Kept]:
        """What stands in the fields, for next time."""
        return kept_of(self)

    def _paper_changed(self) -> None:
        self._show_count(0)
        if self._asked:
            self._count_later.start()
            self._solve()

    def close_down(self) -> None:
        """Let running work end, and begin no more."""
        self._count_later.stop()
        for work in (self.background, self.writing, self.counting):
            work.wait()
