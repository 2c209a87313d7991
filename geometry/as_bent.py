"""A tube as it came from the bender: what it measures, the centreline that makes, and how it lies in the frame."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal, TypeAlias

import numpy as np

from geometry.arrays import Floats
from geometry.as_bent_place import laid
from geometry.bend import BendRow, bend_table, path_from_table
from geometry.errors import BadPath, CopewrightError, OutOfRange, check_range
from geometry.path import Path
from geometry.said import Said, said
from geometry.tolerances import MAX_COORDINATE_MM, MAX_SIZE_MM
from geometry.vectors import cross, length

Hold = Literal["all", "start", "finish"]
HOLDS: tuple[Hold, ...] = ("all", "start", "finish")
Measured: TypeAlias = tuple[float | None, ...]
"""What was measured, one by one; None where it was not."""

_MOST_SHARE, _MOST_TWIST_DEG = 0.3, 45.0
"""A tube whose bends are all off by more than this share, or turned by more, is not the tube that was drawn."""
_SOLVED_MM = 1e-6
_OTHER_HAND_MM = 10.0
_SPREAD_SHARE, _SPREAD_DEG = 1e-3, 0.1
"""Less is how a tape is read."""
_SAME = 1e-6
"""Degrees or mm: less is rounding."""


def _counted(figures: str, count: int) -> Said:
    """So many figures of a kind."""
    one, many = {
        "angles": (said("1 angle"), said("{count} angles", count=count)),
        "straights": (said("1 straight"), said("{count} straights", count=count)),
        "rotations": (said("1 rotation"), said("{count} rotations", count=count)),
        "radii": (said("1 radius"), said("{count} radii", count=count)),
    }[figures]
    return one if count == 1 else many


@dataclass(frozen=True)
class AsBent:
    """What a returned tube measures; what is left out is taken as drawn.

    A bar keeps its length and is bent at its marks: a straight between bends that was not measured takes up what the
    bend before it is shorter or longer along its centreline.

    Attributes:
        hand: of a handed tube, "left" or "right"; else "".
        angles: of the bends, degrees.
        straights: tangent to tangent, one more than there are bends, mm; the first and the last up to where the
            tube ends now.
        rotations: from one bend's plane to the next, degrees, in the bend table's sense; of the first bend, none.
        radii: of the bends to the centreline, mm.
        apart: from the middle of one end to that of the other, in a straight line, mm.
        height: of the middle of the finish end above that of the start, mm, when the first two straights lie level
            and bend 1, seen from above, turns to the left on the way from start to finish.
        hold: how it is laid where it belongs: "all" its points as near as can be, or its first straight and bend 1
            ("start"), or its last straight and last bend ("finish") where they are drawn.
        use: it is to be built in as it is: what is cut on it and onto it is cut to the real tube.
        beyond: how far the ends that ``apart`` and ``height`` were measured between stood beyond those of the path,
            mm; short of them negative; an end straight that was measured says it better.
    """

    hand: str = ""
    angles: Measured = ()
    straights: Measured = ()
    rotations: Measured = ()
    radii: Measured = ()
    apart: float | None = None
    height: float | None = None
    hold: Hold = "all"
    use: bool = False
    beyond: tuple[float, float] = (0.0, 0.0)

    def __post_init__(self) -> None:
        """Refuse what no tube measures."""
        if self.hold not in HOLDS:
            text = said(
                "as bent, hold is {hold}; allowed are {allowed}",
                hold=repr(self.hold), allowed=", ".join(HOLDS),
            )  # fmt: skip
            raise OutOfRange(text)
        for number, angle in enumerate(self.angles, 1):
            if angle is not None:
                what = said("as bent, angle of bend {number}", number=number)
                check_range(what, angle, 0.0, 180.0, unit="°", above=True, below=True)
        for number, straight in enumerate(self.straights, 1):
            if straight is not None:
                what = said("as bent, straight {number}", number=number)
                check_range(what, straight, 0.0, MAX_COORDINATE_MM)
        for number, rotation in enumerate(self.rotations, 1):
            if rotation is not None:
                what = said("as bent, rotation before bend {number}", number=number)
                check_range(what, rotation, -180.0, 180.0, unit="°")
        for number, radius in enumerate(self.radii, 1):
            if radius is not None:
                what = said("as bent, radius of bend {number}", number=number)
                check_range(what, radius, 0.0, MAX_SIZE_MM, above=True)
        for what, beyond in (
            (said("as bent, start beyond the path's"), self.beyond[0]),
            (said("as bent, finish beyond the path's"), self.beyond[1]),
        ):
            check_range(what, beyond, -MAX_COORDINATE_MM, MAX_COORDINATE_MM)
        if self.apart is not None:
            what = said("as bent, ends apart")
            check_range(what, self.apart, 0.0, MAX_COORDINATE_MM, above=True)
        if self.height is not None:
            what = said("as bent, height")
            check_range(what, self.height, -MAX_COORDINATE_MM, MAX_COORDINATE_MM)

    def check_bends(self, bends: int) -> None:
        """Refuse measurements of another tube.

        Raises:
            BadPath: naming what there is too much or too little of.
        """
        for name, values, count in (
            ("angles", self.angles, bends),
            ("straights", self.straights, bends + 1),
            ("rotations", self.rotations, bends),
            ("radii", self.radii, bends),
        ):
            if values and len(values) != count:
                text = said(
                    "as bent, it has {figures}; it needs {count}, some of them not measured if need be, or none at all",
                    figures=_counted(name, len(values)), count=count,
                )  # fmt: skip
                raise BadPath(text)
        if self.rotations and self.rotations[0] not in (None, 0.0):
            text = said(
                "as bent, the rotation before bend 1 is {angle}°; it is null or 0",
                angle=f"{self.rotations[0]:g}",
            )
            raise BadPath(text)


@dataclass(frozen=True, eq=False)
class Returned:
    """A returned tube, laid where it belongs.

    Attributes:
        asked: what was measured.
        nominal: the centreline as drawn.
        path: the real one, in the frame; its ends are left as far from the bends as they are drawn, for the cuts
            to say where the steel ends.
        rows: the real bend table.
        share: by which every bend that was not measured is off, for the ends to be as far apart as measured; 1
            is as drawn.
        twist_deg: by which every rotation that was not measured is off, for the height to be as measured.
        left_over: how far the ends' distance and the height are from what was measured, mm; more than little
            says that a measurement is wrong.
        steel: at the start and at the finish, how far the tube goes on beyond the path's end, mm; None where it
            was not measured.
    """

    asked: AsBent
    nominal: Path
    path: Path
    rows: tuple[BendRow, ...]
    share: float
    twist_deg: float
    left_over: tuple[float, float]
    steel: tuple[float | None, float | None]

    @property
    def off(self) -> Floats:
        """How far each of its points is from where it is drawn, ends included (n,), mm."""
        away = np.array(self.path.vertices) - np.array(self.nominal.vertices)
        return np.asarray(np.linalg.norm(away, axis=1))

    def told(self, what: str, number: int) -> bool:
        """Whether a figure was measured: the number of a bend, or of a straight, from 1."""
        values: Measured = getattr(self.asked, what)
        return bool(values) and values[number - 1] is not None

    @property
    def spread(self) -> bool:
        """The error of its ends is spread alike over what was not measured: which bend it is in is not known."""
        return abs(self.share - 1.0) > _SPREAD_SHARE or abs(self.twist_deg) > _SPREAD_DEG

    @property
    def longer(self) -> float:
        """By how much it is longer than drawn between where its first and its last bend begin, mm."""
        lengths = [
            sum(path.straights[1:-1]) + sum(row.arc for row in rows[:-1])
            for path, rows in ((self.path, self.rows), (self.nominal, bend_table(self.nominal)))
        ]
        return lengths[0] - lengths[1]


def ends_apart(came: Returned, beyond: tuple[float, float]) -> float:
    """How far the middles of the bar's ends are apart, mm.

    Args:
        came: the tube as it came.
        beyond: how far the bar went on beyond the path's start and its finish, mm.
    """
    asked = replace(came.asked, beyond=beyond)
    return _ends(_as_it_came(came.nominal, bend_table(came.nominal), came.rows, asked))[0]


def developed_length(came: Returned) -> float:
    """Along its centreline from one end of the steel to the other, as measured, mm."""
    drawn = bend_table(came.nominal)
    return _as_it_came(came.nominal, drawn, came.rows, came.asked).developed_length


@lru_cache(maxsize=256)
def returned(nominal: Path, asked: AsBent) -> Returned:
    """The real centreline, laid where it belongs.

    Args:
        nominal: as drawn, of the same hand as the tube that was measured.
        asked: what it measures.

    Raises:
        BadPath: for measurements that make no tube, or that are of another one.
    """
    if not nominal.radii:
        text = said("as bent, it is a straight tube; only a bent one is measured")
        raise BadPath(text)
    asked.check_bends(len(nominal.radii))
    drawn = bend_table(nominal)
    try:
        share, twist = _unmeasured(nominal, drawn, asked)
        rows = _rows(drawn, asked, share, twist)
        loose = path_from_table(rows, nominal.straights[-1])
    except BadPath as error:
        text = said("as bent, {error}", error=error.words)
        raise BadPath(text) from error
    apart, height = _ends(_as_it_came(nominal, drawn, rows, asked))
    left_over = (
        apart - asked.apart if asked.apart is not None else 0.0,
        height - asked.height if asked.height is not None else 0.0,
    )
    steel = tuple(
        asked.straights[end] - nominal.straights[end]  # type: ignore[operator]
        if asked.straights and asked.straights[end] is not None
        else None
        for end in (0, -1)
    )
    return Returned(
        asked, nominal, laid(loose, nominal, asked.hold, as_drawn=_same(drawn, rows)), rows, share, twist, left_over, (steel[0], steel[1])
    )  # fmt: skip


def looks_mirrored(nominal: Path, asked: AsBent) -> bool:
    """Whether what was measured is far from this tube, and near to its mirror image."""
    image = replace(
        asked,
        rotations=tuple(None if turn is None else _turned(-turn) for turn in asked.rotations),
        height=None if asked.height is None else -asked.height,
    )
    if image == asked:
        return False
    off = []
    for one in (asked, image):
        try:
            came = returned(nominal, one)
            off.append(float(came.off.max()) + max(map(abs, came.left_over)))
        except CopewrightError:
            off.append(math.inf)
    return off[0] > _OTHER_HAND_MM and off[1] < off[0] / 4


def _given(values: Measured, index: int, otherwise: float) -> float:
    value = values[index] if values else None
    return otherwise if value is None else value


def _rows(
    drawn: Sequence[BendRow], asked: AsBent, share: float, twist_deg: float
) -> tuple[BendRow, ...]:
    """The real bend table; its first straight as drawn."""
    rows: list[BendRow] = []
    for index, row in enumerate(drawn):
        length, rotation = row.length, 0.0
        if index:
            taken_up = drawn[index - 1].arc - rows[-1].arc
            length = _given(asked.straights, index, max(row.length + taken_up, 0.0))
            rotation = _given(asked.rotations, index, _turned(row.rotation_deg + twist_deg))
        angle = _given(asked.angles, index, row.angle_deg * share)
        rows.append(BendRow(length, rotation, angle, _given(asked.radii, index, row.clr)))
    return tuple(rows)


def _same(drawn: Sequence[BendRow], real: Sequence[BendRow]) -> bool:
    """Whether two tables are one, but for rounding."""
    return all(
        abs(getattr(one, name) - getattr(other, name)) < _SAME
        for one, other in zip(drawn, real, strict=True)
        for name in ("length", "rotation_deg", "angle_deg", "clr")
    )


def _turned(angle_deg: float) -> float:
    """The same turn in (-180, 180]."""
    turn = angle_deg % 360.0
    return turn - 360.0 if turn > 180.0 else turn


def _as_it_came(
    nominal: Path, drawn: Sequence[BendRow], rows: Sequence[BendRow], asked: AsBent
) -> Path:
    """The tube up to where its ends are now, somewhere in space."""
    begin, end = asked.beyond
    end += drawn[-1].arc - rows[-1].arc
    first = replace(rows[0], length=_given(asked.straights, 0, max(rows[0].length + begin, 0.0)))
    last = _given(asked.straights, -1, max(nominal.straights[-1] + end, 0.0))
    return path_from_table((first, *rows[1:]), last)


def finish_height(path: Path) -> float:
    """How high the middle of the finish end stands over that of the start, mm, the first two straights level.

    Bend 1 turns to the left then, seen from above on the way from start to finish.
    """
    way = np.array(path.vertices[-1]) - np.array(path.vertices[0])
    up = cross(path.directions[0], path.directions[1])
    return float(way @ up) / length(up)


def _ends(path: Path) -> tuple[float, float]:
    """How far apart the ends are, and how high the finish stands, mm."""
    return math.dist(path.vertices[0], path.vertices[-1]), finish_height(path)


def _unmeasured(nominal: Path, drawn: Sequence[BendRow], asked: AsBent) -> tuple[float, float]:
    """The share of the bends and the turn of the rotations, where they were not measured, that explain the ends."""
    bends = len(drawn)
    open_angles = sum(value is None for value in asked.angles or [None] * bends)
    open_turns = sum(value is None for value in (asked.rotations or [None] * bends)[1:])
    find_share = asked.apart is not None and open_angles > 0
    find_twist = asked.height is not None and open_turns > 0
    if asked.height is not None and bends == 1:
        text = said("a tube of one bend is flat; its height says nothing, leave it out")
        raise BadPath(text)
    if not (find_share or find_twist):
        return 1.0, 0.0

    def misses(unknown: Floats) -> Floats:
        share = 1.0 + float(unknown[0]) if find_share else 1.0
        twist = float(unknown[-1]) * 100.0 if find_twist else 0.0
        try:
            rows = _rows(drawn, asked, share, twist)
            apart, height = _ends(_as_it_came(nominal, drawn, rows, asked))
        except CopewrightError:
            return np.full(find_share + find_twist, 1e6)
        found = []
        if find_share:
            found.append(apart - (asked.apart or 0.0))
        if find_twist:
            found.append(height - (asked.height or 0.0))
        return np.array(found)

    from scipy.optimize import least_squares

    most = np.array([_MOST_SHARE] * find_share + [_MOST_TWIST_DEG / 100] * find_twist)
    solved = least_squares(
        misses, np.zeros(len(most)), bounds=(-most, most), xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
    if np.abs(solved.fun).max() > _SOLVED_MM:
        text = said(
            "no like error of all bends and rotations explains its ends; measure the bends' angles, and the rotations between "
            "them, one by one"
        )
        raise BadPath(text)
    share = 1.0 + float(solved.x[0]) if find_share else 1.0
    return share, float(solved.x[-1]) * 100.0 if find_twist else 0.0
