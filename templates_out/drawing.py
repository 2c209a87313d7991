"""The one picture language: strokes, text and dimensions on layers, in mm, frozen.

A drawing does not know whether it will be paper, a file or the screen; a canvas does not know what
it draws. Coordinates are x to the right and y up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np

from geometry.arrays import Floats

XY: TypeAlias = tuple[float, float]
Anchor = Literal["left", "centre", "right"]

NOTE_MM, SMALL_MM, TITLE_MM = 3.5, 2.5, 5.0
"""Letter heights, ISO 3098: notes, least, titles."""


@dataclass(frozen=True)
class Pen:
    """How a stroke looks and the layer it belongs to.

    Attributes:
        layer: layer name, the same in every output.
        width: line width, mm; wide to narrow is 2:1 as in ISO 128.
        dash: lengths of dashes and gaps, mm; empty for a continuous line.
    """

    layer: str
    width: float
    dash: tuple[float, ...] = ()


WIDE_MM, NARROW_MM = 0.35, 0.18
OUTLINE = Pen("OUTLINE", WIDE_MM)
DATUM = Pen("DATUM", NARROW_MM, (9.0, 1.5, 1.5, 1.5))
CENTRELINE = Pen("CENTRELINE", NARROW_MM, (9.0, 1.5, 1.5, 1.5))
HIDDEN = Pen("HIDDEN", NARROW_MM, (3.0, 1.5))
DIMENSIONS = Pen("DIMENSIONS", NARROW_MM)
NOTES = Pen("NOTES", NARROW_MM)
FOLD = Pen("NOTES", NARROW_MM, (3.0, 1.5))
CHECK = Pen("CHECK", WIDE_MM)
"""Of bars that are measured. Strokes end square where they are told to, so that a tick's outer edge is half a width beyond it."""


@dataclass(frozen=True)
class Line:
    """A straight stroke."""

    start: XY
    end: XY
    pen: Pen


@dataclass(frozen=True, eq=False)
class Polyline:
    """A stroke through points (n, 2); a closed one returns to its first point."""

    points: Floats
    closed: bool
    pen: Pen


@dataclass(frozen=True)
class Arc:
    """A circular stroke, anticlockwise from ``start_deg`` to ``end_deg``."""

    centre: XY
    radius: float
    start_deg: float
    end_deg: float
    pen: Pen


STEEP_DEG = 15.0
"""A line of text that leans over by so much still reads from the right (ISO 129-1)."""


@dataclass(frozen=True)
class Text:
    """A line of text; ``height`` is that of a capital, ``turn_deg`` anticlockwise."""

    at: XY
    text: str
    height: float = SMALL_MM
    anchor: Anchor = "left"
    turn_deg: float = 0.0
    layer: str = "NOTES"


@dataclass(frozen=True)
class LinearDim:
    """The distance of two points, along their line, drawn ``away`` mm to the left of start to end.

    Attributes:
        start: first point.
        end: second point.
        away: distance of the dimension line; negative is to the right.
        value: the true length, mm (a drawing at a scale shows true lengths).
        height: of the text.
    """

    start: XY
    end: XY
    away: float
    value: float
    height: float


@dataclass(frozen=True)
class AngleDim:
    """The angle between two directions at a corner.

    Attributes:
        corner: where the two lines cross.
        start_deg: direction of the first line; the angle runs anticlockwise from it.
        end_deg: direction of the second.
        radius: of the dimension arc.
        value: the true angle, degrees.
        height: of the text.
        share: how far round from the first line to the second the figure stands.
    """

    corner: XY
    start_deg: float
    end_deg: float
    radius: float
    value: float
    height: float
    share: float = 0.5


@dataclass(frozen=True)
class RadiusDim:
    """A radius, drawn from the centre to the arc in the direction ``towards_deg``.

    Its figure stands at least ``clear`` mm from the arc.
    """

    centre: XY
    radius: float
    towards_deg: float
    value: float
    height: float
    clear: float = 0.0


Dim: TypeAlias = LinearDim | AngleDim | RadiusDim
Item: TypeAlias = Line | Polyline | Arc | Text | Dim


