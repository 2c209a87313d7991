"""The commands' work: from typed words to files. Everything heavy is imported here, not in the cli."""

from __future__ import annotations

import re
from argparse import Namespace
from pathlib import Path

from app.jobs.writing import write_files
from geometry.errors import BadText
from geometry.findings import Finding
from geometry.joint import FITS, Fit, Joint
from geometry.material import material
from geometry.path import Path as Centreline
from geometry.path import Point
from geometry.section import RoundTube
from geometry.springback import parse_trials
from geometry.units import parse_angle, parse_length, parse_od_and_wall
from templates_out.bend_papers import BendJob, solve_bend
from templates_out.bend_sheet import bend_files, bend_sheets
from templates_out.joint_papers import joint_files, joint_sheets, solve_joint
from templates_out.numbers import bend_numbers, joint_numbers
from templates_out.paper import paper
from templates_out.pdf import pdf_bytes


def run_joint(asked: Namespace) -> list[str]:
    """Make one joint's papers; returns the lines to print."""
    sheet = paper(asked.paper)
    onto = asked.onto.lower()
    target_od = (
        RoundTube(*parse_od_and_wall(onto, "--onto")).od
        if re.search(r"[x*\u00d7]", onto)
        else parse_length(onto, "--onto")
    )
    joint = Joint(
        RoundTube(*parse_od_and_wall(asked.tube, "--tube")),
        target_od,
        parse_angle(asked.angle, "--angle"),
        parse_length(asked.offset, "--offset"),
        _fit(asked.fit),
        parse_length(asked.root_gap, "--root-gap"),
        parse_length(asked.extra, "--extra"),
    )
    step = parse_angle(asked.every, "--every")
    thickness = parse_length(asked.paper_thickness, "--paper-thickness")
    result = solve_joint(joint)
    sheets = joint_sheets(result, sheet, step, thickness)
    files = {
        "joint.pdf": pdf_bytes(sheets, "Joint: wraps and facts"),
        **joint_files(result),
        "numbers.json": joint_numbers(result),
    }
    folder = Path(asked.out)
    write_files(folder, files)
    return _told(folder, files, len(sheets), result.findings)


def run_bend(asked: Namespace) -> list[str]:
    """Make one bent tube's papers; returns the lines to print."""
    sheet = paper(asked.paper)
    tube = RoundTube(*parse_od_and_wall(asked.tube, "--tube"))
    corners = _points(asked.path)
    bends = max(len(corners) - 2, 0)
    radii = [parse_length(word, "--clr") for word in asked.clr.split()]
    if len(radii) == 1:
        radii *= bends
    job = BendJob(
        tube,
        Centreline(corners, tuple(radii)),
        material(asked.material),
        parse_trials(asked.trials) if asked.trials is not None else (),
        _trim(asked.trim),
        parse_length(asked.tool_reference, "--tool-reference"),
        _whole(asked.quantity, "--quantity"),
    )
    result = solve_bend(job)
    sheets = bend_sheets(result, sheet)
    files = {
        "bend.pdf": pdf_bytes(sheets, "Bend sheet"),
        **bend_files(result),
        "numbers.json": bend_numbers(result),
    }
    folder = Path(asked.out)
    outdated = {"bend-profile.dxf"} - set(files)
    gone = write_files(folder, files, outdated)
    return [
        *_told(folder, files, len(sheets), result.findings),
        *(f"{path} was of another tube and is taken away: this one is not flat" for path in gone),
    ]


def _fit(word: str) -> Fit:
    for fit in FITS:
        if word.strip().lower() == fit:
            return fit
    text = f"--fit is {word!r}; allowed are {' and '.join(FITS)}"
    raise BadText(text)


def _points(text: str) -> tuple[Point, ...]:
    points: list[Point] = []
    for number, word in enumerate(text.replace(";", " ").split(), 1):
        parts = word.split(",")
        if len(parts) != 3:
            message = (
                f"--path point {number} {word!r} is not x,y,z; write the path like "
                '"0,0,0 400,0,0 700,0,300", with a dot for decimals'
            )
            raise BadText(message)
        x, y, z = (parse_length(part, f"--path point {number}") for part in parts)
        points.append((x, y, z))
    return tuple(points)


def _trim(text: str) -> tuple[float, float]:
    lengths = [parse_length(word, "--trim") for word in text.split()]
    if len(lengths) == 1:
        return lengths[0], lengths[0]
    if len(lengths) != 2:
        message = f'--trim {text!r} is not one length or two; write it like 20 or "20 30"'
        raise BadText(message)
    return lengths[0], lengths[1]


def _whole(text: str, what: str) -> int:
    if not re.fullmatch(r"\d{1,5}", text.strip()):
        message = f"{what} {text!r} is not a whole number; write it like 2"
        raise BadText(message)
    return int(text)


def _told(
    folder: Path, files: dict[str, bytes], pages: int, findings: tuple[Finding, ...]
) -> list[str]:
    lines = [
        f"{folder / name}" + (f" ({pages} pages)" if name.endswith(".pdf") else "")
        for name in files
    ]
    for finding in findings:
        lines.append(f"{finding.level}: {finding.where}: {finding.what} {finding.do}")
    return lines
