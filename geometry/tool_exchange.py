"""The bender that a tube on its own was reckoned with, into a frame; and which tools a frame's tubes are bent on."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace

from geometry.bend import BendRow
from geometry.bend_plan import FORMER, BendJob, BendResult, own_tool, tool_at_hand
from geometry.bend_tool import BendTool
from geometry.edits import free_name
from geometry.errors import CopewrightError
from geometry.frame import Frame, Tube
from geometry.lengths import format_mm
from geometry.path import Path
from geometry.places import Places
from geometry.section import RoundTube
from geometry.springback import Trial, fit_trials, theory_setting

_STEM = 60
_SAME_FORMER_MM = 0.01
Bender = tuple[str, float, tuple[Trial, ...]]
"""What a bend's setting and mark are from: the tool's name, how far before the bend its mark lies, mm, and its trial bends."""


def tools_into(frame: Frame, result: BendResult, before: Frame) -> Frame:
    """A frame with the bender that a tube on its own was reckoned with, as far as that is known.

    A former that is named is the frame's tool of that radius, which is given the tube's mark and trial bends where it has some,
    or a new one. Where none is named and no tool of the frame bends the tube, there is a new one for each radius, with the
    former that would leave that; such a one of the same tube from before is set right. What bends it otherwise stays as it is.

    Args:
        frame: with the tube.
        result: the tube on its own.
        before: the frame as it was, where the tube may have been bent otherwise: a former was reckoned from that.
    """
    job = result.job
    known = dict(job.tools).get(FORMER)
    if known is not None:
        return replace(frame, tools=_with_former(frame.tools, known, job))
    if job.tools or not (job.trials or job.tool_reference):
        return frame
    tools, old = dict(frame.tools), _rows_of(before, job.name)
    for row, setting in zip(result.rows, result.settings, strict=True):
        # Such that the tube springs back to the radius that was asked for.
        radius = round(setting.tool_radius, 2)
        if radius <= job.tube.radius:
            # No former can be that tight.
            continue
        found = tool_at_hand(replace(job, tools=tuple(tools.items()), trials=()), row)
        if found is None:
            tools[free_name(_name(job, row.clr), tools)] = own_tool(job, radius)
        elif found[0] == _name(job, row.clr):
            name, one = found
            reckoned = any(_reckoned(one, job, each) for each in (row, *old))
            kept = radius if reckoned else one.radius
            tools[name] = _tried(replace(one, radius=kept, reference=job.tool_reference), job)
    return replace(frame, tools=tools)


def bent_on(frame: Frame) -> dict[str, tuple[Bender | None, ...]]:
    """What each bent tube's bends are bent on, by the tube's name; tubes that cannot be made yet are left out."""
    found: dict[str, tuple[Bender | None, ...]] = {}
    places = Places(frame)
    for tube in frame.tubes:
        job = _job_of(frame, tube, places)
        if job is not None:
            found[tube.name] = tuple(_bender(job, tool_at_hand(job, row)) for row in job.rows)
    return found


def _job_of(frame: Frame, tube: Tube, places: Places) -> BendJob | None:
    """A tube of a frame as it is bent on its tools; None for a straight one, or one that cannot be made yet."""
    stock = frame.stock[tube.stock]
    if not tube.radii or not isinstance(stock.section, RoundTube):
        return None
    with suppress(CopewrightError):
        path = Path(tuple(places.point(point) for point in tube.path), tube.radii)
        return BendJob(stock.section, path, stock.steel, tools=tuple(frame.tools.items()))
    return None


def _rows_of(frame: Frame, name: str) -> tuple[BendRow, ...]:
    """The bends of a frame's tube; none where it has none of that name."""
    jobs = (_job_of(frame, tube, Places(frame)) for tube in frame.tubes if tube.name == name)
    return next((job.rows for job in jobs if job is not None), ())


def _bender(job: BendJob, found: tuple[str, BendTool] | None) -> Bender | None:
    if found is None:
        return None
    name, tool = found
    return name, tool.reference, tool.trials_for(job.tube, job.material.name)


def _name(job: BendJob, clr: float) -> str:
    """What a tool of the tube's own is called, one for each radius."""
    stem = f"bender of {job.name}"[:_STEM]
    return stem if len(set(job.path.radii)) < 2 else f"{stem} at {format_mm(clr)}"


def _reckoned(tool: BendTool, job: BendJob, row: BendRow) -> bool:
    """Whether a tool's radius is the one that its trials, or theory, lead to, and not one that somebody has typed since."""
    trials = tuple(one.trial for one in tool.trials)
    with suppress(CopewrightError):
        setting = (
            fit_trials(trials).setting(row.angle_deg, row.clr)
            if trials
            else theory_setting(job.tube, job.material, row.angle_deg, row.clr)
        )
        return abs(setting.tool_radius - tool.radius) < _SAME_FORMER_MM
    return False


def _with_former(
    tools: Mapping[str, BendTool], known: BendTool, job: BendJob
) -> dict[str, BendTool]:
    """Tools with one of a former's radius."""
    for name, one in tools.items():
        if one.takes(job.tube) and abs(one.radius - known.radius) < _SAME_FORMER_MM:
            # A mark of 0 is one that nobody has measured.
            reference = known.reference or one.reference
            own = replace(job, trials=tuple(trial.trial for trial in known.trials))
            same = replace(one, reference=reference)
            return {**tools, name: _tried(same, own) if own.trials else same}
    return {**tools, free_name(f"bender of {job.name}"[:_STEM], tools): known}


def _tried(tool: BendTool, job: BendJob) -> BendTool:
    """A tool with a job's trial bends in place of those on the same tube."""
    there = {one.trial for one in tool.trials}
    kept = tuple(
        one for one in tool.trials
        if one.trial in job.trials
        or not (one.wall and one.may_be(job.tube, job.material.name))
    )  # fmt: skip
    new = tuple(one for one in own_tool(job, tool.radius).trials if one.trial not in there)
    return replace(tool, trials=kept + new)
