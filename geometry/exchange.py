"""A joint or a bent tube on its own, put into a frame; and an end or a tube of a frame, taken out on its own."""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import replace

import numpy as np

from geometry.arrays import Floats
from geometry.edits import free_name, new_stock, put_point, put_stock, put_tube
from geometry.end_cut import EndCut
from geometry.errors import BadFrame, CopewrightError
from geometry.fitup import FittedPart
from geometry.frame import End, Frame, Tube
from geometry.joint import Joint
from geometry.lengths import bare
from geometry.path import Path, Point
from geometry.place import Along, At, OffsetFrom
from geometry.places import Places
from geometry.point_moves import change_points, moved_by
from geometry.proposals import add_tube
from geometry.said import each_and, said
from geometry.section import RoundTube, Section
from geometry.vectors import cross, length

_LONG_DIAMETERS = 10.0
_SAME_OD_MM = 0.01
_SAME_MM = 1e-9
_SAME_PLACE_MM = 1.0
_STEM = 60
"""So much of a tube's name is in those of its points, which may not be longer than 80."""


def seats(frame: Frame, joint: Joint) -> list[str]:
    """The straight round tubes of a frame that are as thick as a joint's target, by name."""
    found = []
    for tube in frame.tubes:
        section = frame.stock[tube.stock].section
        thick = isinstance(section, RoundTube) and abs(section.od - joint.target_od) < _SAME_OD_MM
        if thick and not tube.radii:
            found.append(tube.name)
    return found


def joint_into(frame: Frame, name: str, joint: Joint, onto: str = "") -> tuple[Frame, str]:
    """A frame with a joint's tube added last, its finish cut as the joint is.

    Args:
        frame: to be added to.
        name: what the tube is to be called.
        joint: as it was measured.
        onto: the straight tube that it sits on, at its middle, leaning towards its finish; "" for a new one along x
            through the origin.

    Returns:
        The frame, and the tube's name in it.

    Raises:
        BadFrame: when it does not go in.
    """
    name = free_name(name, [tube.name for tube in frame.tubes])
    if not onto:
        frame, onto = _with_target(frame, name, joint)
    places = Places(frame)
    start, end = (np.array(places.point(point)) for point in frame.tube(onto).path)
    along = (end - start) / length(end - start)
    up = _upright(along)
    aside = cross(up, along)
    # In the joint the target runs along (sin a, 0, cos a), the tube's axis along z; + offset is towards -y.
    angle = math.radians(joint.angle_deg)
    axis = math.cos(angle) * along - math.sin(angle) * up
    reach = max(_LONG_DIAMETERS * joint.tube.od, 3.0 * joint.target_od / math.sin(angle))
    foot = free_name(f"{name[:_STEM]} foot", frame.points)
    if joint.offset:
        middle = free_name(f"{name[:_STEM]} middle", frame.points)
        frame = put_point(frame, middle, Along(onto, share=0.5))
        frame = put_point(frame, foot, OffsetFrom(middle, _clean(joint.offset * aside)))
    else:
        frame = put_point(frame, foot, Along(onto, share=0.5))
    far = free_name(f"{name[:_STEM]} end", frame.points)
    frame = put_point(frame, far, OffsetFrom(foot, _clean(-reach * axis)))
    frame, stock = with_section(frame, joint.tube)
    cut = End("cope", joint.fit, (), joint.root_gap, joint.extra)
    return put_tube(frame, Tube(name, stock, (far, foot), (), (End("square"), cut))), name


def _with_target(frame: Frame, name: str, joint: Joint) -> tuple[Frame, str]:
    """The frame with a new tube for a joint to sit on; how thick its wall is the joint does not say, the stock may."""
    thick = (
        one.section
        for one in frame.stock.values()
        if isinstance(one.section, RoundTube)
        and abs(one.section.od - joint.target_od) < _SAME_OD_MM
    )
    wall = min(joint.tube.wall, joint.target_od / 3)
    frame, stock = with_section(frame, next(thick, RoundTube(joint.target_od, wall)))
    onto = free_name(f"under {name[:_STEM]}", [tube.name for tube in frame.tubes])
    half = (
        _LONG_DIAMETERS
        / 2
        * max(joint.target_od, joint.tube.od / math.sin(math.radians(joint.angle_deg)))
    )
    path = []
    for end, x in (("rear", -half), ("front", half)):
        point = free_name(f"{onto} {end}", frame.points)
        frame = put_point(frame, point, At(round(x, 3), 0.0, 0.0))
        path.append(point)
    square = End("square")
    return put_tube(frame, Tube(onto, stock, (path[0], path[1]), (), (square, square))), onto


def _upright(along: Floats) -> Floats:
    """Square to a way, as far up as can be; forward where that is up itself."""
    up = np.array([0.0, 0.0, 1.0]) if abs(along[2]) < 0.999 else np.array([1.0, 0.0, 0.0])
    across = up - (up @ along) * along
    return np.asarray(across / length(across))


