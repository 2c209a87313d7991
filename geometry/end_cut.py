"""How one end of a frame's tube is cut: the line round its section, and where that is in space."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from geometry.arrays import Floats
from geometry.cope import Cut, cope
from geometry.end_lines import EndLines, Target, what_is_met
from geometry.errors import CopewrightError
from geometry.frame import EndCut as Kind
from geometry.joint import Fit, Joint
from geometry.outline import Outline, RoundOutline, sample_line
from geometry.parts import PartEnd
from geometry.pieces import Piece
from geometry.said import said
from geometry.section import RoundTube
from geometry.setting import Settings, settings

Heights = Callable[[Floats], Floats]
"""Heights (n,) of the line at distances round the section (n,), mm."""

_TRIES = 33
_OWNERS = 360
_NEWTON_STEPS = 4
_WON_MM = 1e-10
_NARROW = 1e-9
"""Of the girth: beside a line that only touches something the height falls off that fast."""
SAME_MM = 1e-6
"""What rounding makes of places that are one, with room to spare: a tube that butts another comes flush with its end."""
_LEVEL_MM = 0.05
"""No saw follows a line that rises less all round: common practice, no source."""


@dataclass(frozen=True, eq=False)
class EndCut:
    """A cut end.

    Heights are along the axis from the origin, positive out of the tube, mm.

    Attributes:
        at: the end that is cut.
        kind: "cope", "square", "mitre" or "plane".
        fit: of a cope.
        onto: names of the parts it sits on, the one that carries most of the turn first.
        angle_deg: to the first of them, acute; 90 for a square end.
        offset: of the first of them, as in a joint on its own.
        origin: the work point (3,).
        round_mm: distances round the section from the datum, from 0 to the girth, (n,).
        heights: the line at them, (n,).
        long_point: greatest height.
        short_point: least height.
        outside_gap: greatest gap along the tube that an end cut straight through leaves outside.
        missing: share of the turn that meets nothing, 0 to 1.
        image_of: the other hand's cut, or the other end's, that it is the mirror image of.
    """

    at: PartEnd
    kind: Kind
    fit: Fit
    onto: tuple[str, ...]
    angle_deg: float
    offset: float
    origin: Floats
    round_mm: Floats
    heights: Floats
    long_point: float
    short_point: float
    outside_gap: float = 0.0
    missing: float = 0.0
    image_of: EndCut | None = None

    @cached_property
    def shift(self) -> float:
        """How far the work point lies beyond the end of the centreline, mm along the axis."""
        return float((self.origin - self.at.point) @ self.at.axis)

    @property
    def square(self) -> bool:
        """Cut square all round: it is sawn, and needs no wrap."""
        return self.long_point - self.short_point < _LEVEL_MM

    @property
    def beyond(self) -> float:
        """How far the long point stands beyond the end of the centreline, mm."""
        return self.shift + self.long_point

    def points(self) -> Floats:
        """The line in space, (n, 3)."""
        flat = self.at.part.outline.at(self.round_mm)
        rise = (self.heights + self.shift)[:, None] * self.at.axis
        return np.asarray(self.at.spread(flat) + rise)


def height_at(cut: EndCut, round_mm: Floats) -> Floats:
    """Heights (n,) of a cut's line between its vertices, mm."""
    return np.interp(round_mm, cut.round_mm, cut.heights)


def line_apart(one: EndCut, other: EndCut) -> float:
    """Greatest difference of two cuts' lines in height, each from its own work point, mm."""
    return float(np.max(np.abs(height_at(one, other.round_mm) - other.heights)))


def flat_cut(
    at: PartEnd, through: Floats, normal: Floats, kind: Kind, onto: tuple[str, ...] = ()
) -> EndCut:
    """An end cut along a plane.

    Args:
        at: the end.
        through: a point of the plane (3,).
        normal: unit vector (3,) square to it.
        kind: what is asked for.
        onto: what it meets there.

    Raises:
        CopewrightError: for a plane along the tube.
    """
    speed = float(at.axis @ normal)
    if abs(speed) < math.sin(math.radians(0.5)):
        text = said(
            "{end} lies along the plane it is to be cut at; turn one of the two", end=at.where
        )
        raise CopewrightError(text)
    middle = float((through - at.point) @ normal) / speed
    origin = at.point + middle * at.axis
    slopes = np.array([at.datum @ normal, at.third @ normal]) / -speed

    def line(round_mm: Floats) -> Floats:
        return np.asarray(at.part.outline.at(round_mm) @ slopes + at.end.extra)

    angle = math.degrees(math.asin(min(abs(speed), 1.0)))
    if np.max(np.abs(slopes)) < 1e-12:
        places, extra = _even(at.part.outline), at.end.extra
        level = np.full(len(places), extra)
        return EndCut(at, kind, "filed", onto, 90.0, 0.0, origin, places, level, extra, extra)
    tops = _round_tops(at.part.outline, slopes, at.end.extra)
    return _measured(at, line, kind, "filed", onto, angle, 0.0, origin, tops)


