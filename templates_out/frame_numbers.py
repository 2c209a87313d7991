"""The numbers of a whole frame, for machines."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from geometry.as_bent import returned
from geometry.bend_plan import BendResult, solve_bend
from geometry.end_cut import EndCut
from geometry.errors import CopewrightError
from geometry.fitup import FittedPart
from geometry.frame_landing import EndLanding, LandingMark
from geometry.section import RoundTube
from templates_out.bend_numbers import tube_numbers
from templates_out.check_sheet import check_numbers
from templates_out.frame_result import FrameResult, bend_job
from templates_out.numbers import numbers_bytes


def frame_numbers(result: FrameResult, files: Iterable[str] = ()) -> bytes:
    """Every cut, tube and landing of a frame, both hands of a handed one; full precision.

    Args:
        result: the frame.
        files: names of the other files that are written with them.
    """
    parts = result.fitted.parts
    cuts = [_cut_numbers(one, cut) for one in parts for cut in one.cuts if cut is not None]
    by_name = {one.part.name: one for one in parts}
    more: dict[str, list[Any]] = {
        "landings": [
            _landing_numbers(by_name[mark.target.name], landing, mark)
            for landing in result.landings.values()
            for mark in landing.marks
        ],
        **check_numbers(result.fitted),
        "files": sorted(files),
    }
    return numbers_bytes(result.findings, cuts, [_tube_numbers(one, result) for one in parts], more)


def _landing_numbers(target: FittedPart, landing: EndLanding, mark: LandingMark) -> dict[str, Any]:
    """One landing: along the target's centreline and round it from its datum, mm."""
    from_start, from_finish = target.from_long_points(mark.along)
    return {
        "tube": landing.cut.at.part.name,
        "end": landing.cut.at.name,
        "on": mark.target.name,
        "along_path": mark.along,
        "from_start": from_start,
        "from_finish": from_finish,
        "clock": mark.clock_deg if isinstance(mark.target.section, RoundTube) else None,
        "round": mark.round_mm,
        "datum": mark.datum.tolist(),
        "low": mark.low,
        "high": mark.high,
        "outline": [line.tolist() for line in mark.outline],
        "on_bend": not mark.flat,
        "seam": landing.seam,
    }


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


def _as_bent_numbers(
    one: FittedPart, bend: BendResult, result: FrameResult
) -> dict[str, Any] | None:
    """What a tube that came back is like beside its drawing; None where it was not measured, or makes no tube."""
    part = one.part
    for measured in result.fitted.frame.tube(part.tube.name).as_bent:
        if measured.hand != part.hand:
            continue
        try:
            came = returned(bend.job.path, measured)
        except CopewrightError:
            return None
        return {
            "used": measured.use,
            "developed_length": came.path.developed_length,
            "cut_length": one.cut_length if measured.use else None,
            "bends": [
                {"length": r.length, "rotation": r.rotation_deg, "angle": r.angle_deg, "clr": r.clr}
                for r in came.rows
            ],
            "last_straight": came.path.straights[-1],
            "share": came.share,
            "twist": came.twist_deg,
            "spread": came.spread,
            "vertices": [list(vertex) for vertex in came.path.vertices],
            "off": came.off.tolist(),
        }
    return None


def _tube_numbers(one: FittedPart, result: FrameResult) -> dict[str, Any]:
    """One part; its cut length runs from long point to long point, what is left on at its ends included."""
    part = one.part
    lengths = {
        "cut_length": one.cut_length,
        "supplied_length": one.supplied_length,
        "mass": one.mass,
    }
    section = part.section
    if isinstance(section, RoundTube):
        bend = result.bends.get(part.name) or solve_bend(bend_job(one, result.fitted.frame))
        if bend.rows:
            # As the shop is told; what came back otherwise stands in "as_bent".
            ends = bend.job.trim
            lengths = {"cut_length": bend.cut_length + sum(ends)}
        return {
            **tube_numbers(bend),
            **lengths,
            "tube": part.name,
            "drawing": result.issue(part.name).number if bend.rows else None,
            "as_bent": _as_bent_numbers(one, bend, result),
        }
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
