"""Reads written papers back and measures them: what a person with a rule and a tube would find."""

from __future__ import annotations

import io
import math

import numpy as np
import pdfplumber
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
    """The cut line of a wrap on a page, (n, 2) mm, left to right: the stroke with most vertices."""
    outline = max((points for points, _, _ in page["strokes"]), key=len)
    # Closed: the two points of the foot come last, and maybe the first once more.
    outline = outline[:-1] if np.allclose(outline[0], outline[-1]) else outline
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
