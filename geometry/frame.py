"""The frame as a person sets it out: stock, points, and tubes in fit-up order.

The order of the tubes is how they go into the jig: each one's ends are cut to fit the tubes above it in
the list. Everything here is a frozen value; an edit is a new frame.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from geometry.as_bent import AsBent
from geometry.bend_tool import BendTool
from geometry.errors import BadFrame, BadText, check_range
from geometry.joint import FITS, Fit
from geometry.made import Made
from geometry.material import Material, material
from geometry.names import (
    check_unique,
    not_there,
    parse_name,
    part_name,
    point_words,
    stock_words,
    tool_words,
    tube_words,
)
from geometry.path import Point
from geometry.place import Along, At, MirrorOf, OffsetFrom, Place, Swung
from geometry.said import Said, listed, put_together, said
from geometry.section import Section
from geometry.title import BLANK_TITLE, TitleFacts
from geometry.tolerances import MAX_COORDINATE_MM, MAX_SIZE_MM

EndCut = Literal["cope", "square", "mitre", "plane"]
MitreWay = Literal["both", "past", "butt"]
END_CUTS: tuple[EndCut, ...] = ("cope", "square", "mitre", "plane")
MITRE_WAYS: tuple[MitreWay, ...] = ("both", "past", "butt")
Units = Literal["mm", "in"]
UNITS: tuple[Units, ...] = ("mm", "in")
END_NAMES = ("start", "finish")
END_WORDS: dict[str, Said] = {"start": said("start"), "finish": said("finish")}
HANDS = ("left", "right")
HAND_WORDS: dict[str, Said] = {"left": said("left"), "right": said("right")}
Step = Literal["cut", "fitted", "tacked", "welded"]
STEPS: tuple[Step, ...] = ("cut", "fitted", "tacked", "welded")


@dataclass(frozen=True)
class Stock:
    """A kind of tube, as it is bought.

    Attributes:
        section: round or box.
        material: its name, one of ``geometry.material.MATERIALS``.
        bar_length: as sold, mm.
    """

    section: Section
    material: str = "E235"
    bar_length: float = 6000.0

    def __post_init__(self) -> None:
        """Refuse what cannot be bought."""
        material(self.material)
        check_range(said("bar length"), self.bar_length, 1.0, MAX_COORDINATE_MM)

    @property
    def steel(self) -> Material:
        """The material with its values."""
        return material(self.material)


@dataclass(frozen=True)
class Plane:
    """A plate or the floor that an end stands on.

    Attributes:
        through: a point of the plane: coordinates, or a point's name.
        normal: square to it, of any length but 0.
    """

    through: Point | str = (0.0, 0.0, 0.0)
    normal: Point = (0.0, 0.0, 1.0)

    def __post_init__(self) -> None:
        """Refuse a plane that faces nowhere."""
        for name, value in zip("xyz", self.normal, strict=True):
            check_range(said("normal {axis}", axis=name), value, -1e6, 1e6, unit="")
        if max(abs(value) for value in self.normal) < 1e-9:
            text = said(
                "the plane's normal is 0; give a direction, such as [0, 0, 1] for the floor"
            )
            raise BadFrame(text)


@dataclass(frozen=True)
class End:
    """How one end of a tube is cut.

    Attributes:
        cut: "cope" (onto the tubes above it in the list), "square", "mitre" (with another tube's end at the
            same point) or "plane".
        fit: of a cope, as in ``geometry.joint``.
        onto: the tubes that a cope sits on; empty for whatever it meets.
        root_gap: gap to leave for the weld, mm.
        extra: length left on, mm.
        other: the tube that a mitre is with.
        way: of a mitre: "both" on the bisecting plane, or this one runs "past", or it "butts" the other.
        plane: of a plane cut.
    """

    cut: EndCut = "cope"
    fit: Fit = "filed"
    onto: tuple[str, ...] = ()
    root_gap: float = 0.0
    extra: float = 0.0
    other: str = ""
    way: MitreWay = "both"
    plane: Plane | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be cut."""
        for word, value, allowed in (
            ("cut", self.cut, END_CUTS),
            ("fit", self.fit, FITS),
            ("way", self.way, MITRE_WAYS),
        ):
            if value not in allowed:
                text = said(
                    "{word} is {value}; allowed are {allowed}",
                    word=word, value=repr(value), allowed=", ".join(allowed),
                )  # fmt: skip
                raise BadFrame(text)
        check_range(said("root gap"), self.root_gap, 0.0, 20.0)
        check_range(said("extra length"), self.extra, 0.0, MAX_SIZE_MM)
        if (self.cut == "mitre") != bool(self.other):
            text = said('a mitre says the tube it is "with", and no other cut does')
            raise BadFrame(text)
        if (self.cut == "plane") != (self.plane is not None):
            text = said('a plane cut says its "plane", and no other cut does')
            raise BadFrame(text)
        if self.onto and self.cut != "cope":
            text = said('only a cope sits "onto" tubes; this end is cut {cut}', cut=self.cut)
            raise BadFrame(text)


