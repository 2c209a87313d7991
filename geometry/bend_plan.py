"""One bent tube as a bender gets it: what is asked for, and all that follows from it."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from geometry.bend import BendMarks, BendRow, BendWall, bend_marks, bend_table, bend_wall
from geometry.bend_checks import ELSEWHERE_MM, bend_findings, elsewhere
from geometry.bend_tool import BendTool, TrialBend, tool_for
from geometry.bender_checks import first_end
from geometry.errors import OutOfRange, check_range
from geometry.findings import Finding
from geometry.material import Material
from geometry.path import Path
from geometry.said import said
from geometry.section import RoundTube
from geometry.springback import (
    BendSetting,
    Trial,
    TrialFit,
    fit_trials,
    theory_setting,
    thick_ratio,
)
from geometry.tolerances import MAX_COORDINATE_MM, MAX_SIZE_MM

TUBE_NAME = "tube"
_SQUARE_DEG, _TIGHT_DIAMETERS = 90.0, 3.0
EndName = Literal["start", "finish"]
FORMER = said("the former")
"""What a tool is called of which nothing is known but its former, its mark and its trial bends."""


@dataclass(frozen=True)
class BendJob:
    """What a person asks for.

    Attributes:
        tube: its section.
        path: its centreline.
        material: for the estimate and the mass.
        trials: trial bends that hold for every bend, if any; else a tool's own count.
        trim: length left on for the bender at the start and at the finish, mm.
        tool_reference: how far before the tangent point the bender's mark lies, mm; a tool has its own.
        quantity: how many.
        name: what the tube is called.
        material_given: the material was named, not taken for want of one.
        long_points: the trims are where the finished ends stand beyond the path's, fitted ones by their long
            points; short of them they are negative.
        fitted: which ends, of the start and the finish, are cut to what they sit on after bending, where the trims
            are long points; the others are sawn square.
        left_on: length left on for the bender beyond the long points, at the start and at the finish, mm.
        tools: the bending tools at hand, by name.
        bar_length: as bought, mm; 0 where it is not to be reckoned.
        least_wall: least wall outside a bend that is wanted, mm; 0 for any.
        inches: lengths are told in inches beside the mm.
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
    fitted: tuple[bool, bool] = (True, True)
    left_on: tuple[float, float] = (0.0, 0.0)
    tools: tuple[tuple[str, BendTool], ...] = ()
    bar_length: float = 0.0
    least_wall: float = 0.0
    inches: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be bent."""
        for number, radius in enumerate(self.path.radii, 1):
            what = said("bend {number} radius", number=number)
            check_range(what, radius, self.tube.radius, MAX_SIZE_MM, above=True)
        most = MAX_COORDINATE_MM if self.long_points else MAX_SIZE_MM
        least = -MAX_COORDINATE_MM if self.long_points else 0.0
        check_range(said("trim at the start"), self.trim[0], least, most)
        check_range(said("trim at the finish"), self.trim[1], least, most)
        check_range(said("left on at the start"), self.left_on[0], 0.0, MAX_SIZE_MM)
        check_range(said("left on at the finish"), self.left_on[1], 0.0, MAX_SIZE_MM)
        check_range(said("tool reference"), self.tool_reference, -MAX_SIZE_MM, MAX_SIZE_MM)
        check_range(said("quantity"), self.quantity, 1, 10000, unit=said("pieces"))
        check_range(said("least wall"), self.least_wall, 0.0, MAX_SIZE_MM)

    @property
    def rows(self) -> tuple[BendRow, ...]:
        """The bend table."""
        return bend_table(self.path)

    @property
    def bar_ends(self) -> tuple[float, float]:
        """How far the bar's start and finish stand beyond the path's, mm; short of them they are negative."""
        (start, finish), (one, other) = self.trim, self.left_on
        return (start + one, finish + other)

    @cached_property
    def bar_path(self) -> Path:
        """The centreline from one end of the bar to the other; a bar that ends inside a bend ends before it here."""
        return moved_ends(self.path, self.bar_ends)

    @property
    def delivered(self) -> Path:
        """The centreline of the tube as the bender hands it over: fitted ends are cut later, trim is gone."""
        return self.bar_path if self.long_points else self.path

    @property
    def cut_off(self) -> tuple[float, float]:
        """What is cut off the bar's start and finish after bending, mm, but for the shape of fitted ends."""
        return self.left_on if self.long_points else self.trim

    @property
    def square(self) -> tuple[bool, bool]:
        """Whether the start and the finish are sawn square."""
        start, finish = self.fitted
        return (not (self.long_points and start), not (self.long_points and finish))

    @property
    def finished_straights(self) -> tuple[float, float]:
        """Of the finished tube, from its start to where bend 1 begins and from where the last one ends to its finish, mm.

        A fitted end reaches to its long point.
        """
        start, finish = self.trim if self.long_points else (0.0, 0.0)
        return (self.path.straights[0] + start, self.path.straights[-1] + finish)


