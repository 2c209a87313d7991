"""The numbers of one joint on its own, for machines."""

from __future__ import annotations

import numpy as np

from geometry.cope import ORDINATE_STEPS_DEG
from geometry.landing import surface_angle
from templates_out.joint_result import END_NAME, TARGET_NAME, JointResult
from templates_out.numbers import numbers_bytes


def joint_numbers(result: JointResult) -> bytes:
    """The numbers of one joint on its own."""
    joint, cut, landed, saw = result.joint, result.cut, result.landed, result.saw
    entry = {
        "tube": result.name,
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
        "corners": result.corners.tolist(),
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
        "seam_angles": _seam_angles(result),
        "seam_angle_least": landed.tightest_deg,
        "seam_angle_greatest": landed.widest_deg,
        "bevels": [
            {"start": arc.start_deg, "end": arc.end_deg, "side": arc.side, "angle": arc.extreme_deg}
            for arc in landed.bevels
        ],
        "landing": landed.outline.tolist(),
    }
    return numbers_bytes(result.findings, [entry], [])


def _seam_angles(result: JointResult) -> list[list[float | None]]:
    """Clock angle and the angle between the surfaces there, at the profile's vertices; None where open."""
    phi = result.cut.phi
    angles = surface_angle(result.joint.surface, result.joint.tube.radius, phi)
    return [
        [float(degrees), None if np.isnan(angle) else float(angle)]
        for degrees, angle in zip(np.degrees(phi), angles, strict=True)
    ]
