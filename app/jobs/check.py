"""The command ``check``: a frame's findings, said and counted."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from app.document.frame_file import open_frame
from app.jobs.told import Told
from templates_out.frame_result import solve_frame


def run(asked: Namespace) -> Told:
    """Solve a frame and say what a fabricator would stop at; 1 when something cannot be made."""
    frame = open_frame(Path(asked.file))
    result = solve_frame(frame)
    findings = result.findings
    counts = {
        level: sum(f.level == level for f in findings) for level in ("error", "warning", "note")
    }
    said = ", ".join(
        f"{count} {level}{'s' * (count != 1)}" for level, count in counts.items() if count
    )
    lines = [f"{f.level}: {f.where}: {f.what} {f.do}" for f in findings]
    parts = f"{len(result.fitted.parts)} part{'s' * (len(result.fitted.parts) != 1)}"
    lines.append(f"{frame.name}: {parts}, {said or 'nothing to stop at'}")
    return Told(lines, 1 if counts["error"] else 0)
