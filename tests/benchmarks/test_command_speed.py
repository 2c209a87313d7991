"""The whole command as a process, beside a bare process that imports what it writes with."""

from __future__ import annotations

import subprocess
import sys

import pytest

BARE = [sys.executable, "-c", "import numpy, reportlab, ezdxf"]
JOINT = "joint --tube 38.1x1.6 --onto 54 --angle 62 --offset 6 --out"
BEND = "bend --tube 38.1x1.6 --path 0,0,0;400,0,0;700,0,300 --clr 115 --out"


@pytest.mark.parametrize("what", ["joint", "bend", "bare imports"])
def test_whole_process(benchmark, what, tmp_path):
    words = {
        "joint": [sys.executable, "-m", "app", *JOINT.split(), str(tmp_path)],
        "bend": [sys.executable, "-m", "app", *BEND.split(), str(tmp_path)],
        "bare imports": BARE,
    }[what]
    benchmark.group = "whole process"
    benchmark.pedantic(
        subprocess.run, (words,), {"check": True, "capture_output": True}, rounds=9, warmup_rounds=1
    )