def _round_tops(outline: Outline, slopes: Floats, extra: float) -> list[tuple[float, float]] | None:
    """The greatest and the least point of a plane's line round a round tube; None for another section."""
    if not isinstance(outline, RoundOutline):
        return None
    x, y = slopes.tolist()
    size, girth = math.hypot(x, y) * outline.radius, outline.girth
    place = math.atan2(y, x) * outline.radius % girth
    return [(place, extra + size), ((place + girth / 2) % girth, extra - size)]


@lru_cache(maxsize=32)
def _even(outline: Outline) -> Floats:
    """Where a level line has its vertices."""
    places, _ = sample_line(np.zeros_like, outline)
    places.flags.writeable = False
    return places


def _measured(
    at: PartEnd,
    line: Heights,
    kind: Kind,
    fit: Fit,
    onto: tuple[str, ...],
    angle_deg: float,
    offset: float,
    origin: Floats,
    tops: list[tuple[float, float]] | None = None,
) -> EndCut:
    """Sample the line, and put its true extremes, known or looked for, among the vertices."""
    outline = at.part.outline
    places, heights = sample_line(line, outline)
    for place, height in tops or _extremes(line, outline, places, heights):
        index = int(np.searchsorted(places, place))
        near = places[max(index - 1, 0) : index + 1]
        if np.min(np.abs(near - place)) > 1e-6:
            places, heights = np.insert(places, index, place), np.insert(heights, index, height)
    return EndCut(
        at, kind, fit, onto, angle_deg, offset, origin, places, heights,
        float(heights.max()), float(heights.min()),
    )  # fmt: skip


def _extremes(
    line: Heights, outline: Outline, places: Floats, heights: Floats
) -> list[tuple[float, float]]:
    """The greatest and the least point of a line, looked for between a vertex's neighbours."""
    signs = np.array([1.0, -1.0])
    best = np.array([np.argmax(heights), np.argmin(heights)])
    place, height = places[best], heights[best]
    low, high = places[np.maximum(best - 1, 0)], places[np.minimum(best + 1, len(places) - 1)]
    rows = np.arange(2)
    while np.max(high - low) > _NARROW * outline.girth:
        tries = low + (high - low) * np.linspace(0.0, 1.0, _TRIES)[:, None]
        values = signs * line(tries.ravel()).reshape(tries.shape)
        index = np.argmax(values, axis=0)
        top = values[index, rows]
        better = top > signs * height
        place = np.where(better, tries[index, rows], place)
        height = np.where(better, signs * top, height)
        vertex, told = _tops(tries, values)
        there = line(vertex)
        if np.max(np.abs(signs * there - told)) < _WON_MM:
            # A round top is as high as the curve through its neighbours says; a kink is not.
            higher = signs * (there - height) > 0
            place, height = np.where(higher, vertex, place), np.where(higher, there, height)
            break
        before, after = np.maximum(index - 1, 0), np.minimum(index + 1, _TRIES - 1)
        if np.max(top - np.minimum(values[before, rows], values[after, rows])) < _WON_MM:
            break
        low, high = tries[before, rows], tries[after, rows]
    return list(zip(place.tolist(), height.tolist(), strict=True))


def _tops(places: Floats, values: Floats) -> tuple[Floats, Floats]:
    """Place and height (m,) of the top of the curves through the greatest of even (n, m) values and four beside it.

    Through five values goes one polynomial of the fourth degree (Newton's forward differences, textbook); Newton's
    steps lead from the greatest to where it is level. Where that is nowhere, the height is infinite.
    """
    rows = np.arange(values.shape[1])
    best = np.clip(np.argmax(values, axis=0), 2, len(values) - 3)
    a, b, d, e = (values[best + step, rows] - values[best, rows] for step in (-2, -1, 1, 2))
    four = (a - 4 * b - 4 * d + e) / 24
    three, two = (2 * b - a - 2 * d + e) / 12, (16 * (b + d) - a - e) / 24
    one = (a - 8 * b + 8 * d - e) / 12
    off = np.zeros(len(rows))
    for _ in range(_NEWTON_STEPS):
        bow = (12 * four * off + 6 * three) * off + 2 * two
        slope = ((4 * four * off + 3 * three) * off + 2 * two) * off + one
        off = np.clip(off - slope / np.where(bow < 0, bow, -np.inf), -2.0, 2.0)
    height = values[best, rows] + (((four * off + three) * off + two) * off + one) * off
    # Level nowhere beside the greatest: it is at the edge of what is known, or on a kink.
    height[(np.abs(off) > 1.0) | (bow >= 0)] = np.inf
    return places[best, rows] + off * (places[1] - places[0])[rows], height


def _setting(at: PartEnd, main: Target) -> Settings:
    """How an end stands to its first target.

    Raises:
        CopewrightError: when the target runs along the tube.
    """
    seen = settings([at], [main])
    if seen.run_along[0]:
        text = said(
            "{end} runs along {target}, which it is to sit on; cut it square, or turn one of the two",
            end=at.where, target=main.name,
        )  # fmt: skip
        raise CopewrightError(text)
    return seen


