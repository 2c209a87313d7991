"""Changes to a frame: each takes one and gives a new one, or says in one sentence why it cannot be."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from geometry.bend_tool import BendTool
from geometry.errors import BadFrame, BadText
from geometry.frame import HANDS, End, Frame, Plane, Step, Stock, Tube, Units, made_names
from geometry.made import Made
from geometry.names import part_name, point_words, stock_words, tool_words, tube_words
from geometry.path import Point
from geometry.place import Along, MirrorOf, OffsetFrom, Place, Swung
from geometry.said import Said, put_together, said
from geometry.section import Section

_Named = TypeVar("_Named")
_STEM = 40
"""So much of a point's name is in its copy's, which may not be longer than 80."""
_BAR_FEET_MM = 20 * 304.8
_USERS = 4
"""So many of those that need a thing are named."""


def new_stock(section: Section, units: Units, material: str = "") -> Stock:
    """A stock in the bars that it is usually sold in: 6 m, or 20 ft for who reads inches (common practice, no source)."""
    stock = Stock(section, material) if material else Stock(section)
    return replace(stock, bar_length=_BAR_FEET_MM) if units == "in" else stock


def put_stock(frame: Frame, name: str, stock: Stock) -> Frame:
    """Add a stock, or put it in the place of the one of its name."""
    return replace(frame, stock={**frame.stock, name: stock})


def put_point(frame: Frame, name: str, place: Place) -> Frame:
    """Add a point, or set the one of its name out anew."""
    return replace(frame, points={**frame.points, name: place})


def put_tube(frame: Frame, tube: Tube, at: int | None = None) -> Frame:
    """Add a tube, or put it in the place of the one of its name.

    Args:
        frame: to be changed.
        tube: the new one.
        at: its place in the fit-up order, from 0; the end of it, or where the one of its name is, if None.
    """
    if any(one.name == tube.name for one in frame.tubes):
        tubes = tuple(tube if one.name == tube.name else one for one in frame.tubes)
        return _with_tubes(frame, tubes)
    place = len(frame.tubes) if at is None else at
    return replace(frame, tubes=(*frame.tubes[:place], tube, *frame.tubes[place:]))


def move_tube(frame: Frame, name: str, to: int) -> Frame:
    """Put a tube elsewhere in the fit-up order, counted from 0.

    Raises:
        BadFrame: when it, or one that names it, would sit onto a tube that goes into the jig later.
    """
    tube = frame.tube(name)
    others = [one for one in frame.tubes if one.name != name]
    others.insert(min(max(to, 0), len(others)), tube)
    return replace(frame, tubes=tuple(others))


def remove_stock(frame: Frame, name: str) -> Frame:
    """Take a stock out.

    Raises:
        BadFrame: when a tube is made of it.
    """
    users = [tube_words(tube.name) for tube in frame.tubes if tube.stock == name]
    _refuse_used(stock_words(name), users)
    return replace(frame, stock=_without(frame.stock, name, stock_words))


def remove_point(frame: Frame, name: str) -> Frame:
    """Take a point out.

    Raises:
        BadFrame: when a tube, a plane or another point hangs on it.
    """
    _refuse_used(point_words(name), point_users(frame, name))
    return replace(frame, points=_without(frame.points, name, point_words))


def remove_points(frame: Frame, names: Iterable[str]) -> Frame:
    """Take points out together, of which one may hang on another.

    Raises:
        BadFrame: when anything else hangs on one of them.
    """
    left = list(names)
    while left:
        name = next((one for one in left if not point_users(frame, one)), left[0])
        frame = remove_point(frame, name)
        left.remove(name)
    return frame


def remove_tube(frame: Frame, name: str) -> Frame:
    """Take a tube out; its points stay.

    Raises:
        BadFrame: when an end sits on it or is mitred with it, or a point is on it.
    """
    _refuse_used(tube_words(name), tube_users(frame, name))
    frame.tube(name)
    return _with_tubes(frame, tuple(one for one in frame.tubes if one.name != name))


def put_tool(frame: Frame, name: str, tool: BendTool) -> Frame:
    """Add a bending tool, or put it in the place of the one of its name."""
    return replace(frame, tools={**frame.tools, name: tool})


def remove_tool(frame: Frame, name: str) -> Frame:
    """Take a bending tool out; the bends take another, or none."""
    return replace(frame, tools=_without(frame.tools, name, tool_words))


def rename_tool(frame: Frame, old: str, new: str) -> Frame:
    """Give a bending tool another name."""
    return replace(frame, tools=_renamed(frame.tools, old, new, tool_words))


def point_users(frame: Frame, name: str) -> list[Said]:
    """What hangs on a point, in words."""
    users = [tube_words(tube.name) for tube in frame.tubes if name in tube.path]
    users += [
        said("the plane of tube {name}", name=repr(tube.name))
        for tube in frame.tubes
        for end in tube.ends
        if end.plane is not None and end.plane.through == name
    ]
    return users + [
        point_words(other) for other, place in frame.points.items() if _base_of(place) == name
    ]


def followers(frame: Frame, name: str) -> tuple[frozenset[str], frozenset[str]]:
    """The points that go along when a point moves, and the parts that do, by name; the point itself left out."""
    points, tubes = {name}, set[str]()
    while True:
        new = {
            other
            for other, place in frame.points.items()
            if _base_of(place) in points or (isinstance(place, Along) and place.tube in tubes)
        } - points
        through = {tube.name for tube in frame.tubes if points & set(tube.path)} - tubes
        if not new and not through:
            break
        points |= new
        tubes |= through
    parts = {part for tube in frame.tubes if tube.name in tubes for part in made_names(tube)}
    return frozenset(points - {name}), frozenset(parts)


def tube_users(frame: Frame, name: str) -> list[Said]:
    """What hangs on a tube, in words."""
    names = {name, *(part_name(name, hand) for hand in HANDS)}
    users = [
        tube_words(tube.name)
        for tube in frame.tubes
        if tube.name != name
        and any(names & set(end.onto) or end.other == name for end in tube.ends)
    ]
    return users + [
        point_words(point)
        for point, place in frame.points.items()
        if isinstance(place, Along) and place.tube == name
    ]


def rename_frame(frame: Frame, new: str) -> Frame:
    """Give the frame another name."""
    return replace(frame, name=new)


def rename_stock(frame: Frame, old: str, new: str) -> Frame:
    """Give a stock another name, wherever it stands."""
    tubes = tuple(replace(t, stock=new) if t.stock == old else t for t in frame.tubes)
    return replace(frame, stock=_renamed(frame.stock, old, new, stock_words), tubes=tubes)


def rename_point(frame: Frame, old: str, new: str) -> Frame:
    """Give a point another name, wherever it stands."""

    def end(one: End) -> End:
        if one.plane is None or one.plane.through != old:
            return one
        return replace(one, plane=Plane(new, one.plane.normal))

    def place(one: Place) -> Place:
        match one:
            case OffsetFrom(base=base) | Swung(base=base) | MirrorOf(base=base) if base == old:
                return replace(one, base=new)
        return one

    points = _renamed(frame.points, old, new, point_words)
    tubes = tuple(
        replace(
            tube,
            path=tuple(new if name == old else name for name in tube.path),
            ends=_each_end(tube, end),
        )
        for tube in frame.tubes
    )
    return replace(frame, points={name: place(one) for name, one in points.items()}, tubes=tubes)


def rename_tube(frame: Frame, old: str, new: str) -> Frame:
    """Give a tube another name, wherever it stands; its hands follow."""
    names = {old: new}
    if frame.tube(old).handed:
        names |= {part_name(old, hand): part_name(new, hand) for hand in HANDS}

    def end(one: End) -> End:
        onto = tuple(names.get(target, target) for target in one.onto)
        return replace(one, onto=onto, other=names.get(one.other, one.other))

    points = {
        name: replace(place, tube=new) if isinstance(place, Along) and place.tube == old else place
        for name, place in frame.points.items()
    }
    tubes = tuple(
        replace(tube, name=new if tube.name == old else tube.name, ends=_each_end(tube, end))
        for tube in frame.tubes
    )
    progress = {names.get(part, part): step for part, step in frame.progress.items()}
    made = {names.get(part, part): one for part, one in frame.made.items()}
    return replace(frame, points=points, tubes=tubes, progress=progress, made=made)


def copy_tube(frame: Frame, name: str, new: str, step: Point) -> Frame:
    """A tube once more under another name, next to it in the order; it came from no bender.

    Args:
        frame: to be added to.
        name: of the tube.
        new: of the copy.
        step: how far from the tube's own points the copy's hang, mm.
    """
    tube = frame.tube(name)
    place = frame.tubes.index(tube) + 1
    if any(one.name == new for one in frame.tubes):
        text = said("there is a tube {name} already; give the copy another name", name=repr(new))
        raise BadFrame(text)
    path = []
    for point in tube.path:
        own = free_name(f"{point[:_STEM]} of {new[: _STEM // 2]}", frame.points)
        frame = put_point(frame, own, OffsetFrom(point, step))
        path.append(own)

    def end(one: End) -> End:
        # There it meets other tubes, and its partner in a mitre is elsewhere.
        return End("square") if one.cut == "mitre" else replace(one, onto=())

    copy = replace(tube, name=new, path=tuple(path), ends=_each_end(tube, end), as_bent=())
    return put_tube(frame, copy, place)


def free_name(name: str, taken: Iterable[str]) -> str:
    """The name, or with the first number that makes it one of its own."""
    there = {one.casefold() for one in taken}
    if name.casefold() not in there:
        return name
    number = 2
    while f"{name} {number}".casefold() in there:
        number += 1
    return f"{name} {number}"


def _each_end(tube: Tube, change: Callable[[End], End]) -> tuple[End, End]:
    start, finish = tube.ends
    return change(start), change(finish)


def _with_tubes(frame: Frame, tubes: tuple[Tube, ...]) -> Frame:
    """The frame with these tubes; what is marked as made of parts that are gone goes with them."""
    progress, made = made_of_tubes(frame, tubes)
    return replace(frame, tubes=tubes, progress=progress, made=made)


def made_of_tubes(frame: Frame, tubes: tuple[Tube, ...]) -> tuple[dict[str, Step], dict[str, Made]]:
    """What a frame says of the parts that some tubes make: how far they are made, and what they were then."""
    parts = {name for tube in tubes for name in made_names(tube)}
    return (
        {name: step for name, step in frame.progress.items() if name in parts},
        {name: one for name, one in frame.made.items() if name in parts},
    )


def _base_of(place: Place) -> str | None:
    match place:
        case OffsetFrom(base=base) | Swung(base=base) | MirrorOf(base=base):
            return base
    return None


def _refuse_used(what: Said, users: list[Said]) -> None:
    if not users:
        return
    parts = {"what": what, "users": put_together(", ", users[:_USERS])}
    more = len(users) - _USERS
    if len(users) == 1:
        text = said("{what} cannot be taken out: {users} needs it", **parts)
    elif more <= 0:
        text = said("{what} cannot be taken out: {users} need it", **parts)
    else:
        text = said(
            "{what} cannot be taken out: {users} and {more} more need it", **parts, more=more
        )
    raise BadFrame(text)


def _without(
    named: Mapping[str, _Named], name: str, words: Callable[[str], Said]
) -> dict[str, _Named]:
    _there(named, name, words)
    return {one: value for one, value in named.items() if one != name}


def _renamed(
    named: Mapping[str, _Named], old: str, new: str, words: Callable[[str], Said]
) -> dict[str, _Named]:
    """The same with one name changed, in the same order."""
    _there(named, old, words)
    if new in named and new != old:
        text = said("there is a {what} already; give another name", what=words(new))
        raise BadFrame(text)
    return {new if name == old else name: value for name, value in named.items()}


def _there(named: Mapping[str, object], name: str, words: Callable[[str], Said]) -> None:
    if name not in named:
        text = said("there is no {what}", what=words(name))
        raise BadText(text)
