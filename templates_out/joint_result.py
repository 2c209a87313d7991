"""One joint on its own, solved: all that its papers and numbers are made from."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.checks import joint_findings
from geometry.cope import Cut, cope
from geometry.findings import Finding
from geometry.hole_saw import HoleSaw, hole_saw
from geometry.joint import Joint
from geometry.landing import Landing, landing

TUBE_NAME, END_NAME, TARGET_NAME = "tube", "finish", "target"


@dataclass(frozen=True, eq=False)
class JointResult:
    """A joint and all that follows from it.

    Attributes:
        joint: what was asked for.
        cut: the end of its tube.
        landed: where that sits on the target.
        saw: the hole saw that would cut it.
        findings: what to stop at.
        name: the tube's.
        inches: lengths are told in inches beside the mm.
    """

    joint: Joint
    cut: Cut
    landed: Landing
    saw: HoleSaw
    findings: tuple[Finding, ...]
    name: str = TUBE_NAME
    inches: bool = False

    @property
    def title(self) -> str:
        """The tube and what it sits on; the name may say which end it is."""
        return f"{self.name} onto {TARGET_NAME}"

    @property
    def landing_title(self) -> str:
        """The mark on the target."""
        return f"landing of {self.name} on {TARGET_NAME}"

    @property
    def corners(self) -> Floats:
        """Places that the even steps of the ordinate table miss: kinks and both extremes.

        Rows as in ``Cut.ordinates``, in order of the clock.
        """
        cut = self.cut
        angles = {cut.long_phi, cut.short_phi}
        if self.joint.offset == 0:
            # The other half is the same: both have their long and their short point.
            angles |= {-angle % math.tau for angle in angles}
        for start, end in cut.surface.beside_arcs(cut.tube.radius):
            angles |= {start, end % math.tau}
        # A kink that is the long point too comes out of two formulas, a rounding apart.
        ordered = sorted(angles)
        phi = np.array([a for a, b in zip(ordered, [-1.0, *ordered], strict=False) if a - b > 1e-6])
        heights = cut.line_at(phi)
        return np.column_stack(
            (np.degrees(phi), cut.tube.radius * phi, heights, cut.long_point - heights)
        )


def solve_joint(joint: Joint, name: str = TUBE_NAME, *, inches: bool = False) -> JointResult:
    """Cut the joint's tube, land it, and look at it as a careful fabricator would."""
    cut, landed = cope(joint), landing(joint)
    found = joint_findings(joint, cut, landed, name)
    return JointResult(joint, cut, landed, hole_saw(cut), found, name, inches)
