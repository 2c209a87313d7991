"""Shows a sheet as the paper that it will be: black on white, light or dark as the window may be."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from app.window.drawing_view import DrawingView
from templates_out.drawing import XY, Drawing
from templates_out.paper import Paper
from templates_out.sheet import Sheet

PAPER, INK, EDGE = QColor("white"), QColor("black"), QColor("gray")


class SheetView(DrawingView):
    """The whole sheet, its edge too."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.paper: Paper | None = None

    @property
    def dims_in_inches(self) -> bool:
        """Never: a sheet is just what prints."""
        return False

    def set_sheet(self, sheet: Sheet | None) -> None:
        """Show a sheet, or none; the view stays where it was moved to."""
        self.paper = sheet.paper if sheet else None
        self.set_drawing(sheet.drawing if sheet else Drawing())

    def bounds(self) -> tuple[XY, XY]:
        """The sheet's corners."""
        return (
            ((0.0, 0.0), (self.paper.width, self.paper.height)) if self.paper else super().bounds()
        )

    def ink(self) -> QColor:
        """What the sheet is drawn in."""
        return INK

    def paint_ground(self, painter: QPainter) -> None:
        """The sheet on what it lies on."""
        painter.fillRect(self.rect(), self.palette().window())
        if self.paper is not None:
            top_left = self.pixel(QPointF(0.0, self.paper.height))
            paint_paper(painter, QRectF(top_left, self.pixel(QPointF(self.paper.width, 0.0))))


def paint_paper(painter: QPainter, sheet: QRectF) -> None:
    """A blank sheet, with an edge that is seen on white too.

    Args:
        painter: in pixels.
        sheet: where it is.
    """
    painter.save()
    painter.setPen(EDGE)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.fillRect(sheet, PAPER)
    painter.drawRect(sheet)
    painter.restore()
