"""What can be wrong with what a person asked for.

Every message is one sentence a fabricator can act on: the value, where it stands, what is allowed.
Leaves also inherit the builtin, so that a caller may catch either.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeVar

from geometry.lengths import MM_PER_INCH, format_mm, mm, six_digits
from geometry.said import Length, put_together, said

_INCH_PLACES = 5
"""Of a limit in inches: finer than what is typed."""


class CopewrightError(Exception):
    """Root of every error whose text is fit to show to the person who typed the input.

    Attributes:
        about: the name of the value that is wrong, such as "tube wall"; "" where it is not one value alone.
    """

    about = ""

    @property
    def words(self) -> str:
        """What is wrong, as it was said: ``str`` of the error has forgotten how to be said in another language."""
        return self.args[0] if self.args and isinstance(self.args[0], str) else str(self)


class BadText(CopewrightError, ValueError):
    """A typed length, angle or list that cannot be read."""


class OutOfRange(CopewrightError, ValueError):
    """A number outside what the shop or the geometry allows."""


class NoContact(CopewrightError, ValueError):
    """A tube end that never meets what it should sit on."""


class BadPath(CopewrightError, ValueError):
    """A centreline that cannot be bent as given."""


def words_of(error: Exception) -> str:
    """What an error says; of one of these, as it can be said in another language."""
    return error.words if isinstance(error, CopewrightError) else str(error)


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
        what: the name of the value as the person knows it, such as "tube OD"; a word of it is ``said``.
        value: the number to check.
        low: least value allowed.
        high: greatest value allowed.
        unit: printed behind the numbers; a word of it is ``said``.
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
    lower, upper = _limits(low, high, unit)
    if above and below:
        allowed = said("above {low} and below {high}", low=lower, high=upper)
    elif above:
        allowed = said("above {low} up to {high}", low=lower, high=upper)
    elif below:
        allowed = said("from {low} to below {high}", low=lower, high=upper)
    else:
        allowed = said("from {low} up to {high}", low=lower, high=upper)
    is_so = _with_unit(value, unit)
    text = said("{what} is {value}; allowed is {range}", what=what, value=is_so, range=allowed)
    raise about(OutOfRange(text), what)


def _limits(low: float, high: float, unit: str) -> tuple[str, str]:
    """The limits in words, the upper one with its unit; in inches both are rounded to what is allowed."""
    if unit != "mm":
        return six_digits(low), _with_unit(high, unit)
    least, most = _inches(low, math.ceil), _inches(high, math.floor)
    return Length(six_digits(low), least), Length(f"{six_digits(high)} mm", f"{most} in")


def _inches(value: float, inwards: Callable[[float], int]) -> str:
    steps = value / MM_PER_INCH * 10**_INCH_PLACES
    whole = round(steps) if abs(steps - round(steps)) < 1e-6 else inwards(steps)
    return format_mm(whole / 10**_INCH_PLACES, _INCH_PLACES)


def _with_unit(value: float, unit: str) -> str:
    if unit == "mm":
        return mm(value, places=None)
    number = six_digits(value)
    return f"{number}°" if unit == "°" else put_together(" ", (number, unit))


class BadFrame(CopewrightError, ValueError):
    """A frame that does not hang together; the text names the place."""
