"""A frame as its file has it: the keys of the file, and the way to and from the model."""

from __future__ import annotations

import json
from typing import Any, Literal, TypeAlias

import msgspec

from app.document.bend_wire import (
    AsBent,
    Title,
    Tool,
    Trial,
    Wire,
    as_bent_from,
    as_bent_out,
    title_from,
    title_out,
    tool_from,
    tool_out,
)
from app.document.made_wire import (
    BoxStock,
    Made,
    RoundStock,
    made_from,
    made_out,
    stock_from,
    stock_out,
)
from app.document.wire_errors import in_words
from geometry import frame as model
from geometry import place
from geometry.errors import BadText, CopewrightError
from geometry.joint import Fit
from geometry.names import point_words, stock_words, tube_words
from geometry.said import put_together, said

FORMAT: Literal["copewright-frame"] = "copewright-frame"
VERSION: Literal[1] = 1

Number: TypeAlias = float
Triple: TypeAlias = tuple[float, float, float]
Pair: TypeAlias = tuple[float, float]
# No msgspec.Meta on these: in a union with a tuple of fixed length it reads beyond its memory (0.22).
Name: TypeAlias = str
Step: TypeAlias = model.Step


class Place(Wire, frozen=True):
    """A point that hangs on something else.

    ``from`` with ``offset``, or with ``distance`` and ``angle`` in side view; ``on`` a tube at a ``share`` or a
    ``distance``; or the ``mirror`` of another point.
    """

    base: Name | None = msgspec.field(name="from", default=None)
    offset: Triple | None = None
    on: Name | None = None
    share: Number | None = None
    distance: Number | None = None
    angle: Number | None = None
    mirror: Name | None = None


class Plane(Wire, frozen=True):
    """A plate or the floor."""

    through: Triple | Name = (0.0, 0.0, 0.0)
    normal: Triple = (0.0, 0.0, 1.0)


class End(Wire, frozen=True):
    """One end of a tube."""

    cut: Literal["cope", "square", "mitre", "plane"]
    fit: Literal["filed", "square-cut"] = "filed"
    onto: tuple[Name, ...] = ()
    root_gap: Number = 0.0
    extra: Number = 0.0
    other: str = msgspec.field(name="with", default="")
    way: Literal["both", "past", "butt"] = "both"
    plane: Plane | None = None


class Tube(Wire, frozen=True):
    """A tube, or a pair of opposite hands."""

    name: Name
    stock: Name
    path: tuple[Name, ...]
    radii: tuple[Number, ...]
    ends: tuple[End, End]
    handed: bool = False
    roll: Number = 0.0
    trim: Pair = (0.0, 0.0)
    as_bent: tuple[AsBent, ...] = ()


