"""A picture without steps: drawn several times, each a part of a pixel aside, and averaged.

One drawing at each turn of the window's loop, so that it listens between them: without a graphics card each takes a
while.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QImage

if TYPE_CHECKING:
    import numpy.typing as npt

Bytes: TypeAlias = "npt.NDArray[np.uint8]"
Aside: TypeAlias = tuple[float, float]
ASIDES: tuple[Aside, ...] = ((-0.25, -0.25), (0.25, -0.25), (0.25, 0.25), (-0.25, 0.25))
"""Pixels across and up."""
_REST_MS = 150


def image_of(pixels: Bytes) -> QImage:
    """Pixels (height, width, 4) as an image that borrows them."""
    height, width, _ = pixels.shape
    return QImage(pixels.data, width, height, 4 * width, QImage.Format.Format_RGBX8888)


class _Average:
    """Pictures of one size, averaged."""

    def __init__(self) -> None:
        self._total: npt.NDArray[np.uint16] | None = None
        self.count = 0

    def add(self, pixels: Bytes) -> None:
        """One more, (height, width, 4)."""
        if self._total is None:
            self._total = pixels.astype(np.uint16)
        else:
            self._total += pixels
        self.count += 1

    def pixels(self) -> Bytes:
        """Of all, rounded (height, width, 4); there is at least one."""
        assert self._total is not None  # noqa: S101 - there is at least one
        return ((self._total + self.count // 2) // self.count).astype(np.uint8)


def at_once(draw: Callable[[Aside], Bytes | None]) -> Bytes | None:
    """The smooth picture (height, width, 4) of something that can wait for it; None where it cannot be drawn."""
    average = _Average()
    for aside in ASIDES:
        pixels = draw(aside)
        if pixels is None:
            return None
        average.add(pixels)
    return average.pixels()


class Smoothing(QObject):
    """Makes the smooth picture of something that has come to rest.

    Args:
        draw: draws it so far aside; None where that cannot be.

    Signals:
        finished: its pixels (height, width, 4).
    """

    finished = Signal(object)

    def __init__(
        self, draw: Callable[[Aside], Bytes | None], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._draw = draw
        self._average = _Average()
        self._next = QTimer(self)
        self._next.setSingleShot(True)
        self._next.timeout.connect(self._go_on)

    def begin(self) -> None:
        """It has been drawn plainly: smoothly when it has rested for a while."""
        self._average = _Average()
        self._next.start(_REST_MS)

    def stop(self) -> None:
        """It has changed."""
        self._average = _Average()
        self._next.stop()

    @property
    def done(self) -> bool:
        """The smooth picture is made."""
        return self._average.count == len(ASIDES)

    def _go_on(self) -> None:
        pixels = self._draw(ASIDES[self._average.count])
        if pixels is None:
            return
        self._average.add(pixels)
        if self.done:
            self.finished.emit(self._average.pixels())
        else:
            self._next.start(0)
