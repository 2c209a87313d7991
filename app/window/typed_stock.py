"""The stock of a tube to come, as a person types it."""

from __future__ import annotations

from app.window.words import tr
from geometry.edits import put_stock
from geometry.errors import BadText
from geometry.frame import Frame, Stock
from geometry.said import said
from geometry.section import RoundTube
from geometry.units import parse_od_and_wall

STOCK_EXAMPLE = "30x2"


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
        raise BadText(message.format(stock=STOCK_EXAMPLE))
    try:
        # A number without a unit is in the frame's.
        od, wall = parse_od_and_wall(words, said("the stock"), default_unit=frame.units)
    except BadText as error:
        message = tr("there is no stock {name}; choose one, or type a new one such as {stock}")
        raise BadText(message.format(name=repr(words), stock=STOCK_EXAMPLE)) from error
    return put_stock(frame, words, Stock(RoundTube(od, wall))), words
