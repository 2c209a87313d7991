"""The commands. Nothing heavy is imported until a command runs, so that help answers at once."""

from __future__ import annotations

import argparse
import gc
import importlib
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from app import __version__

JOINT_EXAMPLE = """example:
  copewright joint --tube 38.1x1.6 --onto 54 --angle 62 --offset 6 --out papers
"""
TEST_SHEET_EXAMPLE = """example:
  copewright test-sheet --printer "hall laser" --measured "179.6 239.8" --out papers
"""
AS_BENT_EXAMPLE = """example:
  copewright as-bent my.frame --tube "main rail left" --angles "69.5 80 73.5" --use
"""
BEND_EXAMPLE = """example:
  copewright bend --tube 38.1x1.6 --path "0,0,0 400,0,0 700,0,300" --clr 115 --trials "45:43.2 90:87.1" --out papers
"""


BOOK_EXAMPLE = """example:
  copewright book sample_projects/paddock-stand/paddock-stand.frame --out papers
"""


_JOBS = {
    "joint": "joint",
    "bend": "bend",
    "book": "book",
    "check": "check",
    "as-bent": "as_bent",
    "tools": "tools",
    "test-sheet": "printer",
}


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """One line on stderr, exit 2."""
        text = " ".join(message.split())
        self.exit(2, f"{self.prog}: {text}; see {self.prog} --help\n")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="copewright",
        description="From a few measured numbers to tubes that fit: wraps for cut ends, bend sheets, DXF. "
        "Without a command the window opens, and with a frame's file alone that frame in it.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"copewright {__version__}")
    commands = parser.add_subparsers(
        dest="command",
        title="commands",
        metavar="joint | bend | book | check | as-bent | tools | test-sheet",
    )
    papers = _Parser(add_help=False, allow_abbrev=False)
    papers.add_argument(
        "--out", required=True, metavar="DIR", help="folder for the files, made if it is not there"
    )
    papers.add_argument(
        "--paper",
        default="dual",
        metavar="SHEET",
        help="dual (prints at 100 %% on A4 and on Letter), A4, Letter, A3, Tabloid or roll; default dual",
    )
    papers.add_argument(
        "--only", metavar="SHEETS", help='print these again alone, by page or tile: "2" or "B1 B2"'
    )
    papers.add_argument(
        "--printer",
        metavar="NAME",
        help="correct the sheets for this printer, as measured by test-sheet",
    )
    laid = _Parser(add_help=False, allow_abbrev=False)
    laid.add_argument(
        "--full-size",
        action="store_true",
        help="also sheets at true size to lay a bent tube on: full-size.pdf, tiled, full-size-roll.pdf, each in one "
        "piece, and DXF; with --only, those sheets again",
    )
    laid.add_argument(
        "--step",
        action="store_true",
        help="also STEP files of each bent tube's solid and centreline; needs the extra step",
    )
    wraps = _Parser(add_help=False, allow_abbrev=False)
    wraps.add_argument(
        "--paper-thickness",
        default="0.1",
        metavar="LEN",
        help="of the paper the wraps are printed on; default 0.1",
    )
    shared = _Parser(add_help=False, allow_abbrev=False)
    shared.add_argument(
        "--tube", required=True, metavar="ODxWALL", help='as 38.1x1.6 or "1-1/2in x 16swg"'
    )
    shared.add_argument(
        "--name", default="tube", metavar="NAME", help="what the tube is called; default tube"
    )
    joint = commands.add_parser(
        "joint",
        parents=[shared, papers, wraps],
        allow_abbrev=False,
        help="one tube end that sits on another tube",
        description="Write the wrap of one tube end, where it lands, and its numbers: joint.pdf, "
        'joint.dxf, joint-landing.dxf, numbers.json. Lengths are mm, or inches with in or ".',
        epilog=JOINT_EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add = joint.add_argument
    add("--onto", required=True, metavar="OD", help="outside diameter of the tube it sits on")
    add(
        "--angle",
        required=True,
        metavar="DEG",
        help="between the two centrelines, above 0 and up to 90",
    )
    add(
        "--offset",
        default="0",
        metavar="LEN",
        help="how far the target's centre passes beside the tube's; look at the cut end with the tight angle on your left: + is above, - is below; default 0",
    )
    add(
        "--fit",
        default="filed",
        metavar="FIT",
        help="filed (dressed to seat all through the wall) or square-cut; default filed",
    )
    add("--root-gap", default="0", metavar="LEN", help="gap to leave for the weld; default 0")
    add("--extra", default="0", metavar="LEN", help="length left on; default 0")
    add(
        "--every",
        default="15",
        metavar="DEG",
        help="step of the table for marking without a printer: 10, 15 or 22.5; default 15",
    )
    bend = commands.add_parser(
        "bend",
        parents=[shared, papers, laid],
        allow_abbrev=False,
        help="one bent tube",
        description="Write the bend sheet, the drawing and the numbers of one bent tube: bend.pdf, "
        "bend.dxf, bend-profile.dxf (of a flat one), numbers.json.",
        epilog=BEND_EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add = bend.add_argument
    add(
        "--path",
        required=True,
        metavar="POINTS",
        help='where the straights\' centrelines cross, ends included: "x,y,z x,y,z ..."',
    )
    add(
        "--clr",
        required=True,
        metavar="LEN",
        help='centreline radius as finished; one for all bends, or one each: "115 90"',
    )
    add(
        "--trials",
        metavar="PAIRS",
        help='trial bends as set:got, such as "45:43.2 90:87.1"; without, settings are estimated',
    )
    add(
        "--material",
        metavar="NAME",
        help="for the estimate and the mass; E235, plain mild steel tube, if not given",
    )
    add(
        "--trim",
        default="0",
        metavar="LEN",
        help='left on for the bender at both ends, or "start finish"; default 0',
    )
    add(
        "--tool-reference",
        metavar="LEN",
        help="how far before the tangent point, towards the start, the bender's mark lies; default 0",
    )
    add("--former", metavar="LEN", help="centreline radius of the former of the trial bends")
    add("--quantity", default="1", metavar="N", help="how many; default 1")
    add("--my-tools", action="store_true", help="each bend on the one of your kept tools for it")
    block = bend.add_argument_group("title block", "what is left out is filled in by hand")
    for name, words in (
        ("owner", "whose drawing it is, up to 40 letters"),
        ("number", "of the drawing, up to 10 letters"),
        ("revision", "such as A, up to 2 letters"),
        ("date", "of issue, as it is to be written, up to 16 letters"),
        ("drawn-by", "who made it"),
        ("approved-by", "who answers for it"),
    ):
        block.add_argument(f"--{name}", default="", metavar="TEXT", help=words)
    block.add_argument(
        "--tolerance",
        default="B",
        choices=("A", "B", "C", "D"),
        help="class of ISO 13920 for lengths and angles; default B",
    )
    block.add_argument(
        "--projection", default="first", choices=("first", "third"), help="angle; default first"
    )
    book = commands.add_parser(
        "book",
        parents=[papers, wraps, laid],
        allow_abbrev=False,
        help="everything the shop needs of a whole frame",
        description="Write a frame's book: book.pdf (cover, schedule, wraps, landing marks, bend sheets), a folder dxf "
        "with a drawing of each, schedule.csv, numbers.json. Exit 1 when an end could not be solved; the rest is "
        "written.",
        epilog=BOOK_EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    book.add_argument("file", metavar="FILE.frame", help="the frame")
    check = commands.add_parser(
        "check",
        allow_abbrev=False,
        help="what to stop at in a whole frame",
        description="Solve a frame and print its findings. Exit 1 when an end or a tube cannot be made, 2 when "
        "the file cannot be read.",
    )
    check.add_argument("file", metavar="FILE.frame", help="the frame")
    came = commands.add_parser(
        "as-bent",
        allow_abbrev=False,
        help="a bent tube that came back: what it measures, whether it fits",
        description="Keep in the frame what a returned tube measures, and say where it is off, by how much, and whether "
        'what is cut to the drawing still fits. Lists are from start to finish, with "-" for what was not measured; a '
        'lone "-" takes a list back. Exit 1 when something cannot be made with it.',
        epilog=AS_BENT_EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add = came.add_argument
    add("file", metavar="FILE.frame", help="the frame; it is saved with what was measured")
    add("--tube", required=True, metavar="NAME", help='with its hand, as "main rail left"')
    add("--angles", metavar="DEGS", help='of the bends, as "88.5 - 43"')
    add("--straights", metavar="LENS", help="tangent to tangent, the first and last up to the ends")
    add("--rotations", metavar="DEGS", help='from bend to bend, "-" for the first')
    add("--radii", metavar="LENS", help="of the bends, to the centreline")
    add("--apart", metavar="LEN", help="from the middle of one end to that of the other")
    add(
        "--height",
        metavar="LEN",
        help="of the finish end's middle above the start's, the first two straights level, bend 1 turning left",
    )
    add(
        "--hold",
        choices=("all", "start", "finish"),
        help="what is laid where it is drawn: all as near as can be (as kept before, or all), the start, the finish",
    )
    kept = came.add_mutually_exclusive_group()
    kept.add_argument("--use", action="store_true", help="build it in as it is: every cut fits it")
    kept.add_argument("--as-drawn", action="store_true", help="cut to the drawing again")
    kept.add_argument(
        "--forget", action="store_true", help="take the measurements out of the frame"
    )
    tools = commands.add_parser(
        "tools",
        allow_abbrev=False,
        help="your bending tools, kept for every frame",
        description="List your bending tools, with their trial bends. Take them from a frame's file, or put them into "
        "one.",
    )
    add = tools.add_mutually_exclusive_group().add_argument
    add("--from", dest="from_frame", metavar="FILE.frame", help="keep this frame's tools")
    add("--into", metavar="FILE.frame", help="put your tools into this frame's file")
    add("--forget", metavar="NAME", help="keep this tool no longer")
    tools.add_argument("--name", metavar="NAME", help="only this one, in place of one of its name")
    test = commands.add_parser(
        "test-sheet",
        allow_abbrev=False,
        help="measure a printer and keep its correction",
        description="Write test-sheet.pdf. Print it at 100 %, measure both bars, and give what they measure: "
        "the correction is kept for the printer and the sheet, and a corrected test sheet is written to "
        "prove it.",
        epilog=TEST_SHEET_EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add = test.add_argument
    add("--out", required=True, metavar="DIR", help="folder for the file, made if it is not there")
    add(
        "--paper",
        default="dual",
        metavar="SHEET",
        help="dual, A4, Letter, A3 or Tabloid; default dual",
    )
    add(
        "--printer",
        metavar="NAME",
        help="what you call the printer; with its correction, if it has one",
    )
    add(
        "--measured",
        metavar="PAIR",
        help='what the level and the upright bar measure: "179.6 239.8"',
    )
    add(
        "--uncorrected",
        action="store_true",
        help="leave out, and measure without, the correction kept so far",
    )
    return parser


def _joined(words: Sequence[str]) -> list[str]:
    """``--offset -1/4in`` as one word, for a length that begins with a minus is not an option."""
    joined: list[str] = []
    for word in words:
        follows = joined and re.fullmatch(r"--[a-z-]+", joined[-1])
        if follows and re.match(r"[-\u2212][\d.,]", word):
            joined[-1] += f"={word}"
        else:
            joined.append(word)
    return joined


def _window(file: str = "") -> int:
    """Open the window, with a frame's file in it if one is named; or say in one line why it cannot be."""
    path = Path(file) if file else None
    if path is not None and not path.is_file():
        print(f"copewright: there is no file {file!r} to open", file=sys.stderr)
        return 2
    screens = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    if sys.platform.startswith("linux") and not any(os.environ.get(name) for name in screens):
        text = (
            "there is no screen here for the window; the commands need none, see copewright --help"
        )
        print(f"copewright: {text}", file=sys.stderr)
        return 2
    from app.window.system_libraries import PACKAGES, missing_library

    try:
        from app.window.start import run_window

        why = missing_library()
    except ImportError as error:
        why = str(error)
    if why:
        text = (
            f"the window needs system libraries that are not here ({why}); with Debian and its kin: "
            f"sudo apt-get install {' '.join(PACKAGES)}"
        )
        print(f"copewright: {' '.join(text.split())}", file=sys.stderr)
        return 2
    return run_window(path)


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit code."""
    given = list(sys.argv[1:] if words is None else words)
    if len(given) == 1 and given[0].endswith(".frame") and not given[0].startswith("-"):
        return _window(given[0])
    parser = _parser()
    asked = parser.parse_args(_joined(given))
    if asked.command is None:
        return _window()
    # A short life makes no garbage worth collecting; looking for it is a tenth of the time.
    gc.disable()
    from geometry.errors import CopewrightError

    try:
        told = importlib.import_module(f"app.jobs.{_JOBS[asked.command]}").run(asked)
    except CopewrightError as error:
        print(f"copewright {asked.command}: {' '.join(str(error).split())}", file=sys.stderr)
        return 2
    finally:
        gc.enable()
    lines, code = (told, 0) if isinstance(told, list) else told
    print("\n".join(lines))
    return code


def run() -> NoReturn:
    """The program, as it is started from a shell."""
    try:
        code = main()
        sys.stdout.flush()
    except BrokenPipeError:
        # Who was reading has gone; there is nobody to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = 1
    # The end of the process frees all that is left; looking for garbage first takes a tenth of its time.
    gc.freeze()
    sys.exit(code)
