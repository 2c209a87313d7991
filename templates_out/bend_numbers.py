"""The numbers of one bent tube, for machines."""

from __future__ import annotations

from typing import Any

from geometry.bend import end_frames
from geometry.bend_plan import BendResult
from geometry.laying import ways_to_lie
from templates_out.numbers import numbers_bytes


def bend_numbers(result: BendResult) -> bytes:
    """The numbers of one bent tube, its two square ends included."""
    job = result.job
    flat = [[float(degrees), 0.0] for degrees in range(0, 361, 5)]
    cuts = [
        {
            "tube": job.name,
            "end": frame.end,
            "cut": "square",
            "fit": "square-cut",
            "onto": [],
            "angle": 90.0,
            "offset": 0.0,
            "radius": job.tube.radius,
            "origin": frame.origin.tolist(),
            "axis": frame.axis.tolist(),
            "datum": frame.datum.tolist(),
            "long_point": 0.0,
            "short_point": 0.0,
            "outside_gap": 0.0,
            "profile": flat,
        }
        for frame in end_frames(job.path)
    ]
    return numbers_bytes(result.findings, cuts, [tube_numbers(result)])


def tube_numbers(result: BendResult) -> dict[str, Any]:
    """What is known of one tube: its section, lengths, bends and points."""
    job = result.job
    return {
        "tube": job.name,
        "od": job.tube.od,
        "wall": job.tube.wall,
        "material": job.material.name,
        "quantity": job.quantity,
        "developed_length": job.path.developed_length,
        "cut_length": result.cut_length,
        "supplied_length": result.supplied_length,
        "trim": list(job.cut_off),
        "bar_ends": list(job.bar_ends),
        "mass": result.mass,
        "springback_from": result.springback_from,
        "first_end": result.first_end,
        "last_straight": result.last_straight,
        "tool_reference": job.tool_reference,
        "bends": [
            {
                "length": row.length,
                "rotation": row.rotation_deg,
                "angle": row.angle_deg,
                "clr": row.clr,
                "set_angle": setting.set_angle_deg,
                "tool_radius": setting.tool_radius,
                "extrapolated": setting.extrapolated,
                "mark_start": mark.start,
                "mark_middle": mark.middle,
                "mark_end": mark.end,
                "mark_tool": mark.tool,
                "wall_outside": wall.outside,
                "wall_inside": wall.inside,
                "strain": wall.strain,
                "tool": found[0] if found else None,
                "radius_got": result.radius_got(number),
            }
            for number, (row, setting, mark, wall, found) in enumerate(
                zip(
                    result.rows,
                    result.settings,
                    result.marks,
                    result.walls,
                    result.tools,
                    strict=True,
                )
            )
        ],
        "vertices": [list(vertex) for vertex in job.path.vertices],
        "lying": _lying_numbers(result),
    }


def _lying_numbers(result: BendResult) -> list[dict[str, Any]]:
    """Every way that the tube can lie on its full-size sheets, and what stands how high over the paper."""
    if not result.rows:
        return []
    return [
        {
            "level": lying.run.words,
            "right": list(lying.right),
            "up": list(lying.up),
            "lift": lying.lift,
            "ends": list(lying.ends),
            "supports": [
                {"at": list(one.at), "block": one.block, "centre": one.centre}
                for one in lying.supports
            ],
        }
        for lying in ways_to_lie(result.job.bar_path, result.job.tube.radius)
    ]