def own_tool(job: BendJob, radius: float) -> BendTool:
    """The tool that a job's own mark and trial bends are of.

    Args:
        job: a tube on its own.
        radius: of the former at the tube's centreline, mm.
    """
    steel = job.material.name if job.material_given else ""
    trials = tuple(TrialBend(one, steel, job.tube.wall) for one in job.trials)
    return BendTool(job.tube.od, radius, reference=job.tool_reference, trials=trials)


def on_former(job: BendJob, radius: float) -> BendJob:
    """A job that is bent on one former, of which its mark and its trial bends are.

    Args:
        job: a tube on its own.
        radius: of the former at the tube's centreline, mm; 0 where it is not known: the job stays as it is.

    Raises:
        OutOfRange: for what no former can be.
    """
    if not radius:
        return job
    # Of bends that the former does not leave nothing is known, no mark either.
    tools = ((FORMER, own_tool(job, radius)),)
    return replace(job, tools=tools, trials=(), tool_reference=0.0)


def moved_ends(path: Path, beyond: tuple[float, float]) -> Path:
    """A path whose start and finish stand so far beyond where they were, mm; never past their tangent points."""
    start, finish = (max(by, -straight) for by, straight in zip(beyond, (path.straights[0], path.straights[-1]), strict=True))  # fmt: skip
    first, *inner, last = (np.array(vertex) for vertex in path.vertices)
    ends = first - start * path.directions[0], last + finish * path.directions[-1]
    corners = [ends[0], *inner, ends[1]]
    return Path(tuple((float(x), float(y), float(z)) for x, y, z in corners), path.radii)


@dataclass(frozen=True)
class BendResult:
    """A bent tube and all that follows from its numbers.

    Attributes:
        job: what was asked for.
        rows: the bend table.
        settings: what to set for each bend.
        marks: where each bend is along the bar.
        walls: what each bend does to the wall.
        tools: for each bend its tool and the tool's name, None where none fits.
        fit: the line through the job's own trials, if it has any.
        first_end: the end to begin bending from.
        findings: what to stop at.
    """

    job: BendJob
    rows: tuple[BendRow, ...]
    settings: tuple[BendSetting, ...]
    marks: tuple[BendMarks, ...]
    walls: tuple[BendWall, ...]
    tools: tuple[tuple[str, BendTool] | None, ...]
    fit: TrialFit | None
    first_end: EndName
    findings: tuple[Finding, ...]

    @property
    def last_straight(self) -> float:
        """Straight after the last bend, mm."""
        return self.job.path.straights[-1]

    @property
    def cut_length(self) -> float:
        """Along the centreline between the path's ends, mm."""
        return self.job.path.developed_length

    @property
    def supplied_length(self) -> float:
        """What to cut from the bar: with what is left on at both ends, mm."""
        return self.cut_length + sum(self.job.bar_ends)

    @property
    def mass(self) -> float:
        """Mass of the finished tube, kg."""
        length = self.cut_length + (sum(self.job.trim) if self.job.long_points else 0.0)
        return self.job.tube.mass(length, self.job.material.density)

    @property
    def springback_from(self) -> Literal["theory", "trials"]:
        """Where all settings are from: trials only where each bend's is."""
        tried = self.settings and all(setting.source == "trials" for setting in self.settings)
        return "trials" if tried else "theory"

    def radius_got(self, number: int) -> float | None:
        """The radius that a bend's tool leaves, mm: the neutral fibre keeps its length; None without a tool."""
        found, setting, row = self.tools[number], self.settings[number], self.rows[number]
        return found[1].radius * setting.set_angle_deg / row.angle_deg if found else None

    def radii_left(self, number: int) -> tuple[float, ...]:
        """The radii at which the tools that take the tube leave a bend of this one's angle, in order, mm."""
        job, row = self.job, self.rows[number]
        left = (_left_or_none(tool, job.tube, job.material, row.angle_deg) for _, tool in job.tools)
        return tuple(sorted({radius for radius in left if radius is not None}))


