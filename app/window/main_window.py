"""The main window: pages in the order of the job, and what concerns them all."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QTimer
from PySide6.QtGui import QAction, QCloseEvent, QKeySequence, QPaintEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidget,
    QMainWindow,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app import __version__
from app.window.session import Session

if TYPE_CHECKING:
    from app.window.bend_page import BendPage
    from app.window.joint_page import JointPage
    from app.window.paper_page import PaperPage

# A page is loaded when it is first shown: the window opens sooner.
PAGES = {"Joint": "joint_page", "Bend": "bend_page", "Paper": "paper_page"}


class MainWindow(QMainWindow):
    """The program's window: the pages' names down the left, the page beside them."""

    def __init__(self) -> None:
        super().__init__()
        self.session = Session(self)
        self.setWindowTitle(f"Copewright {__version__}")
        width, height = self.session.state.size
        self.resize(min(max(width, 640), 10_000), min(max(height, 480), 10_000))
        self._made: dict[str, QWidget] = {}
        self._stack = QStackedWidget()
        self.names = QListWidget()
        self.names.setAccessibleName("pages")
        large = self.names.font()
        large.setPointSizeF(large.pointSizeF() * 1.2)
        self.names.setFont(large)
        self.names.addItems(list(PAGES))
        self.names.setSpacing(4)
        self.names.setFixedWidth(self.names.sizeHintForColumn(0) + 40)
        self.names.currentTextChanged.connect(self.show_page)
        whole = QWidget()
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.names)
        row.addWidget(self._stack, 1)
        self.notice = QLabel(self)
        self.notice.setWordWrap(True)
        self.notice.setMargin(8)
        self.notice.hide()
        rows = QVBoxLayout(whole)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addLayout(row, 1)
        rows.addWidget(self.notice)
        self.setCentralWidget(whole)
        self._add_menus()
        self.session.paper_asked.connect(lambda: self.go_to("Paper"))
        self.session.said.connect(self.say)
        page = self.session.state.page if self.session.state.page in PAGES else "Joint"
        self.names.blockSignals(True)
        self.go_to(page)
        self.names.blockSignals(False)
        self._painted = False
        if self.session.problem:
            self.say(self.session.problem)

    def _add_menus(self) -> None:
        file = self.menuBar().addMenu("&File")
        for words, key, button in (
            ("&Save PDF and DXF …", QKeySequence.StandardKey.Save, "save"),
            ("&Print …", QKeySequence.StandardKey.Print, "print"),
        ):
            action = QAction(words, self)
            action.setShortcut(key)
            action.triggered.connect(lambda _=False, button=button: self._press(button))
            file.addAction(action)
        leave = QAction("&Quit", self)
        leave.setShortcut(QKeySequence.StandardKey.Quit)
        leave.triggered.connect(self.close)
        file.addAction(leave)
        view = self.menuBar().addMenu("&View")
        self.inches = QAction("Lengths in &inches", self, checkable=True)
        self.inches.setChecked(self.session.inches)
        self.inches.toggled.connect(lambda on: self.session.change(inches=on))
        view.addAction(self.inches)
        for number, name in enumerate(PAGES, 1):
            go = QAction(f"&{number} {name}", self)
            go.setShortcut(QKeySequence(f"Ctrl+{number}"))
            go.triggered.connect(lambda _=False, name=name: self.go_to(name))
            view.addAction(go)

    def page(self, name: str) -> QWidget:
        """The page of that name, made when it is first asked for."""
        if name not in self._made:
            module = import_module(f"app.window.{PAGES[name]}")
            page = cast(QWidget, getattr(module, f"{name}Page")(self.session))
            self._stack.addWidget(page)
            self._made[name] = page
        return self._made[name]

    @property
    def joint(self) -> JointPage:
        """The page Joint."""
        return cast("JointPage", self.page("Joint"))

    @property
    def bend(self) -> BendPage:
        """The page Bend."""
        return cast("BendPage", self.page("Bend"))

    @property
    def paper(self) -> PaperPage:
        """The page Paper."""
        return cast("PaperPage", self.page("Paper"))

    def paintEvent(self, event: QPaintEvent) -> None:
        """The window is on screen before its first page is loaded."""
        super().paintEvent(event)
        if not self._painted:
            self._painted = True
            QTimer.singleShot(0, lambda: self.show_page(self.names.currentItem().text()))

    def go_to(self, name: str) -> None:
        """Choose a page by its name."""
        self.names.setCurrentRow(list(PAGES).index(name))

    def show_page(self, name: str) -> None:
        """Show a page."""
        self._stack.setCurrentWidget(self.page(name))
        self.session.change(page=name)

    def current(self) -> QWidget:
        """The page on top."""
        return self.page(self.names.currentItem().text())

    def say(self, words: str) -> None:
        """Say something at the window's foot, until something else is said."""
        self.notice.setText(words)
        self.notice.setVisible(bool(words))

    def _press(self, button: str) -> None:
        getattr(self.current(), button).click()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Keep the window for next time, and let running work end first."""
        for page in (self._made.get(name) for name in PAGES):
            if page is not None:
                cast("JointPage | BendPage | PaperPage", page).close_down()
        self.session.change(size=(self.width(), self.height()))
        self.session.keep_now()
        super().closeEvent(event)
