"""``copewright check``: the findings of a frame, and the exit code that says whether it can be made."""

from __future__ import annotations

import pytest

from app.cli import main
from app.document.frame_file import save_frame
from geometry.frame import End, Frame, Stock, Tube
from geometry.place import At
from geometry.section import RoundTube
from tests.frames import EVERYTHING

SQUARE = (End("square"), End("square"))
GOOD = Frame(
    "two tubes",
    {"main": Stock(RoundTube(38.1, 2.0))},
    {"a": At(0, 0, 0), "b": At(800, 0, 0), "p": At(400, 0, 0), "q": At(400, 0, 300)},
    (
        Tube("rail", "main", ("a", "b"), (), SQUARE),
        Tube("post", "main", ("p", "q"), (), (End(), End("square"))),
    ),
)


@pytest.mark.parametrize(
    ("frame", "code", "words"),
    [
        (GOOD, 0, "two tubes: 2 parts, nothing to stop at"),
        (Frame("empty"), 0, "empty: 0 parts, nothing to stop at"),
        (EVERYTHING, 1, "warning: leg, start: "),
        (Frame("f", GOOD.stock, {**GOOD.points, "p": At(400, 0, 90)}, GOOD.tubes), 1, "error: post, start: "),
        (Frame("f", GOOD.stock, GOOD.points, (Tube("t", "main", ("a", "p", "b"), (90.0,)),)), 1,
         "error: t: Tube 't': bend 1 at path point 2 (400, 0, 0) is in line with its neighbours"),
    ],
)  # fmt: skip
def test_findings_and_exit_code(tmp_path, capsys, frame, code, words):
    save_frame(tmp_path / "my.frame", frame)
    assert main(["check", str(tmp_path / "my.frame")]) == code
    said, err = capsys.readouterr()
    assert words in said
    assert err == ""


@pytest.mark.parametrize(
    "data", [None, b"", b"{", b'{"format": "copewright-frame", "version": 99}']
)
def test_a_file_that_cannot_be_read_is_said_in_one_line(tmp_path, capsys, data):
    if data is not None:
        (tmp_path / "my.frame").write_bytes(data)
    assert main(["check", str(tmp_path / "my.frame")]) == 2
    said, err = capsys.readouterr()
    assert said == ""
    assert err.startswith("copewright check: ")
    assert "my.frame" in err
    assert err.count("\n") == 1
    assert "Traceback" not in err
