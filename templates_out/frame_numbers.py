"""The numbers of a whole frame, for machines."""

from __future__ import annotations

from typing import Any

import numpy as np

from geometry.end_cut import EndCut
from geometry.findings import Finding
from geometry.fitup import Fitted, FittedPart
from geometry.section import RoundTube
from templates_out.bend_numbers import tube_numbers
from templates_out.bend_papers import BendJob, solve_bend
from templates_out.numbers import numbers_bytes


def frame_numbers(fitted: Fitted, findings: tuple[Finding, ...]) -> bytes:
    """Every cut and every tube of a fitted frame, both hands of a handed one; full precision."""
    cuts = [_cut_numbers(one, cut) for one in fitted.parts for cut in one.cuts if cut is not None]
    return numbers_bytes(findings, cuts, [_tube_numbers(one) for one in fitted.parts])


def _cut_numbers(one: FittedPart, cut: EndCut) -> dict[str, Any]:
    """One end; a round tube's profile by degrees, a box section's by mm round from the datum's side."""
    section = one.part.section
    round_tube = isinstance(section, RoundTube)
    places = cut.round_mm
    if round_tube:
        places = places / cut.at.part.outline.girth * 360.0
    return {
        "tube": one.part.name,
        "end": cut.at.name,
        "cut": cut.kind,
        "fit": cut.at.end.fit,
        "onto": list(cut.onto),
        "angle": cut.angle_deg,
        "offset": cut.offset,
        "radius": section.radius if isinstance(section, RoundTube) else None,
        "origin": cut.origin.tolist(),
        "axis": cut.at.axis.tolist(),
        "datum": cut.at.datum.tolist(),
        "long_point": cut.long_point,
        "short_point": cut.short_point,
        "outside_gap": cut.outside_gap,
        "profile": np.column_stack((places, cut.heights)).tolist(),
        "root_gap": cut.at.end.root_gap,
        "extra": cut.at.end.extra,
        "share_beside": cut.missing,
    }


def _tube_numbers(one: FittedPart) -> dict[str, Any]:
    """One part; its cut length runs from long point to long point, what is left on at its ends included."""
    part = one.part
    lengths = {"cut_length": one.cut_length, "supplied_length": one.cut_length, "mass": one.mass}
    section = part.section
    if isinstance(section, RoundTube):
        job = BendJob(section, part.path, part.stock.steel, name=part.name)
        return {**tube_numbers(solve_bend(job)), **lengths, "tube": part.name}
    return {
        "tube": part.name,
        "width": section.width,
        "height": section.height,
        "wall": section.wall,
        "corner_radius": section.corner_radius,
        "material": part.stock.material,
        "quantity": 1,
        "developed_length": part.path.developed_length,
        **lengths,
        "springback_from": "theory",
        "last_straight": part.path.straights[-1],
        "bends": [],
        "vertices": [list(vertex) for vertex in part.path.vertices],
    }
