"""Trial bends: whether they can be what they are said to be, and hold for the tube that is to be bent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from geometry.bend_names import bends_words
from geometry.findings import Finding
from geometry.lengths import format_mm, mm
from geometry.said import put_together, said
from geometry.springback import ONE_TRIAL_REACH_DEG, Trial, TrialFit, fit_trials

if TYPE_CHECKING:
    from geometry.bend_plan import BendResult

WIDE_SPREAD_DEG = 0.5
"""Trial bends that lie farther than this from their line want a second look: common practice, no source."""

LEAST_KEPT, MOST_APART = 0.85, 0.08
"""Share of a set angle that a trial keeps, and how far two may differ: common practice, no source."""


def trial_findings(result: BendResult) -> Iterator[Finding]:
    """The findings of a bent tube's trial bends."""
    job = result.job
    yield from _trial_set(job.name, job.trials)
    seen = dict(found for found in result.tools if found)
    if result.fit is None:
        for name, tool in seen.items():
            if tool.trials and not tool.tried_on(job.tube, job.material.name):
                yield Finding(
                    "trials-of-other-tube", "warning", put_together(", ", (job.name, name)),
                    said(
                        "its trial bends were not made on {material} of {wall} wall.",
                        material=job.material.name, wall=mm(job.tube.wall),
                    ),
                    said("Bend one trial on this tube: springback follows the steel and its wall."),
                )  # fmt: skip
            where = put_together(", ", (job.name, name))
            trials = tool.trials_for(job.tube, job.material.name)
            yield from _trial_set(where, trials)
            if trials:
                yield from _spread(where, fit_trials(trials))
    beyond = [number for number, setting in enumerate(result.settings, 1) if setting.extrapolated]
    if beyond:
        yield _beyond(result, beyond)
    if result.fit is not None:
        yield from _spread(job.name, result.fit)


def _spread(where: str, fit: TrialFit) -> Iterator[Finding]:
    """Trial bends that scatter about their line."""
    if fit.spread_deg > WIDE_SPREAD_DEG:
        yield Finding(
            "trials-spread", "warning", where,
            said("the trial bends lie up to {angle}° from their line.", angle=f"{fit.spread_deg:.1f}"),
            said("Measure them again, or bend one more."),
        )  # fmt: skip


def _beyond(result: BendResult, beyond: Sequence[int]) -> Finding:
    """Settings outside what was tried; little outside two trials and more, their line still holds."""
    job = result.job
    settings = [result.settings[number - 1].set_angle_deg for number in beyond]
    tried = [_tried(result, number) for number in beyond]
    least, most = min(map(min, tried)), max(map(max, tried))
    near = all(
        min(some) - _reach(some) <= setting <= max(some) + _reach(some)
        for setting, some in zip(settings, tried, strict=True)
    )
    of = {
        "angles": ", ".join(dict.fromkeys(f"{one:.1f}°" for one in settings)),
        "tried": f"{format_mm(least, 1)}°" if least == most else said(
            "{least} to {most}°", least=format_mm(least, 1), most=format_mm(most, 1)
        ),
    }  # fmt: skip
    return Finding(
        "extrapolated", "note" if near else "warning", put_together(", ", (job.name, bends_words(beyond))),
        said("the setting of {angles} lies outside the trial bends, which were set to {tried}.", **of),
        said("Make a trial bend nearer it, to be sure.") if near
        else said("Make a trial bend nearer it before you bend the real tube."),
    )  # fmt: skip


def _reach(tried: Sequence[float]) -> float:
    """How far outside its trials a line still holds, degrees: no farther than they are apart (common practice, no source)."""
    apart = max(tried) - min(tried)
    return min(ONE_TRIAL_REACH_DEG, apart) if apart > 1e-9 else ONE_TRIAL_REACH_DEG


def _tried(result: BendResult, number: int) -> list[float]:
    """What was set in the trials that a bend's setting is from."""
    job, found = result.job, result.tools[number - 1]
    tool = () if found is None else found[1].trials_for(job.tube, job.material.name)
    return [one.set_deg for one in (job.trials or tool)]


def _trial_set(where: str, trials: Sequence[Trial]) -> Iterator[Finding]:
    for trial in trials:
        went = {"set": format_mm(trial.set_deg), "got": format_mm(trial.got_deg)}
        if trial.got_deg > trial.set_deg:
            yield Finding(
                "trial-grew", "warning", where,
                said("a trial set to {set}° gave {got}°, more than was set; a tube springs back to less.", **went),
                said("Check that the angle set comes first, and where the bender's scale has its zero."),
            )  # fmt: skip
        if trial.got_deg < LEAST_KEPT * trial.set_deg:
            yield Finding(
                "trial-odd", "warning", where,
                said(
                    "a trial set to {set}° gave {got}°, {share} of it; steel tube keeps 90 % and more as a rule.",
                    share=f"{trial.got_deg / trial.set_deg:.0%}", **went,
                ),
                said("Measure that trial again, and check that the angle is how far it turned."),
            )  # fmt: skip
    kept = sorted(trial.got_deg / trial.set_deg for trial in trials)
    if kept and kept[-1] - kept[0] > MOST_APART:
        yield Finding(
            "trials-disagree", "warning", where,
            said(
                "one trial kept {least} of what was set, another {most}.",
                least=f"{kept[0]:.0%}", most=f"{kept[-1]:.0%}",
            ),
            said("Measure both again: of one tube and tool they keep nearly the same share."),
        )  # fmt: skip
