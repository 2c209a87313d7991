"""Sheets to PDF: exact page sizes, embedded letters, the same bytes for the same input."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence

from reportlab import rl_config
from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName
from reportlab.pdfgen.canvas import Canvas as ReportLabCanvas

from geometry.arrays import Floats
from templates_out.canvas import draw
from templates_out.dimension import dimension_strokes
from templates_out.drawing import Arc, Dim, Pen, Text
from templates_out.fonts import CAP_HEIGHT, register_font, runs, text_width
from templates_out.progress import Progress, no_progress
from templates_out.sheet import Sheet

# Streams are packed, not written as letters too: any reader of this century takes them, in half the time.
rl_config.useA85 = 0

POINTS_PER_MM = 72 / 25.4
# One Bezier curve for 90 degrees is 0.04 mm off at R 150; for 30 degrees, 0.0001 mm.
_BEZIER_DEG = 30.0


class PdfCanvas:
    """Draws on one page of a reportlab canvas; coordinates in mm, black only."""

    def __init__(self, page: ReportLabCanvas) -> None:
        self._page = page

    def polyline(self, points: Floats, closed: bool, pen: Pen) -> None:
        """Stroke through points (n, 2) as one path."""
        scaled = (points * POINTS_PER_MM).tolist()
        path = self._page.beginPath()
        path.moveTo(*scaled[0])
        for x, y in scaled[1:]:
            path.lineTo(x, y)
        if closed:
            path.close()
        self._stroke(path, pen)

    def arc(self, arc: Arc) -> None:
        """Stroke a circular arc as Bezier curves of 30 degrees or less."""
        sweep = arc.end_deg - arc.start_deg
        count = max(math.ceil(sweep / _BEZIER_DEG - 1e-9), 1)
        step = math.radians(sweep / count)
        pull = 4 / 3 * math.tan(step / 4)
        radius = arc.radius * POINTS_PER_MM
        x0, y0 = (value * POINTS_PER_MM for value in arc.centre)
        path = self._page.beginPath()
        turn = math.radians(arc.start_deg)
        path.moveTo(x0 + radius * math.cos(turn), y0 + radius * math.sin(turn))
        for _ in range(count):
            c0, s0 = math.cos(turn), math.sin(turn)
            turn += step
            c1, s1 = math.cos(turn), math.sin(turn)
            path.curveTo(
                x0 + radius * (c0 - pull * s0), y0 + radius * (s0 + pull * c0),
                x0 + radius * (c1 + pull * s1), y0 + radius * (s1 - pull * c1),
                x0 + radius * c1, y0 + radius * s1,
            )  # fmt: skip
        self._stroke(path, arc.pen)

    def text(self, text: Text) -> None:
        """Write a line of text."""
        page = self._page
        page.saveState()
        page.translate(text.at[0] * POINTS_PER_MM, text.at[1] * POINTS_PER_MM)
        if text.turn_deg:
            page.rotate(text.turn_deg)
        size = text.height / CAP_HEIGHT * POINTS_PER_MM
        share = {"left": 0.0, "centre": 0.5, "right": 1.0}[text.anchor]
        x = -share * text_width(text.text, text.height) * POINTS_PER_MM if share else 0.0
        for font, piece in runs(text.text):
            page.setFont(font, size)
            page.drawString(x, 0, piece)
            x += page.stringWidth(piece, font, size)
        page.restoreState()

    def dimension(self, dim: Dim) -> None:
        """Draw a dimension stroke by stroke."""
        draw(dimension_strokes(dim), self)

    def _stroke(self, path: object, pen: Pen) -> None:
        page = self._page
        page.setLineWidth(pen.width * POINTS_PER_MM)
        page.setDash([length * POINTS_PER_MM for length in pen.dash], 0)
        page.drawPath(path, stroke=1, fill=0)


def pdf_bytes(
    sheets: Sequence[Sheet],
    title: str,
    subject: str = "",
    progress: Progress = no_progress,
    *,
    compress: bool = True,
) -> bytes:
    """The sheets as one PDF.

    Viewers are asked not to scale (/PrintScaling /None, enforced where they know how), the outline
    has an entry for each sheet, and nothing depends on the clock or the machine.

    Args:
        sheets: in the order of the pages.
        title: of the document.
        subject: what it says it is about.
        progress: told before each page.
        compress: its streams.
    """
    buffer = io.BytesIO()
    font = register_font()
    page = ReportLabCanvas(
        buffer,
        invariant=1,
        pageCompression=int(compress),
        pdfVersion=(1, 7),
        initialFontName=font,  # type: ignore[arg-type]
        lang="en",
    )
    page.setTitle(title)
    page.setAuthor("")
    page.setSubject(subject)
    page.setCreator("Copewright")
    # There is no public way to enforce it.
    page._doc.Catalog.ViewerPreferences = PDFDictionary(  # type: ignore[attr-defined]  # noqa: SLF001
        {
            "PrintScaling": PDFName("None"),
            "Enforce": PDFArray([PDFName("PrintScaling")]),
            "Duplex": PDFName("Simplex"),
            "DisplayDocTitle": "true",
        }
    )
    for index, sheet in enumerate(sheets):
        progress(index, len(sheets), sheet.title)
        page.setPageSize((sheet.paper.width * POINTS_PER_MM, sheet.paper.height * POINTS_PER_MM))
        page.setLineCap(0)
        page.setLineJoin(1)
        key = f"sheet{index}"
        page.bookmarkPage(key)
        name = f"{sheet.label} {sheet.tile}".strip()
        page.addOutlineEntry(f"{name}: {sheet.title}", key, 0)
        page.addPageLabel(index, prefix=name)
        draw(sheet.drawing, PdfCanvas(page))
        page.showPage()
    page.save()
    return buffer.getvalue()
