"""Trial bends: whether they can be what they are said to be, and hold for the tube that is to be bent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from geometry.bend_names import bends_words
from geometry.findings import Finding
from geometry.lengths import format_mm, mm
from geometry.said import put_together, said
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
                    "trials-of-other-tube", "warning", put_together(", ", (job.name, name)),
                    said(
                        "its trial bends were not made on {material} of {wall} wall.",
                        material=job.material.name, wall=mm(job.tube.wall),
                    ),
                    said("Bend one trial on this tube: springback follows the steel and its wall."),
                )  # fmt: skip
            where = put_together(", ", (job.name, name))
            yield from _trial_set(where, tool.trials_for(job.tube, job.material.name))
    beyond = [number for number, setting in enumerate(result.settings, 1) if setting.extrapolated]
    if beyond:
        angles = ", ".join(f"{result.settings[number - 1].set_angle_deg:.1f}°" for number in beyond)
        yield Finding(
            "extrapolated", "warning", put_together(", ", (job.name, bends_words(beyond))),
            said("the setting of {angles} lies outside the trial bends.", angles=angles),
            said("Make a trial bend nearer it before you bend the real tube."),
        )  # fmt: skip
    if result.fit is not None and result.fit.spread_deg > WIDE_SPREAD_DEG:
        yield Finding(
            "trials-spread", "warning", job.name,
            said("the trial bends lie up to {angle}° from their line.", angle=f"{result.fit.spread_deg:.1f}"),
            said("Measure them again, or bend one more."),
        )  # fmt: skip


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
