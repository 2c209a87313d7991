"""Reads written papers back and measures them: what a person with a rule and a tube would find."""

from __future__ import annotations

import io
import math

import numpy as np
import pdfplumber
import pypdfium2
from scipy.optimize import minimize_scalar

MM = 25.4 / 72


def pages(data: bytes):
    """All pages of a PDF, with strokes as (points (n, 2) in mm from the lower left, dashed, width)."""
    found = []
    with pdfplumber.open(io.BytesIO(data)) as document:
        for page in document.pages:
            height = float(page.height)
            strokes = []
            for item in [*page.curves, *page.lines, *page.rects]:
                points = np.array([(x, height - y) for x, y in item["pts"]]) * MM
                dashed = bool(item.get("dash") and item["dash"][0])
                strokes.append((points, dashed, item["linewidth"] * MM))
            found.append(
                {
                    "width": float(page.width) * MM,
                    "height": height * MM,
                    "strokes": strokes,
                    "text": page.extract_text(),
                    "words": page.extract_words(),
                }
            )
    return found


def cut_line(page) -> np.ndarray:
    """The cut line of a wrap on a page, (n, 2) mm, left to right as it is read: the stroke with most vertices."""
    outline = max((points for points, _, _ in page["strokes"]), key=len)
    # Closed: the two points of the foot come last, and maybe the first once more.
    outline = outline[:-1] if np.allclose(outline[0], outline[-1]) else outline
    across, along = np.abs(outline[-1] - outline[-2])
    if across < along:
        # Turned a quarter to find room: read from the right.
        outline = np.column_stack((outline[:, 1], -outline[:, 0]))
    return outline[:-2]


def misfit(line: np.ndarray, joint, paper_mm: float = 0.1) -> float:
    """Roll a printed cut line round its tube, print outwards, and push it home: the worst distance.

    Args:
        line: (n, 2) mm from the left edge of the wrap; heights from anywhere.
        joint: what it should fit.
        paper_mm: thickness of the paper.

    Returns:
        Greatest distance in mm of the rolled line's points from the target's surface, at the height
        where that is least: a wrap may be slid along its tube but not turned.
    """
    radius = joint.tube.radius
    phi = (line[:, 0] - line[0, 0]) / (radius + paper_mm / 2)
    angle = math.radians(joint.angle_deg)
    way = np.array([math.sin(angle), 0.0, math.cos(angle)])

    def worst(shift: float) -> float:
        points = np.column_stack((radius * np.cos(phi), radius * np.sin(phi), line[:, 1] + shift))
        from_axis = np.linalg.norm(np.cross(points - (0.0, joint.offset, 0.0), way), axis=1)
        return float(np.max(np.abs(from_axis - joint.target_od / 2)))

    # The distance is not convex in the shift: look coarsely first.
    guess = -line[:, 1].mean() - joint.target_od / 2 / math.sin(angle)
    coarse = guess + np.linspace(-40, 40, 401)
    start = coarse[int(np.argmin([worst(shift) for shift in coarse]))]
    found = minimize_scalar(worst, bounds=(start - 0.5, start + 0.5), method="bounded")
    turn_off = abs(phi[-1] - math.tau) * radius
    return max(float(found.fun), turn_off)


def painted_length(data: bytes, start, end, beside: float) -> float:
    """How long a measured bar is as it is painted, from the outer edge of its first tick to that of its last, mm.

    Args:
        data: a PDF; its first page is painted at 1200 dpi, the half of a bar at a time.
        start: where the bar begins, mm from the page's lower left corner.
        end: where it ends, level with the start or plumb above it.
        beside: how far beside the bar the ticks are looked for, mm: above a level one, left of an upright one.
    """
    upright = abs(end[0] - start[0]) < abs(end[1] - start[1])
    dx, dy = (-beside, 0.0) if upright else (0.0, beside)
    edges = []
    for (x, y), outer in ((start, 0), (end, -1)):
        at = _ink(data, (x + dx, y + dy), upright=upright)
        edges.append(float(at[outer]))
    return edges[1] - edges[0]


def _ink(data: bytes, at, *, upright: bool, reach: float = 1.5) -> np.ndarray:
    """Both edges of the ink on a line of pixels through a place, mm; so far on either side of it."""
    scale = 1200 / 72
    with pypdfium2.PdfDocument(data) as document:
        page = document[0]
        width, height = (size * 25.4 / 72 for size in page.get_size())
        x, y = at
        wide, high = (0.4, reach) if upright else (reach, 0.4)
        left, low = x - wide, y - high
        edges = (left, low, width - x - wide, height - y - high)
        picture = page.render(scale=scale, crop=tuple(edge * 72 / 25.4 for edge in edges))
        grey = np.asarray(picture.to_pil().convert("L"))
    line = grey[:, grey.shape[1] // 2][::-1] if upright else grey[grey.shape[0] // 2]
    dark = np.flatnonzero(line < 128)
    first = low if upright else left
    size = 2 * (high if upright else wide) / len(line)
    return first + size * np.array([dark[0], dark[-1] + 1])
