"""Imports point one way; a planted violation is caught."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    program = Path(sys.executable).parent / "lint-imports"
    return subprocess.run(
        [str(program), "--no-cache"], cwd=folder, capture_output=True, text=True, check=False,
        env={"PATH": "/usr/bin:/bin", "PYTHONPATH": str(folder)},
    )  # fmt: skip


@pytest.fixture
def copy(tmp_path):
    for name in ("app", "geometry", "templates_out"):
        shutil.copytree(
            ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__", "fonts")
        )
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def test_the_rule_holds(copy):
    done = lint(copy)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(
    ("place", "line"),
    [
        ("geometry/units.py", "def late():\n    import templates_out.pdf\n"),
        ("geometry/cope.py", "import reportlab\n"),
        ("geometry/cope.py", "import app.cli\n"),
        ("templates_out/wrap.py", "from app import cli\n"),
        ("templates_out/wrap.py", "import PySide6\n"),
        ("app/cli.py", "import PySide6.QtCore\n"),
    ],
)
def test_a_planted_violation_is_caught(copy, place, line):
    path = copy / place
    path.write_text(path.read_text() + "\n" + line)
    done = lint(copy)
    assert done.returncode == 1, done.stdout + done.stderr
    assert "BROKEN" in done.stdout
