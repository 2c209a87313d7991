"""What a click on a tube means for a tube that is being added, as a person would type it."""

from __future__ import annotations

from app.window.shown_words import typed
from geometry.errors import CopewrightError
from geometry.frame import Frame, hand_of, made_names
from geometry.near_path import nearest_along, step_along
from geometry.path import Path, Point
from geometry.places import Places, entered_hand, known_places, mirrored, point_along
from geometry.point_text import mirror_of, on_tube

_ON_MM, _SAME_PLACE_MM = 0.05, 15.0
_STEP_MM, _STEP_INCH_MM = 1.0, 25.4 / 16
"""A click on a tube is a whole step from its start."""


def place_on(frame: Frame, part: str, at: Point, along: str) -> str:
    """The place of a part's centreline that is meant, as it is typed; "" where that is not known.

    Args:
        frame: whose part it is.
        part: what was clicked on.
        at: where, mm.
        along: the axis that the view looks along; "" for none.
    """
    tube = next((one for one in frame.tubes if part in made_names(one)), None)
    if tube is None:
        return ""
    shown = "xyz".replace(along, "")
    inches = frame.units == "in"
    places = Places(frame)
    try:
        other = tube.handed and hand_of(tube, part) != entered_hand(places.path(tube))
        # From the side one hand lies behind the other.
        both = along != "y"
        path = mirrored(places.twin.built(tube)) if other and both else places.built(tube)
    except CopewrightError:
        return ""
    distance = nearest_along(path, at, shown)[0]
    image = _image_near(frame, path, distance) if both else ""
    if image:
        return mirror_of(image)
    if other and both:
        # The opposite hand is no part of the tube as it is entered.
        place = point_along(path, distance)
        return typed((round(value, 1) for value in place), inches=inches)
    step = _STEP_INCH_MM if inches else _STEP_MM
    return on_tube(
        tube.name, typed([step_along(distance, path.developed_length, step)], inches=inches)
    )


def _image_near(frame: Frame, path: Path, distance: float) -> str:
    """The point whose mirror image lies on a centreline near a distance along it; "" for none.

    A tube across is to be level: what is clicked at about the same height on the other side is the same place.
    """
    found = []
    for name, (x, y, z) in known_places(frame).items():
        along, away = nearest_along(path, (x, -y, z))
        if abs(y) > _ON_MM and away < _ON_MM and abs(along - distance) <= _SAME_PLACE_MM:
            found.append((abs(along - distance), name))
    return min(found)[1] if found else ""
