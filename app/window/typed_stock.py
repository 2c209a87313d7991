"""The stock of a tube to come, as a person types it."""

from __future__ import annotations

from app.window.words import tr
from geometry.edits import new_stock, put_stock
from geometry.errors import BadText
from geometry.frame import Frame, Units
from geometry.said import said
from geometry.section import RoundTube
from geometry.units import parse_od_and_wall

_EXAMPLES: dict[Units, str] = {"mm": "30x2", "in": "1-1/4 x 14swg"}


def stock_example(units: Units) -> str:
    """A stock as it may be typed."""
    return _EXAMPLES[units]


def with_stock(frame: Frame, text: str) -> tuple[Frame, str]:
    """The frame with the stock that a text means, and that stock's name.

    Raises:
        BadText: for what is neither the name of a stock nor an outside diameter and a wall.
    """
    words = text.strip()
    for name in frame.stock:
        if name.casefold() == words.casefold():
            return frame, name
    if not words:
        message = tr("the tube needs a stock: choose one, or type a new one such as {stock}")
        raise BadText(message.format(stock=stock_example(frame.units)))
    try:
        # A number without a unit is in the frame's.
        od, wall = parse_od_and_wall(words, said("the stock"), default_unit=frame.units)
    except BadText as error:
        message = tr("there is no stock {name}; choose one, or type a new one such as {stock}")
        raise BadText(message.format(name=repr(words), stock=stock_example(frame.units))) from error
    return put_stock(frame, words, new_stock(RoundTube(od, wall), frame.units)), words
