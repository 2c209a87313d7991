"""The command ``bend``: from typed words to one bent tube's papers."""

from __future__ import annotations

import re
from argparse import Namespace
from collections.abc import Mapping

from app.jobs.writing import kept_correction, out_folder, told, write_again, write_files
from geometry.bend_plan import BendJob, BendResult, on_former, solve_bend
from geometry.bend_tool import BendTool
from geometry.errors import BadText
from geometry.material import material
from geometry.names import parse_name
from geometry.path import Path as Centreline
from geometry.path import Point
from geometry.section import RoundTube
from geometry.springback import parse_trials
from geometry.title import TITLE_FIELDS, TitleFacts
from geometry.units import parse_length, parse_od_and_wall, typed_in_inches
from templates_out.bend_csv import bend_csv_files
from templates_out.bend_drawing import bend_files
from templates_out.bend_numbers import bend_numbers
from templates_out.bend_sheet import bend_sheets
from templates_out.full_size import FULL_SIZE, ROLL, SUBJECT, full_size_files, full_size_papers
from templates_out.paper import paper
from templates_out.pdf import pdf_bytes
from templates_out.sheet import Sheet, only
from templates_out.step import step_files
from templates_out.title_block import Issue


def run(asked: Namespace) -> list[str]:
    """Make one bent tube's papers; returns the lines to print."""
    sheet = paper(asked.paper)
    result = solve_bend(_job(asked))
    facts = TitleFacts(**{name: getattr(asked, name) for name in TITLE_FIELDS})
    issue = Issue(facts, facts.number)
    correction = kept_correction(asked.printer, sheet.name)
    sheets = bend_sheets(result, sheet, correction, issue)
    full_size = full_size_papers([result], sheet, correction) if asked.full_size else {}
    if asked.only is not None:
        kind, some = (
            ("full-size", full_size.get(FULL_SIZE, [])) if asked.full_size else ("bend", sheets)
        )
        if asked.full_size and not some:
            text = "--full-size: a straight tube has no full-size sheets"
            raise BadText(text)
        again = only(some, asked.only)
        return write_again(asked.out, f"{kind}-again.pdf", again, f"Bend: {asked.name}")
    files = outputs(result, sheets, full_size, issue) | (
        step_files(result, "bend") if asked.step else {}
    )
    folder = out_folder(asked.out)
    outdated = OUTDATED - set(files)
    gone = write_files(folder, files, sorted(outdated))
    return [
        *told(
            folder,
            files,
            {"bend.pdf": len(sheets)} | {n: len(s) for n, s in full_size.items()},
            result.findings,
        ),
        *(f"{path} was of an earlier tube and is taken away" for path in gone),
    ]


def _job(asked: Namespace) -> BendJob:
    """The bent tube that was asked for."""
    tube = RoundTube(*parse_od_and_wall(asked.tube, "--tube"))
    corners = _points(asked.path)
    bends = max(len(corners) - 2, 0)
    radii = [parse_length(word, "--clr") for word in asked.clr.split()]
    if len(radii) == 1:
        radii *= bends
    if asked.my_tools and asked.tool_reference is not None:
        text = "--tool-reference and --my-tools do not go together: each kept tool has its own reference"
        raise BadText(text)
    if asked.my_tools and asked.former is not None:
        text = "--former and --my-tools do not go together: each kept tool has its own former"
        raise BadText(text)
    job = BendJob(
        tube,
        Centreline(corners, tuple(radii)),
        material("E235" if asked.material is None else asked.material),
        parse_trials(asked.trials) if asked.trials is not None else (),
        _trim(asked.trim),
        parse_length(asked.tool_reference or "0", "--tool-reference"),
        _whole(asked.quantity, "--quantity"),
        parse_name(asked.name),
        asked.material is not None,
        tools=_kept_tools() if asked.my_tools else (),
        inches=typed_in_inches(asked.tube, asked.path, asked.clr),
    )
    return on_former(job, parse_length(asked.former or "0", "--former"))


def outputs(
    result: BendResult,
    sheets: list[Sheet],
    full_size: Mapping[str, list[Sheet]] | None = None,
    issue: Issue | None = None,
) -> dict[str, bytes]:
    """Every file of a bent tube, by its name; the full-size sheets are given by their files' names."""
    title = f"Full size: {result.job.name}"
    laid = {name: pdf_bytes(some, title, SUBJECT) for name, some in (full_size or {}).items()}
    return {
        "bend.pdf": pdf_bytes(
            sheets,
            f"Bend sheet: {result.job.name}",
            "The wraps are at true size, nothing else: print at 100 %",
        ),
        **bend_files(result, issue=issue),
        **bend_csv_files(result, "bend"),
        **laid,
        **(full_size_files(result, "bend") if full_size else {}),
        "numbers.json": bend_numbers(result),
    }


_MOST_WAYS = 50
OUTDATED = frozenset(
    {
        "bend-profile.dxf",
        "bend.step",
        "bend-centreline.step",
        FULL_SIZE,
        ROLL,
        *(f"bend-full-size-{n}.dxf" for n in range(1, _MOST_WAYS)),
    }
)
"""Not written for every tube: one from before must not pass for this tube's."""


def _kept_tools() -> tuple[tuple[str, BendTool], ...]:
    from app.document.tool_library import library_tools

    tools = library_tools()
    if not tools:
        text = "--my-tools: no bending tools are kept; keep a frame's with copewright tools --from FILE.frame"
        raise BadText(text)
    return tuple(tools.items())


def _points(text: str) -> tuple[Point, ...]:
    points: list[Point] = []
    for number, word in enumerate(text.replace(";", " ").split(), 1):
        parts = word.split(",")
        if len(parts) != 3:
            message = (
                f"--path point {number} {word!r} is not x,y,z; write the path like "
                '"0,0,0 400,0,0 700,0,300", with a dot for decimals and 0 for z where it is flat'
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
