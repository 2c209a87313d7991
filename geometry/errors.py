"""What can be wrong with what a person asked for.

Every message is one sentence a fabricator can act on: the value, where it stands, what is allowed.
Leaves also inherit the builtin, so that a caller may catch either.
"""

from __future__ import annotations

import math
from typing import TypeVar


class CopewrightError(Exception):
    """Root of every error whose text is fit to show to the person who typed the input.

    Attributes:
        about: the name of the value that is wrong, such as "tube wall"; "" where it is not one value alone.
    """

    about = ""


class BadText(CopewrightError, ValueError):
    """A typed length, angle or list that cannot be read."""


class OutOfRange(CopewrightError, ValueError):
    """A number outside what the shop or the geometry allows."""


class NoContact(CopewrightError, ValueError):
    """A tube end that never meets what it should sit on."""


class BadPath(CopewrightError, ValueError):
    """A centreline that cannot be bent as given."""


_Error = TypeVar("_Error", bound=CopewrightError)


def about(error: _Error, what: str) -> _Error:
    """An error that says which value it is about; to be raised."""
    error.about = what
    return error


def check_range(
    what: str,
    value: float,
    low: float,
    high: float,
    *,
    unit: str = "mm",
    above: bool = False,
    below: bool = False,
) -> float:
    """Return ``value`` if it lies in the range, else raise OutOfRange.

    Args:
        what: the name of the value as the person knows it, such as "tube OD".
        value: the number to check.
        low: least value allowed.
        high: greatest value allowed.
        unit: printed behind the numbers.
        above: the value must be above ``low``, not equal to it.
        below: the value must be below ``high``, not equal to it.

    Returns:
        The value, unchanged.

    Raises:
        OutOfRange: naming the value and the range. NaN and infinity are out of every range.
    """
    inside = (value > low if above else value >= low) and (value < high if below else value <= high)
    if math.isfinite(value) and inside:
        return value
    space = "" if unit == "°" else " "
    lower = f"above {low:g}" if above else f"from {low:g}"
    upper = f"below {high:g}" if below else f"up to {high:g}"
    text = f"{what} is {value:g}{space}{unit}; allowed is {lower} {upper}{space}{unit}"
    raise about(OutOfRange(text), what)


class BadFrame(CopewrightError, ValueError):
    """A frame that does not hang together; the text names the place."""
