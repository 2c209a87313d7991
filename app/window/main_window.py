"""The main window: pages in the order of the job, and what concerns them all."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from PySide6.QtCore import QEvent, Qt, QTimer, QUrl
from PySide6.QtGui import QCloseEvent, QDesktopServices, QPaintEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QLabel,
    QListWidgetItem,
    QMainWindow,
    QMessageBox,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app import __version__
from app.document.log import log_file
from app.window.colours import colour
from app.window.document_actions import DocumentActions, end_typing
from app.window.focus_frame import FocusedList
from app.window.menus import Menus
from app.window.session import Session
from app.window.words import tr

if TYPE_CHECKING:
    from app.window.bend_page import BendPage
    from app.window.document import FrameDocument
    from app.window.frame_page import FramePage
    from app.window.joint_page import JointPage
    from app.window.paper_page import PaperPage
    from app.window.start_page import StartPage
    from geometry.findings import Finding

# A page is loaded when it is first shown: the window opens sooner.
PAGES = {
    "Start": "start_page", "Joint": "joint_page", "Bend": "bend_page", "Frame": "frame_page", "Paper": "paper_page",
}  # fmt: skip
_SHOWN = {
    "Start": tr("Start", "the page"), "Joint": tr("Joint"), "Bend": tr("Bend"), "Frame": tr("Frame"), "Paper": tr("Paper"),
}  # fmt: skip
_BESIDE_PX = 12
_PAGE = Qt.ItemDataRole.UserRole
_ASK_AGAIN_MS = 300
_SHOWS_FRAME = ("Frame", "Paper")
"""Where it is seen what an undo does to the frame."""
_CLOSES_LATER = tr(
    "The window closes when what is being saved or printed is done; press Stop to close it without."
)
CAUTION = tr(
    "A welded frame can kill. Templates are aids: fit and inspect before you weld. Local rules and a qualified welder "
    "or engineer decide what may carry a person."
)


class MainWindow(QMainWindow):
    """The program's window: the pages' names down the left, the page beside them."""

    def __init__(self, path: Path | None = None) -> None:
        super().__init__()
        self.session = Session(self)
        colour(self.session.state.colours)
        self.actions_of_frame = DocumentActions(self.session, self)
        self._asked = path
        width, height = self.session.state.size
        self.resize(min(max(width, 640), 10_000), min(max(height, 480), 10_000))
        self._made: dict[str, Any] = {}
        self._stack = QStackedWidget()
        self.names = FocusedList()
        self.notice = QLabel(self)
        self._lay_out()
        self.menus = Menus(self, _SHOWN)
        self.session.page_asked.connect(self.go_to)
        self.session.tube_asked.connect(self._show_tube)
        self.session.alone_asked.connect(self._show_alone)
        self.session.said.connect(self.say)
        self.session.document_made.connect(self._attach)
        self.actions_of_frame.taken.connect(lambda: self.go_to("Frame"))
        self.actions_of_frame.said.connect(self.say)
        self.setWindowTitle(f"Copewright {__version__}")
        page = self.session.state.page if self.session.state.page in PAGES else "Start"
        self.names.blockSignals(True)
        self.go_to("Frame" if path else page)
        self.names.blockSignals(False)
        self._painted = self._closing = False
        if self.session.problem:
            self.say(self.session.problem)

    def _lay_out(self) -> None:
        self.names.setAccessibleName(tr("pages"))
        large = self.names.font()
        large.setPointSizeF(large.pointSizeF() * 1.2)
        self.names.setFont(large)
        for page, shown in _SHOWN.items():
            item = QListWidgetItem(shown, self.names)
            item.setData(_PAGE, page)
        self.names.setSpacing(4)
        # Room for a count of findings: what is beside the list is not to jump.
        frame = self.names.item(list(PAGES).index("Frame"))
        frame.setText(tr("Frame ({n})").format(n=9))
        self.names.setFixedWidth(self.names.sizeHintForColumn(0) + _BESIDE_PX)
        frame.setText(_SHOWN["Frame"])
        self.names.currentItemChanged.connect(lambda item: self.show_page(item.data(_PAGE)))
        whole = QWidget()
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.names)
        row.addWidget(self._stack, 1)
        self.notice.setWordWrap(True)
        self.notice.setMargin(8)
        # Its place is there always: what is pressed does not move under the pointer.
        self.notice.setMinimumHeight(self.notice.fontMetrics().height() + 16)
        rows = QVBoxLayout(whole)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addLayout(row, 1)
        rows.addWidget(self.notice)
        self.setCentralWidget(whole)

    def page(self, name: str) -> QWidget:
        """The page of that name, made when it is first asked for."""
        if name not in self._made:
            module = import_module(f"app.window.{PAGES[name]}")
            page = getattr(module, f"{name}Page")(self.session)
            self._stack.addWidget(page)
            self._made[name] = page
            if name == "Start":
                self._connect_start(page)
            if name == "Paper":
                page.work.finished.connect(self._written)
                page.work.failed.connect(self._written)
            if name == "Frame":
                page.looked_over.connect(self._show_findings)
        return cast(QWidget, self._made[name])

    def _connect_start(self, page: StartPage) -> None:
        actions = self.actions_of_frame
        page.page_wanted.connect(self.go_to)
        page.new_wanted.connect(actions.begin)
        page.walk_wanted.connect(self.walk)
        page.open_wanted.connect(actions.open_asked)
        page.recent_wanted.connect(lambda name: actions.open_file(Path(name)))
        page.sample_wanted.connect(actions.open_sample)

    @property
    def document(self) -> FrameDocument:
        """The frame that is worked on."""
        return self.session.document

    def _attach(self) -> None:
        self.document.said.connect(self.say)
        self.document.refused.connect(self._say_refused)
        self.document.changed.connect(lambda: self.say(""))
        self.document.changed.connect(self._stay)
        self.document.changed.connect(self._show_title)
        self.document.file_changed.connect(self._show_title)
        self._show_title()

    @property
    def joint(self) -> JointPage:
        """The page Joint."""
        return cast("JointPage", self.page("Joint"))

    @property
    def bend(self) -> BendPage:
        """The page Bend."""
        return cast("BendPage", self.page("Bend"))

    @property
    def frame(self) -> FramePage:
        """The page Frame."""
        return cast("FramePage", self.page("Frame"))

    @property
    def paper(self) -> PaperPage:
        """The page Paper."""
        return cast("PaperPage", self.page("Paper"))

    @property
    def inches(self) -> Any:
        """The menu's command that shows lengths in inches."""
        return self.menus.inches

    def paintEvent(self, event: QPaintEvent) -> None:
        """The window is on screen before its first page is loaded."""
        super().paintEvent(event)
        if not self._painted:
            self._painted = True
            QTimer.singleShot(0, self._begin)

    def _begin(self) -> None:
        """What an earlier window did not save, the file that was asked for, or what was there last."""
        if self.actions_of_frame.offer_unsaved():
            self.go_to("Frame")
        else:
            self._open_last()
        self.show_page(self.shown_page)
        if self.session.has_tubes:
            # Whatever page is on top: what there is to stop at is told beside its name.
            self.page("Frame")

    def _open_last(self) -> None:
        if self._asked is not None:
            self.document.open(self._asked)
            return
        recent = self.session.state.recent
        if recent and self.session.state.page in ("Frame", "Paper") and Path(recent[0]).is_file():
            self.document.open(Path(recent[0]))

    def go_by_key(self, name: str) -> None:
        """Choose a page by its name, the keys going to what comes first on it."""
        self.go_to(name)
        first = getattr(self.page(name), "first", None)
        if first is not None:
            first.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def go_to(self, name: str) -> None:
        """Choose a page by its name."""
        self.names.setCurrentRow(list(PAGES).index(name))

    def show_page(self, name: str) -> None:
        """Show a page."""
        before = self._stack.currentWidget()
        if before is None:
            # What was wrong with the file that was asked for is said still.
            self.say(self.notice.text() or self.session.problem)
        elif before is not self.page(name):
            self.say(self.session.problem)
        self._stack.setCurrentWidget(self.page(name))
        self.menus.follow(name)
        self.actions_of_frame.show_effects(in_sight=name in _SHOWS_FRAME)
        # With a frame open, looking at another page does not make that what is worked on; changing it does.
        if name == "Frame" or (name in ("Joint", "Bend") and not self.session.has_tubes):
            self.session.subject = name
        self.session.change(page=name)

    @property
    def shown_page(self) -> str:
        """The name of the page on top."""
        return str(self.names.currentItem().data(_PAGE))

    def _show_findings(self, findings: tuple[Finding, ...]) -> None:
        """Beside the page's name, where it is always in view, how many findings the frame has."""
        grave = sum(finding.level != "note" for finding in findings)
        words = tr("Frame ({n})").format(n=grave) if grave else tr("Frame")
        self.names.item(list(PAGES).index("Frame")).setText(words)
        wide = self.names.sizeHintForColumn(0) + _BESIDE_PX
        self.names.setFixedWidth(max(wide, self.names.width()))

    def _show_tube(self, name: str) -> None:
        self.go_to("Frame")
        self.frame.choose("Tubes", name)

    def _show_alone(self, page: str, name: str, one: Any) -> None:
        self.go_to(page)
        cast(Any, self.page(page)).take(name, one)

    def current(self) -> QWidget:
        """The page on top."""
        return self.page(self.shown_page)

    def say(self, words: str) -> None:
        """Say something at the window's foot, until something else is said."""
        self.notice.setText(words)

    def _say_refused(self, words: str) -> None:
        """The page Frame says it itself, where it belongs."""
        self.say("" if self.shown_page == "Frame" else words)

    def press(self, button: str) -> None:
        """Press a button of the page on top; a page without it has its papers on the page Paper."""
        end_typing()
        if hasattr(self.current(), button):
            getattr(self.current(), button).click()
        else:
            self.go_to("Paper")

    def explain(self) -> None:
        """What the page on top is for, and what the words on it mean."""
        self._show_help(str(getattr(self.current(), "help_words", "")))

    def walk(self) -> None:
        """Make a first frame step by step, in the unit of its numbers."""
        if self.actions_of_frame.begin("mm"):
            self.frame.begin_walk()

    def import_tables(self) -> None:
        """Take points and tubes from a file."""
        from app.window.table_traffic import ask_import

        self.go_to("Frame")
        self.say(ask_import(self, self.document))

    def export_tables(self) -> None:
        """Write the frame's tables to a file."""
        from app.window.table_traffic import ask_export

        self.say(ask_export(self, self.document))

    def show_words(self) -> None:
        """What the words of the trade mean."""
        self._show_help("")

    def _show_help(self, words: str) -> None:
        from app.window.glossary import Glossary

        for before in self.findChildren(Glossary):
            before.close()
        Glossary(self, words).show()

    def show_log(self) -> None:
        """Open the log's folder, and say where it is."""
        QDesktopServices.openUrl(QUrl.fromLocalFile(str(log_file().parent)))
        self.say(tr("The log is {file}").format(file=log_file()))

    def about(self) -> None:
        """Which version this is, and the caution."""
        QMessageBox.about(self, tr("About Copewright"), f"Copewright {__version__}\n\n{CAUTION}")

    def _show_title(self) -> None:
        self.setWindowTitle(f"{self.document.title} – Copewright {__version__}")

    def changeEvent(self, event: QEvent) -> None:
        """Somebody comes back to the window: has somebody else changed the file meanwhile?"""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow():
            # Not from within the event: a question may be asked.
            QTimer.singleShot(0, self.actions_of_frame.look_at_disk)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Let running work end first, ask for what is unsaved, and keep the window for next time."""
        if "Paper" in self._made and self.paper.work.busy:
            event.ignore()
            self._closing = True
            self.go_to("Paper")
            self.say(_CLOSES_LATER)
            return
        if self.session.has_document:
            if not self.actions_of_frame.may_let_go():
                event.ignore()
                return
            self.document.let_go()
        for page in self._made.values():
            page.close_down()
        self.session.change(size=(self.width(), self.height()))
        self.session.keep_now()
        super().closeEvent(event)

    def _written(self, told: object) -> None:
        """What the window was to be closed after; an error is to be read first."""
        from app.window.long_work import Stopped

        if self._closing and (not isinstance(told, Exception) or isinstance(told, Stopped)):
            self._close_when_free()
        elif self._closing:
            self._stay()

    def _close_when_free(self) -> None:
        """Close, but not underneath a question or a dialog that somebody is at."""
        if not self._closing:
            return
        if QApplication.activeModalWidget() or QApplication.activePopupWidget():
            QTimer.singleShot(_ASK_AGAIN_MS, self, self._close_when_free)
            return
        self._closing = False
        self.close()

    def _stay(self) -> None:
        """It is not to be closed after all: something could not be written, or the frame is worked on further."""
        if self._closing:
            self._closing = False
            self.say("")
