"""Which parts and ends of a frame are each other's image in the centre-plane, so that one cut serves both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from geometry.arrays import Floats
from geometry.end_cut import EndCut
from geometry.parts import KEPT, MIRROR, Part, PartEnd, PlaneAt, across

_SAME = 1e-12


class Mirror:
    """The images of parts and ends: the two hands of a tube, and the two ends of one that crosses the centre-plane.

    Args:
        parts: all of a frame's, in fit-up order.
    """

    def __init__(self, parts: Sequence[Part]) -> None:
        self._places = {part: number for number, part in enumerate(parts)}
        self._images = {part: part for part in parts if not part.hand and _is_own_image(part)}
        for one, other in zip(parts, parts[1:], strict=False):
            if one.tube is other.tube and _are_hands(one, other):
                self._images |= {one: other, other: one}
        self._names = {part.name: image.name for part, image in self._images.items()}

    def image(self, end: PartEnd) -> PartEnd | None:
        """The end that is seen where this one is; itself, or None, where there is no other."""
        image = self._images.get(end.part)
        return _image(end, image) if image is not None else None

    def first(self, end: PartEnd) -> PartEnd | None:
        """The end whose cut is mirrored for this one: a left hand's, a start's; None for such an end itself."""
        image = self.image(end)
        second = end.part.hand == "right" or (not end.part.hand and end.name == "finish")
        return image if second and image is not end else None

    def named(self, names: Sequence[str]) -> tuple[str, ...]:
        """What the images of parts are called, by what they are called themselves."""
        return tuple(self._names[name] for name in names)

    def seen(self, parts: Sequence[Part]) -> tuple[Part, ...] | None:
        """The images of some parts, in fit-up order; None where one of them has none."""
        images = [self._images.get(part) for part in parts]
        known = [image for image in images if image is not None]
        return tuple(sorted(known, key=self._places.__getitem__)) if known == images else None


@lru_cache(maxsize=KEPT)
def mirrored_cut(at: PartEnd, cut: EndCut, onto: tuple[str, ...]) -> EndCut:
    """The image of a cut.

    Args:
        at: the end that is the image of the cut's.
        cut: of the other end.
        onto: what it sits on, by the names on this side.
    """
    girth = at.part.outline.girth
    return EndCut(
        at, cut.kind, cut.fit, onto, cut.angle_deg, 0.0 - cut.offset, cut.origin * MIRROR,
        girth - cut.round_mm[::-1], cut.heights[::-1], cut.long_point, cut.short_point, cut.outside_gap,
        cut.missing, cut,
    )  # fmt: skip


@lru_cache(maxsize=KEPT)
def _are_hands(one: Part, other: Part) -> bool:
    """Whether two parts of one tube are each other's image; one that came back otherwise is none."""
    return (
        other.path.vertices == tuple(across(vertex) for vertex in one.path.vertices)
        and other.path.radii == one.path.radii
        and _alike(other.up, one.up)
        and all(_image_plane(a) == b for a, b in zip(one.planes, other.planes, strict=True))
    )


@lru_cache(maxsize=KEPT)
def _is_own_image(part: Part) -> bool:
    """Whether a part's solid is the same in the mirror: it lies in the centre-plane, or squarely across it."""
    if not (_alike(part.up, part.up) or _alike(part.up, -part.up)):
        return False
    path = part.path
    image = tuple(across(vertex) for vertex in path.vertices)
    start, finish = (end.extra if end.cut == "square" else 0.0 for end in part.tube.ends)
    turned_round = image[::-1] == path.vertices and path.radii[::-1] == path.radii
    return image == path.vertices or (turned_round and start == finish)


@lru_cache(maxsize=KEPT)
def _image(end: PartEnd, part: Part) -> PartEnd | None:
    """The end of a part, the image of the end's own, that is the end's image; None where it is asked for otherwise."""
    number = 0 if end.name == "start" else 1
    if part is not end.part:
        # A tube's two hands run the same way, and the same is asked of both.
        return part.ends[number]
    for other in (end, part.ends[1 - number]):
        if all(_alike(getattr(other, of), getattr(end, of)) for of in ("point", "axis", "datum")):
            alike = other.end == end.end or _asked(other) == _asked(end)
            same = alike and _image_plane(end.plane) == other.plane
            return other if same else None
    return None


def _asked(end: PartEnd) -> object:
    """What is asked of an end, whatever the names of what it sits on."""
    return replace(end.end, onto=()), bool(end.end.onto)


def _alike(one: Floats, other: Floats) -> bool:
    """Whether one vector (3,) is the other's image."""
    return bool(np.all(np.abs(one * MIRROR - other) <= _SAME))


def _image_plane(plane: PlaneAt | None) -> PlaneAt | None:
    return plane and (across(plane[0]), across(plane[1]))
