"""Where a frame in space is seen from, in numbers: what is where on the picture, and how it is turned and moved."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np

from geometry.arrays import Floats
from geometry.vectors import cross

MARGIN_PX = 40.0
_LEAST_MM, _MOST_MM = 1e-3, 1e3
"""Of a pixel."""
_FAR_MM = 1e5
"""Where a viewer of a parallel picture stands: in front of any frame."""
_TRIES = 8
_BESIDE_PX = 20.0
"""So much farther from the middle than another line is as good as on it."""


@dataclass(frozen=True, eq=False)
class Camera:
    """Where a frame is seen from.

    Attributes:
        focus: the place (3,) in the middle of the picture, about which it turns, mm.
        mm: of a pixel, at the focus.
        turn_deg: of the viewer about the z axis from in front of the frame.
        tilt_deg: of the viewer above the horizon, -90 to 90.
        perspective: what is nearer is larger; else parallel.
    """

    focus: Floats
    mm: float
    turn_deg: float
    tilt_deg: float
    perspective: bool = False
    angle_deg: ClassVar[float] = 30.0

    def axes(self) -> Floats:
        """Rows (3, 3): what is to the right, up, and towards the viewer on the picture."""
        return turned_axes(self.turn_deg, self.tilt_deg)

    def distance(self, height: float) -> float:
        """Of the viewer from the focus, mm, for a picture so many pixels high."""
        if not self.perspective:
            return _FAR_MM
        return self.mm * height / 2 / math.tan(math.radians(self.angle_deg / 2))

    def viewer(self, height: float) -> Floats:
        """(4,): the viewer's place and 1, or the way to one who is endlessly far away and 0."""
        back = self.axes()[2]
        if not self.perspective:
            return np.append(back, 0.0)
        return np.append(self.focus + self.distance(height) * back, 1.0)

    def placed(self, points: Floats, width: float, height: float) -> Floats:
        """Points (n, 3) in mm as pixels across and down, and how near they are in mm, (n, 3).

        Those beside a viewer in perspective, or behind, are not a number across and down.
        """
        seen = (points - self.focus) @ self.axes().T
        scale = np.full(len(points), 1.0 / self.mm)
        if self.perspective:
            far = self.distance(height)
            before = far - seen[:, 2]
            scale = np.where(before > 0, far / np.where(before > 0, before, 1.0), np.nan) / self.mm
        return np.column_stack(
            (width / 2 + seen[:, 0] * scale, height / 2 - seen[:, 1] * scale, seen[:, 2])
        )

    def turned(self, turn_deg: float, tilt_deg: float, about: Floats) -> Camera:
        """Turned so far that the viewer is there; what is at ``about`` (3,) keeps its place on the picture."""
        new = replace(self, turn_deg=turn_deg % 360, tilt_deg=min(max(tilt_deg, -90.0), 90.0))
        off = self.axes() @ (self.focus - about)
        return replace(new, focus=about + off @ new.axes())

    def in_the_middle(self, starts: Floats, ends: Floats, width: float, height: float) -> Floats:
        """What is seen in the middle of the picture (3,): a place on one of the lines between two places each.

        Of those that pass the middle about as closely as the closest, the one nearest to the viewer counts.

        Args:
            starts: one end of each line (n, 3).
            ends: the other.
            width: of the picture, pixels.
            height: of the picture.
        """
        one, other = (self.placed(places, width, height) for places in (starts, ends))
        way = other - one
        off = one[:, :2] - np.array([width, height]) / 2
        along = np.einsum("ij,ij->i", off, way[:, :2])
        share = np.clip(-along / np.maximum(np.sum(way[:, :2] ** 2, axis=1), 1e-9), 0.0, 1.0)
        flat = off + share[:, None] * way[:, :2]
        away = np.nan_to_num(np.hypot(flat[:, 0], flat[:, 1]), nan=np.inf)
        near = np.where(away <= away.min() + _BESIDE_PX, one[:, 2] + share * way[:, 2], -np.inf)
        best = int(np.argmax(near))
        share = np.nan_to_num(share)
        return np.asarray(starts[best] + share[best] * (ends[best] - starts[best]))

    def moved(self, right_px: float, down_px: float) -> Camera:
        """The picture moved by pixels."""
        right, up, _ = self.axes()
        return replace(self, focus=self.focus + self.mm * (down_px * up - right_px * right))

    def zoomed(self, factor: float, right_px: float = 0.0, down_px: float = 0.0) -> Camera:
        """Nearer, about a place so many pixels from the middle."""
        mm = min(max(self.mm / factor, _LEAST_MM), _MOST_MM)
        stays = 1.0 - mm / self.mm
        return replace(self.moved(-right_px * stays, -down_px * stays), mm=mm)

    def fitted(self, points: Floats, width: float, height: float) -> Camera:
        """As it is turned, with all the points (n, 3) on the picture."""
        room = np.maximum(np.array([width, height]) - 2 * MARGIN_PX, 1.0)
        seen = points @ self.axes().T
        low, high = seen.min(axis=0), seen.max(axis=0)
        mm = float(np.max((high - low)[:2] / room))
        camera = replace(self, focus=(low + high) / 2 @ self.axes(), mm=max(mm, _LEAST_MM))
        if not self.perspective:
            return camera
        widening = 2 * math.tan(math.radians(self.angle_deg / 2)) / height
        for _ in range(_TRIES):
            # Far enough away for each point to stay within the room about the middle; then the middle is moved.
            off = (points - camera.focus) @ self.axes().T
            away = np.abs(off[:, :2]) / (widening * room / 2) + off[:, 2:]
            camera = replace(camera, mm=max(widening * float(away.max()), _LEAST_MM))
            flat = camera.placed(points, width, height)[:, :2]
            right, down = (flat.min(axis=0) + flat.max(axis=0) - np.array([width, height])) / 2
            camera = camera.moved(-float(right), -float(down))
        return camera


def turned_axes(turn_deg: float, tilt_deg: float) -> Floats:
    """Rows (3, 3): what is to the right, up, and towards the viewer of a picture that is so turned."""
    turn, tilt = math.radians(turn_deg), math.radians(tilt_deg)
    right = np.array([-math.sin(turn), math.cos(turn), 0.0])
    back = np.array(
        [math.cos(tilt) * math.cos(turn), math.cos(tilt) * math.sin(turn), math.sin(tilt)]
    )
    return np.array([right, cross(back, right), back])