@dataclass(frozen=True)
class Tube:
    """One tube, or a pair of opposite hands.

    Attributes:
        name: unique in the frame, whatever its case.
        stock: name of its stock.
        path: names of its points, from its start to its finish.
        radii: one centreline radius for each inner point, mm.
        ends: at its start and at its finish.
        handed: the opposite hand is made too, by y -> -y.
        roll_deg: a box section's turn about its axis from start to finish, right-handed.
        trim: of a bent tube, left on for the bender beyond the long points of its start and finish, mm.
        as_bent: what it measures as it came from the bender; of a handed tube, each hand.
    """

    name: str
    stock: str
    path: tuple[str, ...]
    radii: tuple[float, ...] = ()
    ends: tuple[End, End] = (End(), End())
    handed: bool = False
    roll_deg: float = 0.0
    trim: tuple[float, float] = (0.0, 0.0)
    as_bent: tuple[AsBent, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what is no tube."""
        tube = tube_words(self.name)
        if len(self.path) < 2:
            text = (
                said("{tube} has 1 point; it needs at least 2", tube=tube)
                if self.path
                else said("{tube} has 0 points; it needs at least 2", tube=tube)
            )
            raise BadFrame(text)
        if len(self.radii) != len(self.path) - 2:
            text = said(
                "{tube} has {points} inner points and {radii} radii; it needs one radius for each",
                tube=tube, points=len(self.path) - 2, radii=len(self.radii),
            )  # fmt: skip
            raise BadFrame(text)
        for number, radius in enumerate(self.radii, 1):
            what = said("{tube}, bend {number} radius", tube=tube, number=number)
            check_range(what, radius, 0.0, MAX_SIZE_MM, above=True)
        check_range(said("{tube}, roll", tube=tube), self.roll_deg, -360.0, 360.0, unit="°")
        start, finish = self.trim
        check_range(said("{tube}, trim at the start", tube=tube), start, 0.0, MAX_SIZE_MM)
        check_range(said("{tube}, trim at the finish", tube=tube), finish, 0.0, MAX_SIZE_MM)
        if any(self.trim) and not self.radii:
            text = said("{tube} has trim for the bender and no bend; take it out", tube=tube)
            raise BadFrame(text)
        self._check_hands(tube)

    def _check_hands(self, tube: Said) -> None:
        hands = [one.hand for one in self.as_bent]
        own = HANDS if self.handed else ("",)
        for hand in hands:
            if hand in own and hands.count(hand) == 1:
                continue
            allowed = (
                said("a handed tube has left and right, once each")
                if self.handed
                else said("a tube that is not handed has one, without a hand")
            )
            parts = {"tube": tube, "hand": repr(hand), "allowed": allowed}
            text = (
                said("{tube}, as bent, hand {hand} is there twice; {allowed}", **parts)
                if hand in own
                else said("{tube}, as bent, hand {hand} is not one of its own; {allowed}", **parts)
            )
            raise BadFrame(text)


@dataclass(frozen=True)
class Frame:
    """A whole frame.

    Attributes:
        name: of the frame.
        stock: by name.
        points: by name, in the order they were entered.
        tubes: in fit-up order.
        units: what the person reads and types; all values are mm.
        tools: the bending tools at hand, by name.
        least_wall: least wall that is wanted outside a bend, mm; 0 for any.
        drawing: what its bend drawings say of themselves.
        progress: how far each part is made, by the part's name; of one that is not there, nothing is done yet.
        made: what those parts were when they were marked, where that is known.

    Raises:
        BadFrame: when a name stands twice, or something is named that is not there.
    """

    name: str = "frame"
    stock: Mapping[str, Stock] = field(default_factory=dict)
    points: Mapping[str, Place] = field(default_factory=dict)
    tubes: tuple[Tube, ...] = ()
    units: Units = "mm"
    tools: Mapping[str, BendTool] = field(default_factory=dict)
    least_wall: float = 0.0
    drawing: TitleFacts = BLANK_TITLE
    progress: Mapping[str, Step] = field(default_factory=dict)
    made: Mapping[str, Made] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse what does not hang together."""
        if self.units not in UNITS:
            text = said(
                "units are {units}; allowed are {allowed}",
                units=repr(self.units),
                allowed=listed(UNITS),
            )
            raise BadFrame(text)
        check_range(said("least wall"), self.least_wall, 0.0, MAX_SIZE_MM)
        for kind in ("stock", "points", "tools", "progress", "made"):
            object.__setattr__(self, kind, MappingProxyType(dict(getattr(self, kind))))
        parse_name(self.name, said("the frame's name"))
        check_unique(stock_words, said("the name of a stock"), self.stock)
        check_unique(point_words, said("the name of a point"), self.points)
        check_unique(tool_words, said("the name of a bending tool"), self.tools)
        whose = said("the name of a tube")
        check_unique(tube_words, whose, (tube.name for tube in self.tubes))
        hands = [name for tube in self.tubes if tube.handed for name in made_names(tube)]
        single = [tube.name for tube in self.tubes if not tube.handed]
        check_unique(tube_words, whose, [*single, *hands])
        for name, place in self.points.items():
            self._check_place(name, place)
        above: set[str] = set()
        for tube in self.tubes:
            self._check_tube(tube, above)
            above |= part_names(tube)
        made = frozenset(name for tube in self.tubes for name in made_names(tube))
        for name, step in self.progress.items():
            if name not in made:
                part = said("part {name}", name=repr(name))
                none = said("there is no part yet")
                raise not_there(said("progress"), part, sorted(made), none)
            if step not in STEPS:
                text = said(
                    "progress of {part} is {step}; allowed are {allowed}",
                    part=repr(name), step=repr(step), allowed=", ".join(STEPS),
                )  # fmt: skip
                raise BadFrame(text)
        for name in self.made:
            if name not in self.progress:
                part = said("part that is marked {name}", name=repr(name))
                none = said("there is no part that is marked yet")
                raise not_there(said("made"), part, sorted(self.progress), none)

    def __hash__(self) -> int:
        """By value, as it is compared."""
        named = (self.stock, self.points, self.tools, self.progress, self.made)
        names = (tuple(one.items()) for one in named)
        return hash((self.name, *names, self.tubes, self.units, self.least_wall, self.drawing))

    def tube(self, name: str) -> Tube:
        """The tube of that name.

        Raises:
            BadFrame: where there is none.
        """
        for tube in self.tubes:
            if tube.name == name:
                return tube
        text = said("there is no {what}", what=tube_words(name))
        raise BadFrame(text)

    def _check_place(self, name: str, place: Place) -> None:
        match place:
            case OffsetFrom(base=base) | Swung(base=base) | MirrorOf(base=base):
                if base not in self.points:
                    raise self._no_point(point_words(name), base)
            case Along(tube=tube):
                every = [tube.name for tube in self.tubes]
                if tube not in every:
                    raise _no_tube(point_words(name), tube, every)
            case At():
                pass

    def _check_tube(self, tube: Tube, above: set[str]) -> None:
        if tube.stock not in self.stock:
            none = said("there is no stock yet")
            raise not_there(tube_words(tube.name), stock_words(tube.stock), self.stock, none)
        for point in tube.path:
            if point not in self.points:
                raise self._no_point(tube_words(tube.name), point)
        every = [one.name for one in self.tubes]
        for name, end in zip(END_NAMES, tube.ends, strict=True):
            for target in end.onto:
                if target in above:
                    continue
                at = end_words(tube.name, name)
                if any(target in part_names(one) for one in self.tubes):
                    text = said(
                        "{at} sits onto {target}, which is not above it in the list; move one of the two, for a tube is cut "
                        "to those that are in the jig before it",
                        at=at, target=repr(target),
                    )  # fmt: skip
                    raise BadFrame(text)
                raise _no_tube(at, target, sorted(above))
            if end.other and end.other not in every:
                raise _no_tube(end_words(tube.name, name), end.other, every)
            if end.other == tube.name:
                at = end_words(tube.name, name)
                text = said("{at} is mitred with itself; name another tube", at=at)
                raise BadFrame(text)
            through = end.plane.through if end.plane is not None else None
            if isinstance(through, str) and through not in self.points:
                raise self._no_point(end_words(tube.name, name), through)

    def _no_point(self, where: str, point: str) -> BadText:
        none = said("there is no point yet")
        return not_there(where, point_words(point), self.points, none)


def _no_tube(where: str, tube: str, known: list[str]) -> BadText:
    return not_there(where, tube_words(tube), known, said("there is no tube yet"))


def end_words(tube: str, end: str) -> Said:
    """An end of a tube, as a sentence about what was entered calls it."""
    return put_together(", ", (tube_words(tube), END_WORDS[end]))


def part_names(tube: Tube) -> set[str]:
    """What another tube may call it: its name, and of a handed one each hand's."""
    return {tube.name, *made_names(tube)}


def made_names(tube: Tube) -> tuple[str, ...]:
    """The names of the parts that are made of a tube: its own, or each hand's."""
    return tuple(part_name(tube.name, hand) for hand in HANDS) if tube.handed else (tube.name,)


def names_of(frame: Frame) -> list[str]:
    """All names that the person gave to what is in a frame, and those of the parts."""
    tubes = [name for tube in frame.tubes for name in (tube.name, *made_names(tube))]
    return [*tubes, *frame.points, *frame.stock, *frame.tools]


def hand_of(tube: Tube, part: str) -> str:
    """Which hand of a tube a part of it is: "left", "right", or "" where it has none."""
    return next((hand for hand in HANDS if tube.handed and part == part_name(tube.name, hand)), "")
