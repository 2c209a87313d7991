"""The main window: pages in the order of the job, and what concerns them all."""

from __future__ import annotations

from PySide6.QtGui import QAction, QCloseEvent, QKeySequence
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QMainWindow, QStackedWidget, QWidget

from app import __version__
from app.window.bend_page import BendPage
from app.window.joint_page import JointPage


class MainWindow(QMainWindow):
    """The program's window: the pages' names down the left, the page beside them."""

    def __init__(self) -> None:
        super().__init__()
        self.setWindowTitle(f"Copewright {__version__}")
        self.resize(1024, 700)
        self.joint, self.bend = JointPage(), BendPage()
        self.pages = QStackedWidget()
        self.names = QListWidget()
        self.names.setAccessibleName("pages")
        self.names.setFixedWidth(84)
        for name, page in (("Joint", self.joint), ("Bend", self.bend)):
            self.names.addItem(name)
            self.pages.addWidget(page)
        self.names.currentRowChanged.connect(self.pages.setCurrentIndex)
        self.names.setCurrentRow(0)
        whole = QWidget()
        row = QHBoxLayout(whole)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.names)
        row.addWidget(self.pages, 1)
        self.setCentralWidget(whole)
        file = self.menuBar().addMenu("&File")
        save = QAction("&Save PDF and DXF …", self)
        save.setShortcut(QKeySequence.StandardKey.Save)
        save.triggered.connect(self._save)
        leave = QAction("&Quit", self)
        leave.setShortcut(QKeySequence.StandardKey.Quit)
        leave.triggered.connect(self.close)
        file.addActions([save, leave])
        view = self.menuBar().addMenu("&View")
        self.inches = QAction("Lengths in &inches", self, checkable=True)
        for page in (self.joint, self.bend):
            self.inches.toggled.connect(page.set_inches)
        view.addAction(self.inches)

    def _save(self) -> None:
        page = self.pages.currentWidget()
        if isinstance(page, JointPage | BendPage):
            page.save.click()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Let running work end first."""
        for page in (self.joint, self.bend):
            page.close_down()
        super().closeEvent(event)
