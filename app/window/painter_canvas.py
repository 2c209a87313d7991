"""Draws a Drawing with a QPainter: the only place where Qt meets the picture language."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QFontMetricsF, QPainter, QPainterPath, QPen

from geometry.arrays import Floats
from templates_out.canvas import draw
from templates_out.dimension import dimension_strokes
from templates_out.drawing import Arc, Dim, Pen, Text
from templates_out.fonts import CAP_HEIGHT, FONT_FILE, text_width

_FONT_PX = 100
"""Letters are set large and scaled down, so that their widths are the paper's."""


@lru_cache(maxsize=1)
def sheet_font() -> QFont:
    """The typeface of the sheets."""
    loaded = QFontDatabase.addApplicationFont(str(FONT_FILE))
    families = QFontDatabase.applicationFontFamilies(loaded)
    family = families[0] if families else "sans-serif"
    font = QFont(family)
    if "Condensed" in QFontDatabase.styles(family):
        font.setStyleName("Condensed")
    font.setPixelSize(_FONT_PX)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


class PainterCanvas:
    """Draws on a painter whose coordinates are mm, y up; ``ink`` is the colour of every stroke."""

    def __init__(
        self,
        painter: QPainter,
        ink: QColor,
        least_width_mm: float = 0.0,
        *,
        inches: bool = False,
    ) -> None:
        self._painter = painter
        self._ink = ink
        self._least = least_width_mm
        self._inches = inches

    def _pen(self, pen: Pen) -> QPen:
        width = max(pen.width, self._least)
        made = QPen(self._ink, width)
        # Ends where it ends, as on paper: Qt's own goes on by half its width, and bars would be longer.
        made.setCapStyle(Qt.PenCapStyle.FlatCap)
        made.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if pen.dash:
            made.setDashPattern([length / width for length in pen.dash])
        return made

    def polyline(self, points: Floats, closed: bool, pen: Pen) -> None:
        """Stroke through points (n, 2)."""
        path = QPainterPath()
        (x, y), *rest = points.tolist()
        path.moveTo(x, y)
        for x, y in rest:
            path.lineTo(x, y)
        if closed:
            path.closeSubpath()
        self._painter.strokePath(path, self._pen(pen))

    def arc(self, arc: Arc) -> None:
        """Stroke a circular arc; Qt counts its angles the other way where y is up."""
        r = arc.radius
        box = QRectF(arc.centre[0] - r, arc.centre[1] - r, 2 * r, 2 * r)
        path = QPainterPath()
        path.arcMoveTo(box, -arc.start_deg)
        path.arcTo(box, -arc.start_deg, arc.start_deg - arc.end_deg)
        self._painter.strokePath(path, self._pen(arc.pen))

    def text(self, text: Text) -> None:
        """Write a line of text."""
        painter = self._painter
        painter.save()
        painter.translate(QPointF(*text.at))
        painter.rotate(text.turn_deg)
        scale = text.height / CAP_HEIGHT / _FONT_PX
        painter.scale(scale, -scale)
        painter.setFont(sheet_font())
        painter.setPen(self._ink)
        width = QFontMetricsF(sheet_font()).horizontalAdvance(text.text)
        if width:
            # As wide as on paper, whatever face the system has put in its place.
            painter.scale(text_width(text.text, text.height) / (width * scale), 1.0)
        x = {"left": 0.0, "centre": -width / 2, "right": -width}[text.anchor]
        painter.drawText(QPointF(x, 0.0), text.text)
        painter.restore()

    def dimension(self, dim: Dim) -> None:
        """Draw a dimension stroke by stroke."""
        draw(dimension_strokes(dim, inches=self._inches), self)
