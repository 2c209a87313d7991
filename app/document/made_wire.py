"""The steel of tubes as files have it: what is bought, and what is already made of it."""

from __future__ import annotations

from typing import TypeAlias

from app.document.bend_wire import Wire
from geometry import frame as model
from geometry import made as steel
from geometry.joint import Fit
from geometry.section import BoxSection, RoundTube

Number: TypeAlias = float


class RoundStock(Wire, frozen=True, tag="round", tag_field="shape"):
    """A round tube as it is bought; lengths in mm."""

    od: Number
    wall: Number
    material: str = "E235"
    bar_length: Number = 6000.0


class BoxStock(Wire, frozen=True, tag="box", tag_field="shape"):
    """A rectangular hollow section; the corner radius is the outside one."""

    width: Number
    height: Number
    wall: Number
    corner_radius: Number = 0.0
    material: str = "E235"
    bar_length: Number = 6000.0


class MadeEnd(Wire, frozen=True):
    """One end of a part that is made: how far behind its long point its line is, mm, at even places round."""

    line: tuple[Number, ...]
    fit: Fit | None = None


class MadeBend(Wire, frozen=True):
    """A bend of a part that is made, and the straight before it."""

    straight: Number
    rotation: Number
    angle: Number
    radius: Number


class Made(Wire, frozen=True):
    """The steel of a part, as it was when it was marked as made."""

    stock: RoundStock | BoxStock
    length: Number
    ends: tuple[MadeEnd | None, MadeEnd | None]
    bends: tuple[MadeBend, ...] = ()
    last: Number = 0.0


def stock_from(one: RoundStock | BoxStock) -> model.Stock:
    """What is bought."""
    section: RoundTube | BoxSection
    if isinstance(one, RoundStock):
        section = RoundTube(one.od, one.wall)
    else:
        section = BoxSection(one.width, one.height, one.wall, one.corner_radius)
    return model.Stock(section, one.material, one.bar_length)


def stock_out(one: model.Stock) -> RoundStock | BoxStock:
    """What the file has of it."""
    section = one.section
    if isinstance(section, RoundTube):
        return RoundStock(section.od, section.wall, one.material, one.bar_length)
    sizes = (section.width, section.height, section.wall, section.corner_radius)
    return BoxStock(*sizes, one.material, one.bar_length)


def made_from(one: Made) -> steel.Made:
    """The steel of a part that is made."""
    stock = stock_from(one.stock)
    start, finish = (steel.MadeEnd(e.line, e.fit) if e else None for e in one.ends)
    bends = tuple(steel.MadeBend(b.straight, b.rotation, b.angle, b.radius) for b in one.bends)
    return steel.Made(stock.section, stock.steel.name, one.length, (start, finish), bends, one.last)


def made_out(one: steel.Made) -> Made:
    """What the file has of it."""
    start, finish = (MadeEnd(e.line, e.fit) if e else None for e in one.ends)
    bends = tuple(MadeBend(b.straight, b.rotation_deg, b.angle_deg, b.clr) for b in one.bends)
    stock = stock_out(model.Stock(one.section, one.material))
    return Made(stock, one.length, (start, finish), bends, one.last)