class _Outside(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A file's outermost keys; what is inside is read piece by piece, so that an error names the piece."""

    format: Literal["copewright-frame"]
    version: Literal[1]
    name: Name
    stock: dict[Name, Any]
    points: dict[Name, Any]
    tubes: tuple[Any, ...]
    units: Literal["mm", "in"] = "mm"
    tools: dict[Name, Any] = {}
    least_wall: Number = 0.0
    drawing: Any = None
    progress: Any = None
    made: Any = None


class FrameFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A whole file, version 1.

    Lengths in the file are mm always; ``units`` says what the person reads and types.
    """

    format: Literal["copewright-frame"]
    version: Literal[1]
    name: Name
    stock: dict[Name, RoundStock | BoxStock]
    points: dict[Name, Triple | Place]
    tubes: tuple[Tube, ...]
    units: Literal["mm", "in"] = "mm"
    tools: dict[Name, Tool] = {}
    least_wall: Number = 0.0
    drawing: Title = Title()
    progress: dict[Name, Step] = {}
    made: dict[Name, Made] = {}


def to_model(data: Any) -> model.Frame:
    """The frame that parsed JSON of version 1 holds.

    Raises:
        CopewrightError: for what is no frame; the text names the place.
    """
    wire = _read(said("the frame"), data, _Outside)
    stock = {
        name: _made(stock_words(name), one, _StockWire, stock_from)
        for name, one in wire.stock.items()
    }
    points = {
        name: _made(point_words(name), one, _PointWire, _place) for name, one in wire.points.items()
    }
    tubes = []
    for number, one in enumerate(wire.tubes, 1):
        name = one.get("name") if isinstance(one, dict) else None
        where = tube_words(name) if isinstance(name, str) else said("tube {number}", number=number)
        tubes.append(_made(where, one, Tube, _tube))
    tools = {
        name: _made(said("tool {name}", name=repr(name)), one, Tool, tool_from)
        for name, one in wire.tools.items()
    }
    drawn = {} if wire.drawing is None else wire.drawing
    title = _made(said("drawing"), drawn, Title, title_from)
    marked = {} if wire.progress is None else wire.progress
    progress = _read(said("progress"), marked, dict[Name, Step])
    steel = {} if wire.made is None else wire.made
    made = {
        name: _made(said("made {name}", name=repr(name)), one, Made, made_from)
        for name, one in _read(said("made"), steel, dict[Name, Any]).items()
        # A mark that was taken out of the file by hand has nothing to be compared with.
        if name in progress
    }
    return model.Frame(
        wire.name, stock, points, tuple(tubes), wire.units, tools, wire.least_wall, title, progress, made
    )  # fmt: skip


_INSIDE = {"ends": End, "plane": Plane, "trials": Trial, "as_bent": AsBent}
_StockWire = RoundStock | BoxStock
_PointWire = Triple | Place


def _made(where: str, data: Any, kind: Any, make: Any) -> Any:
    """A part of the model, from its piece of the file."""
    return _at(where, make, _read(where, data, kind))


def _read(where: str, data: Any, kind: Any) -> Any:
    """One piece of the file; an error says where, what, and what is allowed."""
    try:
        return msgspec.convert(data, kind)
    except msgspec.ValidationError as error:
        if kind is _PointWire and not isinstance(data, dict):
            given = json.dumps(data, ensure_ascii=False)[:60]
            text = said("{where} is {given}; {ways}", where=where, given=given, ways=_WAYS)
            raise BadText(text) from error
        text = put_together(": ", (where, in_words(str(error), kind, _INSIDE)))
        raise BadText(text) from error


def _at(where: str, make: Any, one: Any) -> Any:
    """Make a part of the model; an error says where it stands."""
    try:
        return make(one)
    except CopewrightError as error:
        words = error.words
        text = words if words.startswith(where) else put_together(": ", (where, words))
        raise BadText(text) from error


_WAYS = said(
    "a point is [x, y, z], or hangs on something: from with offset, from with distance and angle, on with share or distance, or "
    "mirror"
)


def _place(one: Triple | Place) -> place.Place:
    if not isinstance(one, Place):
        return place.At(*one)
    given = {key for key in Place.__struct_fields__ if getattr(one, key) is not None}
    match one:
        case Place(base=str(base), offset=tuple(offset)) if given == {"base", "offset"}:
            return place.OffsetFrom(base, offset)
        case Place(base=str(base), distance=float(distance), angle=float(angle)) if given == {
            "base",
            "distance",
            "angle",
        }:
            return place.Swung(base, distance, angle)
        case Place(on=str(tube), share=share, distance=distance) if given in (
            {"on", "share"},
            {"on", "distance"},
        ):
            return place.Along(tube, share, distance)
        case Place(mirror=str(base)) if given == {"mirror"}:
            return place.MirrorOf(base)
        case _:
            raise BadText(_WAYS)


def _end(one: End) -> model.End:
    plane = model.Plane(one.plane.through, one.plane.normal) if one.plane else None
    fit: Fit = one.fit
    return model.End(one.cut, fit, one.onto, one.root_gap, one.extra, one.other, one.way, plane)


def _tube(one: Tube) -> model.Tube:
    start, finish = (
        _at(model.end_words(one.name, name), _end, end)
        for name, end in zip(model.END_NAMES, one.ends, strict=True)
    )
    came = tuple(_at(tube_words(one.name), as_bent_from, measured) for measured in one.as_bent)
    return model.Tube(
        one.name, one.stock, one.path, one.radii, (start, finish), one.handed, one.roll, one.trim, came
    )  # fmt: skip


def from_model(frame: model.Frame) -> FrameFile:
    """What the file has of a frame."""
    return FrameFile(
        FORMAT,
        VERSION,
        frame.name,
        {name: stock_out(one) for name, one in frame.stock.items()},
        {name: _place_out(one) for name, one in frame.points.items()},
        tuple(_tube_out(one) for one in frame.tubes),
        frame.units,
        {name: tool_out(one) for name, one in frame.tools.items()},
        frame.least_wall,
        title_out(frame.drawing),
        dict(frame.progress),
        {name: made_out(one) for name, one in frame.made.items()},
    )


def _place_out(one: place.Place) -> Triple | Place:
    match one:
        case place.At(x, y, z):
            return (x, y, z)
        case place.OffsetFrom(base, offset):
            return Place(base=base, offset=offset)
        case place.Swung(base, distance, angle):
            return Place(base=base, distance=distance, angle=angle)
        case place.Along(tube, share, distance):
            return Place(on=tube, share=share, distance=distance)
        case place.MirrorOf(base):
            return Place(mirror=base)


def _tube_out(one: model.Tube) -> Tube:
    ends = tuple(
        End(
            end.cut, end.fit, end.onto, end.root_gap, end.extra, end.other, end.way,
            Plane(end.plane.through, end.plane.normal) if end.plane else None,
        )
        for end in one.ends
    )  # fmt: skip
    came = tuple(as_bent_out(measured) for measured in one.as_bent)
    return Tube(
        one.name, one.stock, one.path, one.radii, (ends[0], ends[1]), one.handed, one.roll_deg, one.trim, came
    )  # fmt: skip


def to_builtins(one: Any) -> Any:
    """What JSON can hold: what is as usual left out, whole numbers without their ``.0``."""
    if isinstance(one, msgspec.Struct):
        tag = one.__struct_config__.tag
        plain = {one.__struct_config__.tag_field: tag} if tag else {}
        for field in msgspec.structs.fields(type(one)):
            value = getattr(one, field.name)
            made = field.default_factory
            usual = field.default if made is msgspec.NODEFAULT else made()
            if field.required or value != usual:
                plain[field.encode_name] = to_builtins(value)
        return plain
    if isinstance(one, dict):
        return {key: to_builtins(value) for key, value in one.items()}
    if isinstance(one, tuple):
        return [to_builtins(value) for value in one]
    return int(one) if isinstance(one, float) and one.is_integer() else one


def schema() -> dict[str, Any]:
    """The published JSON Schema of a frame's file, draft 2020-12."""
    made = msgspec.json.schema(FrameFile)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Copewright frame, version 1",
        "description": "Lengths in mm, angles in degrees; x forward, y to the left, z up.",
        **made,
    }
