"""The free view of the motorcycle, and what is on it, for its tests."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtGui import QImage

from app.document.frame_file import open_frame
from app.window.space_view import SpaceView
from geometry.fitup import solve
from tests.validation.test_samples import SAMPLES

(SAMPLE,) = [path for path in SAMPLES if path.stem == "single-cylinder"]
FRAME = open_frame(SAMPLE)
FITTED = solve(FRAME)
PARTS = {one.part.name: one for one in FITTED.parts}
WELDED = dict.fromkeys(PARTS, 4)
WIDE, HIGH = 600, 400
SIDE = (-90.0, 0.0)
FREE = (-37.0, 28.0)
PERSPECTIVE = pytest.mark.parametrize("perspective", [False, True], ids=["parallel", "perspective"])


def opened(qtbot):
    """The view on the screen, the frame in it."""
    made = SpaceView("free view")
    qtbot.addWidget(made)
    made.resize(WIDE, HIGH)
    with qtbot.waitExposed(made):
        made.show()
    made.set_frame(FITTED.parts, {}, WELDED)
    paint(made)
    return made


def paint(view):
    """What is on the screen now, plainly drawn, as numbers (height, width, 3)."""
    if view._smoothing.done:
        # It has rested since.
        view._again()
    view.repaint()
    assert view.problem == ""
    return pixels(view._image)


def pixels(image):
    image = image.convertToFormat(QImage.Format.Format_RGBA8888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return (
        rows[:, : 4 * image.width()].reshape(image.height(), image.width(), 4)[:, :, :3].astype(int)
    )


def bare(view):
    """Without lines, which are wider than what they stand for."""
    for lines in view._drawing._lines:
        lines.edges.VisibilityOff()
        lines.contour.VisibilityOff()
    view._image = None
    return paint(view)


def covered(view):
    """Where something is drawn, (height, width), lines left out."""
    shown = bare(view)
    base = view.palette().base().color()
    return np.any(shown != [base.red(), base.green(), base.blue()], axis=2)


def grown(mask, by):
    """A mask with so many pixels more all round."""
    for _ in range(by):
        more = mask.copy()
        more[1:] |= mask[:-1]
        more[:-1] |= mask[1:]
        more[:, 1:] |= mask[:, :-1]
        more[:, :-1] |= mask[:, 1:]
        mask = more
    return mask


def stand(view, turn, perspective=False):
    view.perspective(perspective)
    view._turn_to(*turn)
    view.fit()
    paint(view)