def _left_or_none(
    tool: BendTool, tube: RoundTube, material: Material, angle_deg: float
) -> float | None:
    """As ``radius_left``; a tool of another diameter, or whose trials contradict each other, leaves none."""
    # Trials that contradict each other are said where the tool is.
    with contextlib.suppress(OutOfRange):
        return radius_left(tool, tube, material, angle_deg) if tool.takes(tube) else None
    return None


def tool_at_hand(job: BendJob, row: BendRow) -> tuple[str, BendTool] | None:
    """The tool that leaves a bend, by its radius, or by what its trials say that it leaves; None where none does."""
    found = tool_for(dict(job.tools), job.tube, row.clr)
    if found is not None:
        return found
    near = []
    for name, tool in job.tools:
        left = _left_or_none(tool, job.tube, job.material, row.angle_deg)
        if left is not None and elsewhere(left, row) < ELSEWHERE_MM:
            near.append((abs(left - row.clr), name, tool))
    return min(near)[1:] if near else None


def radius_left(
    tool: BendTool, tube: RoundTube, material: Material, angle_deg: float
) -> float | None:
    """The radius at which a tool leaves a bend of an angle, mm, by its trials, else by theory; None where it leaves none.

    The neutral fibre keeps its length.
    """
    trials = tool.trials_for(tube, material.name)
    if trials:
        kept = angle_deg / fit_trials(trials).setting(angle_deg, tool.radius).set_angle_deg
    else:
        kept = thick_ratio(tube, material, tool.radius)
    return tool.radius / kept if kept > 0 else None


def first_radius(tools: Iterable[BendTool], tube: RoundTube, material: Material) -> float:
    """The radius that a new bend begins with, mm: the least that a tool leaves, else as tight as rule books let one be."""
    left = (_left_or_none(tool, tube, material, _SQUARE_DEG) for tool in tools)
    least = min((radius for radius in left if radius is not None), default=None)
    return round(least, 1) if least is not None else _TIGHT_DIAMETERS * tube.od


def solve_bend(job: BendJob) -> BendResult:
    """The bend table, the settings, the marks and the findings of a bent tube.

    Raises:
        OutOfRange: for trials that contradict each other.
    """
    rows = job.rows
    tools = tuple(tool_at_hand(job, row) for row in rows)
    fit = fit_trials(job.trials) if job.trials else None
    settings = tuple(_setting(job, row, found, fit) for row, found in zip(rows, tools, strict=True))
    marks = _marks(job, tools)
    walls = tuple(bend_wall(job.tube, row.clr) for row in rows)
    result = BendResult(job, rows, settings, marks, walls, tools, fit, first_end(job, tools), ())
    return BendResult(
        job, rows, settings, marks, walls, tools, fit, result.first_end, bend_findings(result)
    )


def _setting(
    job: BendJob, row: BendRow, found: tuple[str, BendTool] | None, fit: TrialFit | None
) -> BendSetting:
    """By the job's own trials, else by the tool's, else by theory."""
    if fit is not None:
        return fit.setting(row.angle_deg, row.clr)
    trials = found[1].trials_for(job.tube, job.material.name) if found else ()
    if trials:
        return fit_trials(trials).setting(row.angle_deg, row.clr)
    return theory_setting(job.tube, job.material, row.angle_deg, row.clr)


def _marks(job: BendJob, tools: Sequence[tuple[str, BendTool] | None]) -> tuple[BendMarks, ...]:
    """Each bend's marks, by its own tool's reference."""
    plain = bend_marks(job.path, job.bar_ends[0], job.tool_reference)
    return tuple(
        BendMarks(mark.start, mark.middle, mark.end, mark.start - found[1].reference)
        if found
        else mark
        for mark, found in zip(plain, tools, strict=True)
    )
