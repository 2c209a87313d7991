"""The command ``joint``: from typed words to one joint's papers."""

from __future__ import annotations

import re
from argparse import Namespace

from app.jobs.writing import kept_correction, out_folder, told, write_again, write_files
from geometry.errors import BadText
from geometry.joint import FITS, Fit, Joint
from geometry.names import parse_name
from geometry.section import RoundTube
from geometry.units import parse_angle, parse_length, parse_od_and_wall, typed_in_inches
from templates_out.joint_numbers import joint_numbers
from templates_out.joint_papers import joint_files, joint_sheets
from templates_out.joint_result import JointResult, solve_joint
from templates_out.paper import paper
from templates_out.pdf import pdf_bytes
from templates_out.sheet import Sheet, only


def run(asked: Namespace) -> list[str]:
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
    inches = typed_in_inches(asked.tube, asked.onto)
    result = solve_joint(joint, parse_name(asked.name), inches=inches)
    correction = kept_correction(asked.printer, sheet.name)
    sheets = joint_sheets(result, sheet, step, thickness, correction)
    if asked.only is not None:
        again = only(sheets, asked.only)
        return write_again(asked.out, "joint-again.pdf", again, f"Joint: {asked.name}")
    files = outputs(result, sheets)
    folder = out_folder(asked.out)
    write_files(folder, files)
    return told(folder, files, {"joint.pdf": len(sheets)}, result.findings)


def outputs(result: JointResult, sheets: list[Sheet]) -> dict[str, bytes]:
    """Every file of a joint, by its name."""
    return {
        "joint.pdf": pdf_bytes(
            sheets, f"Joint: {result.title}", "Wraps at true size: print at 100 %"
        ),
        **joint_files(result),
        "numbers.json": joint_numbers(result),
    }


def _fit(word: str) -> Fit:
    for fit in FITS:
        if word.strip().lower() == fit:
            return fit
    text = f"--fit is {word!r}; allowed are {' and '.join(FITS)}"
    raise BadText(text)
