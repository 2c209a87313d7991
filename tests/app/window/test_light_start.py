"""The window is on screen before what its pages need is loaded: no page's work, no numpy, nothing that draws or writes."""

from __future__ import annotations

import os
import subprocess
import sys

HEAVY = {"numpy", "shapely", "scipy", "reportlab", "ezdxf", "vtkmodules"}
OURS = {"app.window.document", "app.window.frame_page", "geometry.frame", "templates_out.drawing"}


def test_the_main_window_loads_no_more_than_it_shows():
    code = "import sys; import app.window.main_window; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    loaded = set(done.stdout.split())
    assert not loaded & (HEAVY | OURS)