def _alike(one: Section, other: Section) -> bool:
    """The same tube to buy: 16swg is 1.6256 mm, and read off as 1.626."""
    a, b = (
        (s.od, s.wall) if isinstance(s, RoundTube) else (s.width, s.height, s.wall)
        for s in (one, other)
    )
    return len(a) == len(b) and all(abs(x - y) < _SAME_OD_MM for x, y in zip(a, b, strict=True))


def with_section(frame: Frame, section: Section, material: str = "") -> tuple[Frame, str]:
    """A frame that has a stock of a section, and that stock's name.

    Args:
        frame: to be looked through, and added to where there is none.
        section: as it is asked for.
        material: its steel; "" for any.
    """
    for name, stock in frame.stock.items():
        if _alike(stock.section, section) and material in ("", stock.material):
            return frame, name
    assert isinstance(section, RoundTube)  # noqa: S101 - what the pages of one part have
    size = bare(section.od, section.wall, places=3)
    sizes = f"{size.inches} in" if frame.units == "in" else size.replace(" ", "")
    name = free_name(sizes, frame.stock)
    return put_stock(frame, name, new_stock(section, frame.units, material)), name


def joint_of(cut: EndCut, parts: tuple[FittedPart, ...]) -> Joint:
    """An end of a frame as a joint on its own.

    Raises:
        BadFrame: where it is none: not coped, on several tubes, or on one that is not straight and round.
    """
    where = cut.at.where
    section = cut.at.part.section
    target = next((one.part for one in parts if cut.onto and one.part.name == cut.onto[0]), None)
    if cut.kind != "cope" or target is None or not isinstance(section, RoundTube):
        text = said("{end} is no cope of a round tube, so it is no joint on its own", end=where)
        raise BadFrame(text)
    if len(cut.onto) > 1:
        text = said(
            "{end} sits on {targets}; a joint on its own is with one tube", end=where, targets=each_and(cut.onto)
        )  # fmt: skip
        raise BadFrame(text)
    if not isinstance(target.section, RoundTube) or target.path.radii:
        text = said(
            "{end} sits on {target}, which is not straight and round; a joint on its own needs that",
            end=where, target=target.name,
        )  # fmt: skip
        raise BadFrame(text)
    end = cut.at.end
    return Joint(
        section, target.section.od, cut.angle_deg, cut.offset, cut.fit, end.root_gap, end.extra
    )


def bend_into(
    frame: Frame,
    name: str,
    section: RoundTube,
    path: Path,
    material: str = "",
    trim: tuple[float, float] = (0.0, 0.0),
) -> Frame:
    """A frame with a bent tube; the one of its name in the frame is given this shape.

    The points of a tube that is there already are moved, however they are set out, and what hangs on them goes along;
    what is left on for the bender there stays.

    Args:
        frame: to be changed.
        name: of the tube.
        section: of the tube.
        path: its centreline.
        material: its steel; "" for any.
        trim: what a new tube has left on for the bender, mm.

    Raises:
        BadFrame: when it does not go in.
    """
    frame, stock = with_section(frame, section, material)
    known = next((tube for tube in frame.tubes if tube.name.casefold() == name.casefold()), None)
    if known is not None and len(known.path) == len(path.vertices):
        for point, vertex in zip(known.path, path.vertices, strict=True):
            was = Places(frame).point(point)
            step = _clean(np.array(vertex) - np.array(was))
            if max(abs(value) for value in step) > _SAME_MM:
                frame = change_points(frame, [point], moved_by(step))
        tube = frame.tube(known.name)
        kept = tube.trim if path.radii else (0.0, 0.0)
        return put_tube(frame, replace(tube, stock=stock, radii=path.radii, trim=kept))
    if known is not None:
        text = said(
            "there is a tube {name} with {there} points already, and this one has {count}; give it another name",
            name=repr(known.name), there=len(known.path), count=len(path.vertices),
        )  # fmt: skip
        raise BadFrame(text)
    names = []
    last = len(path.vertices) - 1
    for number, (x, y, z) in enumerate(path.vertices):
        where = "start" if number == 0 else "finish" if number == last else f"bend {number}"
        point = free_name(f"{name[:_STEM]} {where}", frame.points)
        frame = put_point(frame, point, At(x, y, z))
        names.append(point)
    square = End("square")
    left_on = trim if path.radii else (0.0, 0.0)
    tube = Tube(name, stock, tuple(names), path.radii, (square, square), trim=left_on)
    # Its ends as they would be proposed for any tube that is added.
    return add_tube(frame, tube)[0]


def lying_there(frame: Frame, path: Path) -> str | None:
    """The name of the bent tube of a frame whose points lie where a path's are; None for none."""
    places = Places(frame)
    for tube in frame.tubes:
        if not tube.radii or len(tube.path) != len(path.vertices):
            continue
        with suppress(CopewrightError):
            points = [places.point(point) for point in tube.path]
            if all(
                math.dist(*both) < _SAME_PLACE_MM
                for both in zip(points, path.vertices, strict=True)
            ):
                return tube.name
    return None


def _clean(values: Floats) -> Point:
    """Without the crumbs of rounding."""
    x, y, z = (round(value, 9) + 0.0 for value in values.tolist())
    return (x, y, z)
