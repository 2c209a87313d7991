"""How each coped end is welded: how long its seam is, and where it is no fillet weld."""

from __future__ import annotations

import math

from geometry.frame import Units
from geometry.frame_landing import EndLanding
from geometry.landing import FILLET_LEAST_DEG, FILLET_MOST_DEG
from geometry.lengths import mm, with_inches
from geometry.said import Length, put_together, said
from templates_out.frame_result import FrameResult
from templates_out.frame_words import in_table
from templates_out.table import Table
from templates_out.wrap_line import bevel_stretch

_WORDS = said(
    "Seam: how long the weld is, once round. Butt: where, as far round the end as that from its datum, left to right on its wrap, the "
    "outsides meet flatter than {most}° or sharper than {least}°: a fillet weld holds between these (EN 1993-1-8), so there it is a butt "
    "weld; {last} to {first} runs across the datum. A wall of {thick} or more is bevelled for it, as its wrap shows (common practice, no source). "
    "Everywhere else that it touches it is a fillet weld. A mitre is a butt weld all round. Local codes and whoever welds it decide.",
    most=f"{FILLET_MOST_DEG:.0f}",
    least=f"{FILLET_LEAST_DEG:.0f}",
    # As geometry.landing.BEVEL_LEAST_WALL_MM has it.
    thick=Length("3 mm", "1/8 in"),
    last="{last}",
    first="{first}",
)


def weld_words(units: Units) -> str:
    """What the table of welds means, its example as the table's own figures are."""
    last, first = ("2.441", "0.276") if units == "in" else ("62.0", "7.0")
    return str(with_inches(_WORDS, wanted=units == "in")).format(last=last, first=first)


def butt_stretches(landing: EndLanding) -> list[tuple[float, float]]:
    """Where an end is no fillet weld: from and to, mm round from its datum; the second above the girth over the datum."""
    radius = landing.cut.at.part.outline.girth / math.tau
    stretches = (bevel_stretch(arc, radius) for arc in landing.bevels)
    return [(one.start, one.end) for one in stretches]


def _all_round(landing: EndLanding) -> bool:
    covered = sum(end - start for start, end in butt_stretches(landing))
    return math.isclose(covered, landing.cut.at.part.outline.girth, rel_tol=1e-3)


def weld_facts(landing: EndLanding) -> str:
    """The same of one end, in a sentence."""
    girth = landing.cut.at.part.outline.girth
    long = mm(landing.seam, places=1)
    if not landing.bevels and landing.opens:
        return said("weld: {long} long, a fillet weld where it touches", long=long)
    if not landing.bevels:
        return said("weld: {long} long, a fillet weld all round", long=long)
    if _all_round(landing):
        return said("weld: {long} long, a butt weld all round", long=long)
    parts = [
        said("{start} to {end}", start=mm(start, places=1), end=mm(end % girth, places=1))
        for start, end in butt_stretches(landing)
    ]
    told = {"long": long, "parts": put_together(", ", parts)}
    if landing.opens:
        return said(
            "weld: {long} long; a butt weld {parts} round from its wrap's left edge, else a fillet weld where it touches",
            **told,
        )
    return said(
        "weld: {long} long; a butt weld {parts} round from its wrap's left edge, else a fillet weld",
        **told,
    )


_IN_A_ROW = 2
"""Stretches: most ends have two, one on each side."""


def weld_table(result: FrameResult) -> Table:
    """Every coped end, in fit-up order; one that has more stretches than a row takes goes on below."""
    rows, unit = list[tuple[str, ...]](), result.units
    for (part, end), landing in result.landings.items():
        girth = landing.cut.at.part.outline.girth
        parts = [
            f"{in_table(start, unit)} to {in_table(end_mm % girth, unit)}"
            for start, end_mm in butt_stretches(landing)
        ]
        parts = ["all round"] if _all_round(landing) else parts or ["nowhere"]
        first, *more = (
            ", ".join(parts[at : at + _IN_A_ROW]) for at in range(0, len(parts), _IN_A_ROW)
        )
        onto, seam = ", ".join(landing.cut.onto), in_table(landing.seam, unit)
        rows += [(f"{part}, {end}", onto, seam, first), *(("", "", "", line) for line in more)]
    heads = ("end", "on", "seam", "butt, round from the datum")
    return Table(heads, ("", "", unit, unit), tuple(rows), (46.0, 50.0, 14.0, 68.0), (0, 1, 3))
