"""The commands as a person types them, for tests."""

from __future__ import annotations

import json

from app.cli import main

JOINT = ["joint", "--tube", "38.1x1.6", "--onto", "54", "--angle", "62", "--offset", "6"]
BEND = ["bend", "--tube", "38.1x1.6", "--path", "0,0,0 400,0,0 700,0,300", "--clr", "115"]


def run(words, out, capsys):
    code = main([*words, "--out", str(out)])
    said = capsys.readouterr()
    return code, said.out, said.err


def numbers(folder):
    return json.loads((folder / "numbers.json").read_text("utf-8"))


def changed(words, **options):
    """The same command with some options changed; None takes one out."""
    words = list(words)
    for name, value in options.items():
        flag = f"--{name.replace('_', '-')}"
        if flag in words:
            index = words.index(flag)
            del words[index : index + 2]
        if value is not None:
            words += [flag, value]
    return words
