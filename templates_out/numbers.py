"""numbers.json: every number that is on the paper, for machines, never rounded."""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from geometry.bend import end_frames
from geometry.cope import ORDINATE_STEPS_DEG
from geometry.findings import Finding
from templates_out.bend_papers import TUBE_NAME as BENT_TUBE
from templates_out.bend_papers import BendResult
from templates_out.joint_papers import END_NAME, TARGET_NAME, TUBE_NAME, JointResult

FORMAT, VERSION = "copewright-numbers", 1


def numbers_bytes(
    findings: tuple[Finding, ...], cuts: list[dict[str, Any]], tubes: list[dict[str, Any]]
) -> bytes:
    """The file's bytes: UTF-8 JSON, keys in a fixed order, no NaN or infinity."""
    whole = {
        "format": FORMAT,
        "version": VERSION,
        "findings": [
            {"code": f.code, "level": f.level, "where": f.where, "what": f.what, "do": f.do}
            for f in findings
        ],
        "cuts": cuts,
        "tubes": tubes,
    }
    return (json.dumps(whole, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def joint_numbers(result: JointResult) -> bytes:
    """The numbers of one joint on its own."""
    joint, cut, landed, saw = result.joint, result.cut, result.landed, result.saw
    entry = {
        "tube": TUBE_NAME,
        "end": END_NAME,
        "cut": "cope",
        "fit": joint.fit,
        "onto": [TARGET_NAME],
        "angle": float(joint.angle_deg),
        "offset": float(joint.offset),
        "radius": joint.tube.radius,
        "origin": [0.0, 0.0, 0.0],
        "axis": [0.0, 0.0, 1.0],
        "datum": [1.0, 0.0, 0.0],
        "long_point": cut.long_point,
        "short_point": cut.short_point,
        "outside_gap": cut.outside_gap,
        "profile": np.column_stack((np.degrees(cut.phi), cut.line)).tolist(),
        "inside_profile": np.column_stack((np.degrees(cut.phi), cut.edges()[1])).tolist(),
        "od": joint.tube.od,
        "wall": joint.tube.wall,
        "target_od": joint.target_od,
        "root_gap": joint.root_gap,
        "extra": joint.extra,
        "deepest": cut.deepest,
        "long_point_at": cut.long_phi_deg,
        "short_point_at": cut.short_phi_deg,
        "gap_if_undressed": cut.gap_if_undressed,
        "share_beside": joint.grown.beside_share(joint.tube.radius),
        "ordinates": {f"{step:g}": cut.ordinates(step).tolist() for step in ORDINATE_STEPS_DEG},
        "hole_saw": {
            "fits": saw.fits,
            "diameter": saw.diameter,
            "from_square": saw.from_square_deg,
            "offset": saw.offset,
            "reach": saw.reach,
            "beyond_long_point": saw.beyond_long_point,
        },
        "seam_length": landed.seam_length,
        "seam_angle_least": landed.tightest_deg,
        "seam_angle_greatest": landed.widest_deg,
        "bevels": [
            {"start": arc.start_deg, "end": arc.end_deg, "side": arc.side, "angle": arc.extreme_deg}
            for arc in landed.bevels
        ],
        "landing": landed.outline.tolist(),
    }
    return numbers_bytes(result.findings, [entry], [])


def bend_numbers(result: BendResult) -> bytes:
    """The numbers of one bent tube, its two square ends included."""
    job = result.job
    flat = [[float(degrees), 0.0] for degrees in range(0, 361, 5)]
    cuts = [
        {
            "tube": BENT_TUBE,
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
    tube = {
        "tube": BENT_TUBE,
        "od": job.tube.od,
        "wall": job.tube.wall,
        "material": job.material.name,
        "quantity": job.quantity,
        "developed_length": job.path.developed_length,
        "cut_length": result.cut_length,
        "supplied_length": result.supplied_length,
        "trim": list(job.trim),
        "mass": result.mass,
        "springback_from": "trials" if result.fit else "theory",
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
            }
            for row, setting, mark, wall in zip(
                result.rows, result.settings, result.marks, result.walls, strict=True
            )
        ],
        "vertices": [list(vertex) for vertex in job.path.vertices],
    }
    return numbers_bytes(result.findings, cuts, [tube])
