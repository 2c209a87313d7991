"""Trial bends: whether they can be what they are said to be, and hold for the tube that is to be bent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from geometry.findings import Finding
from geometry.lengths import format_mm
from geometry.springback import Trial

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
                    "trials-of-other-tube", "warning", f"{job.name}, {name}",
                    f"its trial bends were not made on {job.material.name} of {format_mm(job.tube.wall)} mm wall.",
                    "Bend one trial on this tube: springback follows the steel and its wall.",
                )  # fmt: skip
            yield from _trial_set(
                f"{job.name}, {name}", tool.trials_for(job.tube, job.material.name)
            )
    beyond = [number for number, setting in enumerate(result.settings, 1) if setting.extrapolated]
    if beyond:
        angles = ", ".join(f"{result.settings[number - 1].set_angle_deg:.1f}°" for number in beyond)
        yield Finding(
            "extrapolated", "warning", f"{job.name}, bend{'s' * (len(beyond) != 1)} {', '.join(map(str, beyond))}",
            f"the setting of {angles} lies outside the trial bends.",
            "Make a trial bend nearer it before you bend the real tube.",
        )  # fmt: skip
    if result.fit is not None and result.fit.spread_deg > WIDE_SPREAD_DEG:
        yield Finding(
            "trials-spread", "warning", job.name,
            f"the trial bends lie up to {result.fit.spread_deg:.1f}° from their line.",
            "Measure them again, or bend one more.",
        )  # fmt: skip


def _trial_set(where: str, trials: Sequence[Trial]) -> Iterator[Finding]:
    for trial in trials:
        if trial.got_deg > trial.set_deg:
            yield Finding(
                "trial-grew", "warning", where,
                f"a trial set to {format_mm(trial.set_deg)}° gave {format_mm(trial.got_deg)}°, more than was set; a tube "
                "springs back to less.",
                "Check that the angle set comes first, and where the bender's scale has its zero.",
            )  # fmt: skip
        if trial.got_deg < LEAST_KEPT * trial.set_deg:
            yield Finding(
                "trial-odd", "warning", where,
                f"a trial set to {format_mm(trial.set_deg)}° gave {format_mm(trial.got_deg)}°, "
                f"{trial.got_deg / trial.set_deg:.0%} of it; steel tube keeps 90 % and more as a rule.",
                "Measure that trial again, and check that the angle is how far it turned.",
            )  # fmt: skip
    kept = sorted(trial.got_deg / trial.set_deg for trial in trials)
    if kept and kept[-1] - kept[0] > MOST_APART:
        yield Finding(
            "trials-disagree", "warning", where,
            f"one trial kept {kept[0]:.0%} of what was set, another {kept[-1]:.0%}.",
            "Measure both again: of one tube and tool they keep nearly the same share.",
        )  # fmt: skip
