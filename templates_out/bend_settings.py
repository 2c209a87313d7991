"""What the settings of a bend rest on, in words: the trial bends, the tool's mark, the end to begin from."""

from __future__ import annotations

from collections.abc import Iterable

from geometry.bend_names import bends_words
from geometry.bend_plan import BendResult
from geometry.bend_tool import BendTool
from geometry.lengths import bare, format_mm, mm
from geometry.said import capital, listed, put_together, said
from geometry.springback import Trial, fit_trials


def reference_words(result: BendResult) -> str:
    """What the tool's mark allows for."""
    if any(found is not None for found in result.tools):
        each = {found[0]: found[1].reference for found in result.tools if found}
        return said(
            "The tool's mark is where the bar is held to the bender's own mark, which stands {tools} before the bend starts. "
            "With another bender make trial bends first, and this sheet anew with it.",
            tools=listed(
                [said("{by} on {tool}", by=mm(by), tool=name) for name, by in each.items()]
            ),
        )
    return said(
        "The tool's mark allows for {by} from the tool's reference to where the bend starts. A former of another radius than "
        "is named leaves another one: enter it, its mark and its trial bends, and make this sheet anew.",
        by=mm(result.job.tool_reference),
    )


def settings_words(result: BendResult) -> str:
    """Where the settings are from."""
    beyond = any(setting.extrapolated for setting in result.settings)
    if result.fit:
        tried = _tried(result.job.trials)
        if beyond:
            return said(
                "Settings from trial bends ({tried}); * lies outside what was tried.", tried=tried
            )
        return said("Settings from trial bends ({tried}).", tried=tried)
    used: dict[str, list[int]] = {}
    for number, found in enumerate(result.tools, 1):
        used.setdefault(found[0] if found else "", []).append(number)
    tools = dict(found for found in result.tools if found)
    parts = [
        _settings_from(result, bends_words(numbers), name, tools.get(name))
        for name, numbers in used.items()
    ]
    outside = said("* lies outside what was tried.") if beyond else ""
    return put_together(" ", [*parts, outside])


def _settings_from(result: BendResult, bends: str, name: str, tool: BendTool | None) -> str:
    """Where the settings of the bends on one tool are from."""
    job = result.job
    trials = tool.trials_for(job.tube, job.material.name) if tool else ()
    on = said("{tool}, of radius {radius}", tool=name, radius=mm(tool.radius)) if tool else ""
    if len(trials) > 2:
        # Two always lie on one line.
        return said(
            "{bends} on {tool}: settings from its trial bends ({tried}; at most {spread}° off their line).",
            bends=capital(bends),
            tool=on,
            tried=_tried(trials),
            spread=f"{fit_trials(trials).spread_deg:.1f}",
        )
    if trials:
        return said(
            "{bends} on {tool}: settings from its trial bends ({tried}).",
            bends=capital(bends),
            tool=on,
            tried=_tried(trials),
        )
    steel = {"steel": job.material.name, "stress": f"{job.material.yield_stress:.0f}"}
    if tool:
        return said(
            "{bends} on {tool}: settings estimated from theory for {steel} (yield {stress} MPa); the estimate runs low: real "
            "tube springs back more.",
            bends=capital(bends),
            tool=on,
            **steel,
        )
    return said(
        "Settings estimated from theory for {steel} (yield {stress} MPa); the estimate runs low: real tube springs back more.",
        **steel,
    )


def _tried(trials: Iterable[Trial]) -> str:
    return put_together(
        ", ",
        [
            said("{set} gave {got}", set=format_mm(t.set_deg), got=format_mm(t.got_deg))
            for t in trials
        ],
    )


def order_words(result: BendResult) -> str:
    """The end to begin from; "" where it makes no difference."""
    if not result.job.tools or len(result.rows) < 2:
        return ""
    numbers = range(1, len(result.rows) + 1)
    if result.first_end == "start":
        return said("Begin at the start: {bends} in this order.", bends=bends_words(list(numbers)))
    return said(
        "Begin at the finish: {bends} in this order. Measured from the finish end, each mark is {bar} less the figure in the "
        "table; where the bend ends there, it begins.",
        bends=bends_words(list(reversed(numbers))),
        bar=bare(result.supplied_length),
    )