@dataclass(frozen=True, eq=False)
class Drawing:
    """A picture: items in the order they are drawn."""

    items: tuple[Item, ...] = ()

    def __add__(self, other: Drawing) -> Drawing:
        """Both pictures, this one first."""
        return Drawing(self.items + other.items)

    def scaled(self, scale: float) -> Drawing:
        """Lines, polylines and arcs ``scale`` times as large about the origin; arcs stay arcs."""
        items: list[Item] = []
        for item in self.items:
            match item:
                case Line():
                    (x0, y0), (x1, y1) = item.start, item.end
                    items.append(
                        replace(item, start=(scale * x0, scale * y0), end=(scale * x1, scale * y1))
                    )
                case Polyline():
                    items.append(replace(item, points=scale * item.points))
                case Arc():
                    x, y = item.centre
                    centre = (scale * x, scale * y)
                    items.append(replace(item, centre=centre, radius=scale * item.radius))
                case _:
                    text = "words and dimensions have a size of their own"
                    raise TypeError(text)
        return Drawing(tuple(items))

    def enlarged(self, scale: float) -> Drawing:
        """All of it ``scale`` times as large about the origin, letters too; dimensions must be taken apart before."""
        words = tuple(
            replace(item, at=(scale * item.at[0], scale * item.at[1]), height=scale * item.height)
            for item in self.items
            if isinstance(item, Text)
        )
        rest = Drawing(tuple(item for item in self.items if not isinstance(item, Text)))
        return rest.scaled(scale) + Drawing(words)

    def stretched(self, x: float, y: float, about: XY) -> Drawing:
        """The drawing ``x`` times as wide and ``y`` times as high, about a point.

        Letters keep their size; arcs become polylines within 0.001 mm, dimensions must be taken
        apart before.
        """
        factors, fixed = np.array([x, y]), np.array(about)

        def go(point: XY) -> XY:
            return (
                about[0] + x * (point[0] - about[0]),
                about[1] + y * (point[1] - about[1]),
            )

        items: list[Item] = []
        for item in self.items:
            match item:
                case Line():
                    items.append(replace(item, start=go(item.start), end=go(item.end)))
                case Polyline():
                    items.append(replace(item, points=fixed + factors * (item.points - fixed)))
                case Arc():
                    points = fixed + factors * (arc_points(item, 0.001) - fixed)
                    items.append(Polyline(points, False, item.pen))
                case Text():
                    items.append(replace(item, at=go(item.at)))
                case _:
                    text = "a dimension is taken apart before it is stretched"
                    raise TypeError(text)
        return Drawing(tuple(items))

    def placed(self, dx: float, dy: float, turn_deg: float = 0.0) -> Drawing:
        """The drawing turned by ``turn_deg`` anticlockwise about the origin, then moved."""
        turn = turn_deg % 360
        if turn % 90 == 0:
            cosine, sine = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(turn / 90)]
        else:
            cosine, sine = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        matrix = np.array([[cosine, sine], [-sine, cosine]], dtype=np.float64)

        def go(point: XY) -> XY:
            x, y = point
            return (cosine * x - sine * y + dx, sine * x + cosine * y + dy)

        def moved(item: Item) -> Item:
            match item:
                case Line():
                    return replace(item, start=go(item.start), end=go(item.end))
                case Polyline():
                    return replace(item, points=item.points @ matrix + (dx, dy))
                case Arc():
                    return replace(
                        item,
                        centre=go(item.centre),
                        start_deg=item.start_deg + turn,
                        end_deg=item.end_deg + turn,
                    )
                case Text():
                    return replace(item, at=go(item.at), turn_deg=item.turn_deg + turn)
                case LinearDim():
                    return replace(item, start=go(item.start), end=go(item.end))
                case AngleDim():
                    return replace(
                        item,
                        corner=go(item.corner),
                        start_deg=item.start_deg + turn,
                        end_deg=item.end_deg + turn,
                    )
                case RadiusDim():
                    return replace(
                        item, centre=go(item.centre), towards_deg=item.towards_deg + turn
                    )

        return Drawing(tuple(moved(item) for item in self.items))


def arc_points(arc: Arc, sagitta: float = 0.005) -> Floats:
    """Points (n, 2) on an arc whose chords stay within ``sagitta`` mm of it."""
    sweep = math.radians(arc.end_deg - arc.start_deg)
    step = 2 * math.acos(max(1 - sagitta / arc.radius, -1.0)) if arc.radius > sagitta else math.pi
    count = max(math.ceil(sweep / step), 1)
    turn = math.radians(arc.start_deg) + sweep * np.arange(count + 1) / count
    return np.column_stack(
        (arc.centre[0] + arc.radius * np.cos(turn), arc.centre[1] + arc.radius * np.sin(turn))
    )


def stands_on_its_head(turn_deg: float) -> bool:
    """Whether text turned by so much reads neither from below nor, where it is steep, from the right."""
    return 90 + STEEP_DEG < turn_deg % 360 <= 270 + STEEP_DEG


def readable(text: Text) -> Text:
    """The text, or where it would stand on its head the same turned round where it is."""
    if not stands_on_its_head(text.turn_deg):
        return text
    turn = math.radians(text.turn_deg)
    at = (text.at[0] - text.height * math.sin(turn), text.at[1] + text.height * math.cos(turn))
    anchors: dict[Anchor, Anchor] = {"left": "right", "right": "left", "centre": "centre"}
    return replace(text, at=at, turn_deg=text.turn_deg + 180.0, anchor=anchors[text.anchor])
