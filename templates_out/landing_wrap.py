"""The wrap for the target: where the tube lands on it, to mark, or to cut as a hole."""

from __future__ import annotations

import math

import numpy as np

from geometry.arrays import Floats
from geometry.landing import Landing
from geometry.lengths import bare, mm
from geometry.said import said
from templates_out.drawing import (
    DATUM,
    FOLD,
    NOTE_MM,
    OUTLINE,
    SMALL_MM,
    Drawing,
    Item,
    Line,
    Polyline,
    Text,
)
from templates_out.fonts import text_width, wrapped
from templates_out.wrap import (
    BESIDE_MM,
    DEFAULT_PAPER_MM,
    LONGEST_LINE_MM,
    NARROW_MM,
    TAB_MM,
    once_round,
)

_MARGIN_MM = 9.0
_ROW_MM = 4.0
MARK_WORDS = "to mark, not to cut: the outside of the tube lands along this outline"
OPEN_WORDS = ("open: nothing lands here", "open")
UP_WORDS = "up: the side the tube's datum faces"
POINT_WORDS = "work point: the tube's centreline points here"
HOLE_WORDS = "only if the tube is to pass through: cut a hole along it and file its edge to lie along the tube"


def landing_outline(landing: Landing, radius: float) -> Floats:
    """Closed outline (n, 2) with the line on the far side from the tube at x = 0."""
    stretch = radius / landing.target_radius
    return landing.outline * (stretch, 1.0) + (math.pi * radius, 0.0)


def landing_for_file(landing: Landing, name: str) -> Drawing:
    """The landing for DXF: the outline alone on its layer, the datum lines, notes."""
    radius = landing.target_radius
    outline = landing_outline(landing, radius)
    low, high = float(outline[:, 1].min()), float(outline[:, 1].max())
    items: list[Item] = [Polyline(outline, True, OUTLINE)]
    items += _lines(radius, low - _MARGIN_MM, high + _MARGIN_MM)
    y = low - _MARGIN_MM - 16.0
    units = "units: mm, 1:1; seen from outside the target"
    for line in (name, units, *_marking(landing)):
        items.append(Text((0.0, y), line, NOTE_MM))
        y -= 6.0
    return Drawing(tuple(items))


def _marking(landing: Landing) -> tuple[str, ...]:
    """What the outline is for; a hole only where the whole tube goes into the target."""
    return (MARK_WORDS, HOLE_WORDS) if landing.whole else (MARK_WORDS,)


def landing_for_paper(
    landing: Landing, name: str, paper_mm: float = DEFAULT_PAPER_MM, *, inches: bool = False
) -> Drawing:
    """The landing as it is printed, laid out half the paper's thickness outside the target."""
    radius = landing.target_radius + paper_mm / 2
    around = math.tau * radius
    outline = landing_outline(landing, radius)
    beside = around < NARROW_MM
    texts = [name, *_marking(landing)]
    if beside:
        texts += [f"dashed ring: {POINT_WORDS}", UP_WORDS]
    width = BESIDE_MM if beside else min(around - 12.0, LONGEST_LINE_MM)
    words = [line for text in texts for line in wrapped(text, width, SMALL_MM)]
    low = float(outline[:, 1].min()) - 18.0 - (0.0 if beside else _ROW_MM * len(words))
    high = float(outline[:, 1].max()) + _MARGIN_MM
    frame = np.array([[0.0, high], [around, high], [around, low], [0.0, low]])
    items: list[Item] = [
        Polyline(outline, True, OUTLINE),
        Polyline(frame, True, OUTLINE),
        *_lines(radius, low, high, (low + 3.0, float(outline[:, 1].min()) - 4.0)),
        *once_round(low + 3.0, around, "target", inches=inches),
        Polyline(
            np.array(
                [
                    [around, low + 1.5],
                    [around + TAB_MM, low + 5.0],
                    [around + TAB_MM, high - 5.0],
                    [around, high - 1.5],
                ]
            ),
            False,
            FOLD,
        ),
        Text((around + 6.5, (low + high) / 2), "tab, under", SMALL_MM, "centre", 90.0),
    ]
    if not landing.whole:
        items += _open_words(landing, radius)
    x, y = 6.0, float(outline[:, 1].min()) - 8.0
    if beside:
        x, y = around + TAB_MM + 5.0, max(high - SMALL_MM, low + _ROW_MM * len(words))
    for line in words:
        items.append(Text((x, y), line, SMALL_MM))
        y -= _ROW_MM
    return Drawing(tuple(items))


def _open_words(landing: Landing, radius: float) -> list[Item]:
    """Beside the straight parts of the outline, where the tube runs past the target."""
    items: list[Item] = []
    reach = landing.target_radius * math.pi / 2
    for side in (-1.0, 1.0):
        on = landing.outline[np.abs(landing.outline[:, 0] - side * reach) < 1e-6]
        if len(on) > 1 and np.ptp(on[:, 1]) > 0.5:
            # Turned text stands to the left of its base line.
            x = math.pi * (radius + side / 2 * radius) + (1.5 + SMALL_MM if side > 0 else -1.5)
            y = float(on[:, 1].mean())
            room = float(np.ptp(on[:, 1])) - 2.0
            fitting = (w for w in OPEN_WORDS if text_width(w, SMALL_MM) < room)
            word = next(fitting, "") if math.pi / 2 * radius > 8.0 else ""
            if word:
                items.append(Text((x, y), word, SMALL_MM, "centre", 90.0))
    return items


def _lines(
    radius: float, low: float, high: float, clear: tuple[float, float] | None = None
) -> list[Item]:
    """The facing line, its quarters, and the ring where the two centrelines cross or pass."""
    items: list[Item] = []
    names = ("far side", "tube's 270° side", "faces the tube", "tube's 90° side", "far side")
    short = ("far", "270°", "facing", "90°", "far")
    for quarter, name in enumerate(names):
        if quarter == 4 and 2 * text_width("far side", SMALL_MM) > radius * math.pi:
            continue
        x = radius * quarter * math.pi / 2
        if clear is None or quarter in (0, 4):
            items.append(Line((x, low), (x, high), DATUM))
        else:
            items.append(Line((x, low), (x, clear[0]), DATUM))
            items.append(Line((x, clear[1]), (x, high - 6.0), DATUM))
        anchor = {0: "left", 4: "right"}.get(quarter, "centre")
        room = radius * math.pi / 2 - 2.0
        label = next((w for w in (name, short[quarter]) if text_width(w, SMALL_MM) < room), "")
        if not label:
            continue
        x += {0: 1.0, 4: -1.0}.get(quarter, 0.0)
        y = low - 8.0 if clear is None else low + 8.4
        items.append(Text((x, y), label, SMALL_MM, anchor))  # type: ignore[arg-type]
    around = math.tau * radius
    items.append(Line((0.0, 0.0), (around, 0.0), DATUM))
    if clear is None or around >= NARROW_MM:
        fits = text_width(POINT_WORDS, SMALL_MM) < around / 4
        items.append(Text((2.0, 1.4), POINT_WORDS if fits else "work point", SMALL_MM))
        items.append(Text((2.0, high - 4.0), UP_WORDS, SMALL_MM))
    return items


def landing_facts(landing: Landing) -> str:
    """The outline's size in words."""
    size = np.ptp(landing.outline, axis=0)
    low, high = landing.outline[:, 1].min(), landing.outline[:, 1].max()
    return said(
        "outline {along} along and {round} round; from {low} to {high} of the work point",
        along=bare(float(size[1])),
        round=bare(float(size[0])),
        low=bare(float(low)),
        high=mm(float(high)),
    )
