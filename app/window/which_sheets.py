"""Which of the sheets are printed and saved: all, the one in front alone, or those chosen; and that in words."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.window.colours import RoundButton
from app.window.page_frame import words_label
from app.window.sheets_view import SheetsView
from app.window.words import counted, tr


class WhichSheets(QWidget):
    """A click on a small sheet only looks at it, so that one sheet alone is asked for here.

    Attributes:
        nothing: what is said where there is no sheet.
    """

    def __init__(self, view: SheetsView, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.view, self.nothing = view, ""
        self.count = words_label(self)
        self.all = RoundButton(tr("all sheets"), self)
        self.these = RoundButton(self)
        self.all.setToolTip(tr("Print or save every sheet"))
        self.these.setToolTip(
            tr("Print or save only what is chosen on the right, such as a sheet that has jammed")
        )
        rows, both = QVBoxLayout(self), QHBoxLayout()
        rows.setContentsMargins(0, 0, 0, 0)
        both.addWidget(self.all)
        both.addWidget(self.these, 1)
        rows.addLayout(both)
        rows.addWidget(self.count)
        self.all.clicked.connect(lambda: view.choose_alone(on=False))
        self.these.clicked.connect(lambda: view.choose_alone(on=True))
        view.chosen.connect(self.follow)
        self.follow()

    def follow(self) -> None:
        """Show what is chosen."""
        whole, wanted = len(self.view.sheets), self.view.wanted
        several = self.view.several
        for button in (self.all, self.these):
            button.setVisible(whole > 1)
        (self.these if several or self.view.alone else self.all).setChecked(True)
        self.these.setText(tr("those chosen alone") if several else tr("this sheet alone"))
        if not whole:
            self.count.setText(self.nothing)
        elif whole > 1 and len(wanted) == 1:
            words = tr("sheet {label} of {whole}, to print at 100 %")
            self.count.setText(words.format(label=wanted[0].label, whole=whole))
        elif len(wanted) < whole:
            words = tr("{n} of {whole} sheets chosen, to print at 100 %")
            self.count.setText(words.format(n=len(wanted), whole=whole))
        else:
            one, many = tr("{n} sheet, to print at 100 %"), tr("{n} sheets, to print at 100 %")
            self.count.setText(counted(whole, one, many))