def coped_cut(at: PartEnd, targets: Sequence[Target]) -> EndCut:
    """An end cut onto one part or several: each line of the tube stops where it first enters one.

    Args:
        at: the end.
        targets: what it sits on, the one that carries most of the turn first.

    Raises:
        CopewrightError: when the first target runs along the tube.
    """
    plain = plain_cut(at, targets[0]) if len(targets) == 1 else None
    if plain is not None and not stopped_before(
        plain, [piece for piece in targets[0].pieces if piece is not targets[0].straight]
    ):
        return plain
    seen = _setting(at, targets[0])
    onto = tuple(target.name for target in targets)
    angle_deg, offset = float(seen.angles_deg[0]), float(seen.offsets[0])
    slope = seen.joint_datums[0] / math.tan(math.radians(angle_deg))
    lines = EndLines(at, targets, float(seen.shifts[0]), slope)
    fit = at.end.fit

    def line(round_mm: Floats) -> Floats:
        return np.asarray(
            (lines.lowest if fit == "square-cut" else lines.outside)(round_mm) + at.end.extra
        )

    cut = _measured(at, line, "cope", fit, onto, angle_deg, offset, seen.origins[0])
    places = (np.arange(_OWNERS) + 0.5) * at.part.outline.girth / _OWNERS
    seats = what_is_met(at, targets, places)
    met = [name for number, name in enumerate(onto) if not number or number in seats.owner]
    gap = 0.0
    if fit == "square-cut":
        gap = float(np.max(lines.outside(cut.round_mm) - lines.lowest(cut.round_mm)))
    return replace(cut, onto=tuple(met), outside_gap=gap, missing=float(np.mean(~seats.on_side)))


def stopped_before(plain: EndCut, others: Sequence[Piece]) -> bool:
    """Whether another piece, such as the bend beside the target, stops one of the cut's lines first."""
    at = plain.at
    if not others:
        return False
    starts = at.spread(at.part.outline.at(plain.round_mm))
    stops = plain.heights + (plain.shift - at.end.extra - SAME_MM)
    return any(np.any(one.entries(starts, at.axis, -at.behind) < stops) for one in others)


# A cross tube between a pair has the same joint at both ends, and pairs have it twice.
_cope = lru_cache(maxsize=4096)(cope)


def forget_joints() -> None:
    """Drop the joints that are kept."""
    _cope.cache_clear()


def plain_cut(at: PartEnd, main: Target) -> EndCut | None:
    """The closed form for one straight round part that is long enough; None where it does not hold.

    Raises:
        CopewrightError: when the target runs along the tube.
    """
    section, end = at.part.section, at.end
    if main.straight is None or not isinstance(section, RoundTube):
        return None
    seen = _setting(at, main)
    joint_datum, way, origin = seen.joint_datums[0], seen.ways[0], seen.origins[0]
    angle_deg, offset = float(seen.angles_deg[0]), float(seen.offsets[0])
    if abs(offset) >= section.radius + main.straight.radius:
        return None
    joint = Joint(
        section,
        2 * (main.straight.radius - end.root_gap),
        min(angle_deg, 90.0),
        offset,
        end.fit,
        end.root_gap,
        end.extra,
    )
    cut = _cope(joint)
    turn = math.atan2(float(joint_datum @ at.third), float(joint_datum @ at.datum)) % math.tau
    foot = float((origin - main.nearest) @ way)
    low, high = main.limits if way @ main.tangent > 0 else (-main.limits[1], -main.limits[0])
    low, high = low - SAME_MM, high + SAME_MM
    if not _on_its_length(cut, math.radians(angle_deg), low - foot, high - foot):
        return None
    first = int(np.searchsorted(cut.phi, math.tau - turn))
    phi = np.concatenate((cut.phi[first:-1] + (turn - math.tau), cut.phi[:first] + turn))
    heights = np.concatenate((cut.line[first:-1], cut.line[:first]))
    if phi[0] > 1e-9:
        datum_height = float(cut.line_at(np.array([-turn % math.tau]))[0])
        phi, heights = np.append(0.0, phi), np.append(datum_height, heights)
    else:
        phi[0] = 0.0
    phi, heights = np.append(phi, math.tau), np.append(heights, heights[0])
    share = joint.surface.beside_share(section.radius)
    return EndCut(
        at, "cope", end.fit, (main.name,), angle_deg, offset, origin, phi * section.radius, heights,
        cut.long_point, cut.short_point, cut.outside_gap, share,
    )  # fmt: skip


def _on_its_length(cut: Cut, turn: float, low: float, high: float) -> bool:
    """Whether all of the line lies between two places along the target, mm from the work point's foot."""
    radius, sine, cosine = cut.tube.radius, math.sin(turn), math.cos(turn)
    least, most = ((h - cut.extra) * cosine for h in (cut.short_point, cut.long_point))
    if low <= least - radius * sine and most + radius * sine <= high:
        return True
    along = radius * sine * np.cos(cut.phi) + (cut.line - cut.extra) * cosine
    return bool(along.min() >= low and along.max() <= high)
