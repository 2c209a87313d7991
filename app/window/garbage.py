"""Garbage is collected on the window's thread alone.

Python looks for it wherever it happens to be; in a worker's thread it would end widgets there, which Qt does not
survive.
"""

from __future__ import annotations

import gc
import sys

from PySide6.QtCore import QObject, QTimer

_EVERY_MS = 1000
_GROWN = 1.25
"""The oldest generation is looked through when there is so much more than after the last time, as Python itself does
it (``gc`` in its documentation): that takes longest, and the window does not listen meanwhile."""


class Garbage(QObject):
    """Collects what Python would have collected by itself, but here."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        # What was there at the start stays.
        gc.freeze()
        self._kept = sys.getallocatedblocks()
        self._timer = QTimer(self)
        self._timer.setInterval(_EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def look(self) -> None:
        """Collect the oldest generation whose time it is by Python's own measure."""
        counts, limits = gc.get_count(), gc.get_threshold()
        grown = sys.getallocatedblocks() > _GROWN * self._kept
        for generation in (2, 1, 0):
            if counts[generation] > limits[generation] > 0 and (generation < 2 or grown):
                gc.collect(generation)
                self._kept = sys.getallocatedblocks() if generation == 2 else self._kept
                return
