"""Everything on paper and in DXF for one bent tube."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.bend import BendMarks, BendRow, BendWall, bend_marks, bend_table, bend_wall
from geometry.checks import bend_findings
from geometry.errors import check_range
from geometry.findings import Finding
from geometry.material import Material
from geometry.path import Path
from geometry.section import RoundTube
from geometry.springback import BendSetting, Trial, TrialFit, fit_trials, theory_setting
from geometry.tolerances import MAX_COORDINATE_MM, MAX_SIZE_MM

TUBE_NAME = "tube"


@dataclass(frozen=True)
class BendJob:
    """What a person asks for.

    Attributes:
        tube: its section.
        path: its centreline.
        material: for the estimate and the mass.
        trials: trial bends, if any.
        trim: length left on for the bender at the start and at the finish, mm.
        tool_reference: how far before the tangent point the tool's reference mark lies, mm.
        quantity: how many.
        name: what the tube is called.
        material_given: the material was named, not taken for want of one.
        long_points: the trims are where the long points of fitted ends stand beyond the path's ends; short of
            them they are negative.
    """

    tube: RoundTube
    path: Path
    material: Material
    trials: tuple[Trial, ...] = ()
    trim: tuple[float, float] = (0.0, 0.0)
    tool_reference: float = 0.0
    quantity: int = 1
    name: str = TUBE_NAME
    material_given: bool = True
    long_points: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be bent."""
        for number, radius in enumerate(self.path.radii, 1):
            check_range(f"bend {number} radius", radius, self.tube.radius, MAX_SIZE_MM, above=True)
        most = MAX_COORDINATE_MM if self.long_points else MAX_SIZE_MM
        least = -MAX_COORDINATE_MM if self.long_points else 0.0
        for end, trim in zip(("start", "finish"), self.trim, strict=True):
            check_range(f"trim at the {end}", trim, least, most)
        check_range("tool reference", self.tool_reference, -MAX_SIZE_MM, MAX_SIZE_MM)
        check_range("quantity", self.quantity, 1, 10000, unit="pieces")

    @property
    def shown_trim(self) -> tuple[float, float]:
        """The trim that is drawn: where fitted ends are cut is the wraps' to say."""
        return (0.0, 0.0) if self.long_points else self.trim


@dataclass(frozen=True)
class BendResult:
    """A bent tube and all that follows from its numbers."""

    job: BendJob
    rows: tuple[BendRow, ...]
    settings: tuple[BendSetting, ...]
    marks: tuple[BendMarks, ...]
    walls: tuple[BendWall, ...]
    fit: TrialFit | None
    findings: tuple[Finding, ...]

    @property
    def last_straight(self) -> float:
        """Straight after the last bend, mm."""
        return self.job.path.straights[-1]

    @property
    def cut_length(self) -> float:
        """Along the centreline between the square ends, mm."""
        return self.job.path.developed_length

    @property
    def supplied_length(self) -> float:
        """What to cut from the bar: with trim left on at both ends, mm."""
        return self.cut_length + sum(self.job.trim)

    @property
    def mass(self) -> float:
        """Mass of the finished tube, kg."""
        length = self.supplied_length if self.job.long_points else self.cut_length
        return self.job.tube.mass(length, self.job.material.density)


def solve_bend(job: BendJob) -> BendResult:
    """The bend table, the settings, the marks and the findings of a bent tube."""
    rows = bend_table(job.path)
    fit = fit_trials(job.trials) if job.trials else None
    settings = tuple(
        fit.setting(row.angle_deg, row.clr)
        if fit
        else theory_setting(job.tube, job.material, row.angle_deg, row.clr)
        for row in rows
    )
    marks = bend_marks(job.path, job.trim[0], job.tool_reference)
    return BendResult(
        job,
        rows,
        settings,
        marks,
        tuple(bend_wall(job.tube, row.clr) for row in rows),
        fit,
        bend_findings(
            job.path, job.tube, rows, marks, job.trim, settings, job.trials, fit, job.name
        ),
    )
