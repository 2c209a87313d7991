"""The frame's file: it survives load and save, says what is wrong, and is never half written."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.document import frame_file, frame_wire
from app.document.frame_file import frame_bytes, open_frame, read_frame, save_frame
from app.jobs.writing import CannotWrite
from geometry.errors import CopewrightError
from geometry.frame import Frame
from geometry.place import At
from tests.cases import examples
from tests.frames import EVERYTHING

DATA = frame_bytes(EVERYTHING)


def test_a_frame_survives_its_file_and_a_file_its_frame():
    again = read_frame(DATA)
    assert again == EVERYTHING
    assert hash(again) == hash(EVERYTHING)
    assert frame_bytes(again) == DATA


def test_every_tube_point_and_stock_has_a_line_of_its_own():
    moved = replace(EVERYTHING, points={**EVERYTHING.points, "seat": At(-181.0, 140.0, 700.0)})
    before, after = DATA.decode().splitlines(), frame_bytes(moved).decode().splitlines()
    assert len([1 for one, two in zip(before, after, strict=True) if one != two]) == 1


def test_the_contracts_own_example_opens():
    text = """{"format": "copewright-frame", "version": 1, "name": "f",
 "stock":  {"main": {"shape": "round", "od": 38.1, "wall": 2.03, "material": "E235", "bar_length": 6000},
            "jig":  {"shape": "box", "width": 50, "height": 30, "wall": 3, "corner_radius": 4}},
 "points": {"head_low": [612.0, 0.0, 845.0], "knee": [300, 100, 800], "seat": [0, 120, 700], "top": [590, 0, 980]},
 "tubes":  [{"name": "headstock", "stock": "main", "path": ["head_low", "top"], "radii": [],
             "ends": [{"cut": "square"}, {"cut": "square"}]},
            {"name": "top rail", "stock": "main", "path": ["head_low", "knee", "seat"], "radii": [150.0],
             "handed": true, "roll": 0.0,
             "ends": [{"cut": "cope", "fit": "square-cut", "onto": ["headstock"], "root_gap": 0.5, "extra": 0.0},
                      {"cut": "square", "extra": 15.0}]}]}"""
    frame = read_frame(text.encode())
    assert frame.tubes[1].handed
    assert frame.tubes[1].ends[0].onto == ("headstock",)
    assert frame.stock["jig"].section.corner_radius == 4.0
    assert read_frame(b"\xef\xbb\xbf" + text.encode()) == frame


def test_a_frame_without_tubes_is_legal():
    empty = Frame("nothing yet")
    assert read_frame(frame_bytes(empty)) == empty


SCHEMA = Path(frame_file.__file__).with_name("frame.schema.json")


def test_the_published_schema_is_that_of_the_reader():
    made = json.loads(json.dumps(frame_wire.schema()))
    assert json.loads(SCHEMA.read_text("utf-8")) == made


@pytest.mark.parametrize("frame", [EVERYTHING, Frame("nothing yet")])
def test_what_is_written_is_valid_by_the_schema(frame):
    checker = jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text("utf-8")))
    checker.check_schema(checker.schema)
    checker.validate(json.loads(frame_bytes(frame)))


@pytest.mark.parametrize(
    "values", [{"colour": "red"}, {"version": 2}, {"points": {"a": [1, 2]}}, {"tubes": [{}]}]
)
def test_the_schema_refuses_what_the_reader_refuses(values):
    checker = jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text("utf-8")))
    assert not checker.is_valid(changed(**values))
    with pytest.raises(CopewrightError):
        read_frame(json.dumps(changed(**values)).encode())


def changed(**values):
    data = json.loads(DATA)
    data.update(values)
    return data


def tube(**values):
    data = json.loads(DATA)
    data["tubes"][1].update(values)
    return data


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (changed(colour="red"), "unknown field `colour`"),
        (changed(format="other"), '"format": "copewright-frame"'),
        (changed(version=2), "newer"),
        (changed(version=0), "allowed are 1 to 1"),
        (changed(version=True), "allowed are 1 to 1"),
        (changed(version="1"), "allowed are 1 to 1"),
        (changed(name=""), "1 to 80 printable"),
        (changed(name="a\tb"), "1 to 80 printable"),
        (changed(name="x" * 81), "1 to 80 printable"),
        (changed(points={"a": [1, 2]}), "a point is [x, y, z]"),
        (changed(points={"a": [1, 2, "3"]}), "point 'a' is [1, 2,"),
        (changed(points={"a": [1, 2, 3e9]}), "point 'a': z is 3000000000"),
        (changed(stock={"main": {"shape": "oval"}}), "oval"),
        (changed(stock={"main": {"shape": "round", "od": 20, "wall": 11}}), "stock 'main': tube wall"),
        (tube(radii=[]), "1 inner points and 0 radii"),
        (tube(radii=[-3]), "bend 1 radius"),
        (tube(path=["head low"]), "at least 2"),
        (tube(stock="gold"), "names the stock 'gold', which is not there"),
        (tube(path=["head low", "nowhere", "seat"]), "names the point 'nowhere'"),
        (tube(name="HEADSTOCK"), "tube 'HEADSTOCK' is there as 'headstock' too; names must differ by more than their case"),
        (tube(name="headstock"), "tube 'headstock' is there twice; each needs a name of its own"),
        (tube(name="headstock left "), "begins or ends with a space"),
        (tube(ends=[{"cut": "cope"}]), "length 2"),
        (tube(ends=[{"cut": "cope"}, {}]), "cut"),
        (tube(ends=[{"cut": "sawn"}, {"cut": "cope"}]), "sawn"),
        (tube(ends=[{"cut": "cope", "onto": ["leg"]}, {"cut": "cope"}]), "not above it in the list"),
        (tube(ends=[{"cut": "cope", "onto": ["top rail"]}, {"cut": "cope"}]), "not above it"),
        (tube(ends=[{"cut": "cope", "onto": ["nobody"]}, {"cut": "cope"}]), "not there"),
        (tube(ends=[{"cut": "square", "onto": ["headstock"]}, {"cut": "cope"}]), "only a cope"),
        (tube(ends=[{"cut": "mitre"}, {"cut": "cope"}]), "with"),
        (tube(ends=[{"cut": "mitre", "with": "top rail"}, {"cut": "cope"}]), "itself"),
        (tube(ends=[{"cut": "plane"}, {"cut": "cope"}]), "plane"),
        (tube(ends=[{"cut": "cope", "root_gap": -1}, {"cut": "cope"}]), "tube 'top rail', start: root gap"),
        (tube(roll=1e9), "roll"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_with_its_place(data, words):
    with pytest.raises(CopewrightError) as error:
        read_frame(json.dumps(data).encode())
    assert words in str(error.value)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "not JSON"),
        (b"\xff\xfe", "not UTF-8"),
        (b"null", "not a frame"),
        (b"[" * 100_000, "nested too deeply"),
        (DATA[: len(DATA) // 2], "not JSON"),
        (DATA.replace(b'"seat": [', b'"knee": ['), "'knee' stands twice"),
        (DATA.replace(b"612", b"Infinity"), "no number of JSON"),
        (DATA.replace(b"612", b"1e999"), "x is inf"),
    ],
)
def test_what_is_no_frame_is_said(data, words):
    with pytest.raises(CopewrightError, match=words):
        read_frame(data)


def test_thousands_of_mutated_files_open_or_give_one_sentence():
    chance = random.Random(20261125)
    tokens = [
        b'"',
        b"{",
        b"}",
        b"[",
        b"]",
        b",",
        b":",
        b"null",
        b"true",
        b"-1",
        b"1e308",
        b"0",
        b'"a"',
        b"\x00",
        b"\xc3",
    ]
    opened = 0
    for _ in range(4000):
        data = bytearray(DATA)
        for _ in range(chance.randint(1, 3)):
            place = chance.randrange(len(data))
            match chance.randrange(4):
                case 0:
                    data[place] = chance.randrange(256)
                case 1:
                    del data[place : place + chance.randint(1, 30)]
                case 2:
                    data[place:place] = chance.choice(tokens)
                case _:
                    other = chance.randrange(len(data))
                    data[place:place] = data[other : other + chance.randint(1, 60)]
        try:
            frame = read_frame(bytes(data))
        except CopewrightError as error:
            assert "\n" not in str(error)
        else:
            opened += 1
            assert read_frame(frame_bytes(frame)) == frame
    assert opened > 15


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4)
    ),
    max_leaves=12,
)


@examples(100)
@given(st.data())
def test_anything_in_the_place_of_any_value_opens_or_gives_one_sentence(data):
    whole = json.loads(DATA)
    at = whole
    while True:
        keys = list(at) if isinstance(at, dict) else range(len(at))
        key = data.draw(st.sampled_from(list(keys)))
        if not isinstance(at[key], dict | list) or not at[key] or data.draw(st.booleans()):
            at[key] = data.draw(JSON)
            break
        at = at[key]
    try:
        read_frame(json.dumps(whole).encode())
    except CopewrightError as error:
        assert "\n" not in str(error)


def test_a_file_that_cannot_be_read_or_saved_is_said(tmp_path):
    with pytest.raises(CopewrightError, match=r"none\.frame cannot be read"):
        open_frame(tmp_path / "none.frame")
    (tmp_path / "bad.frame").write_bytes(b"{")
    with pytest.raises(CopewrightError, match=r"bad\.frame: the file is not JSON"):
        open_frame(tmp_path / "bad.frame")
    (tmp_path / "file").write_text("mine")
    with pytest.raises(CannotWrite, match=r"x\.frame cannot be saved"):
        save_frame(tmp_path / "file" / "x.frame", EVERYTHING)


def test_older_files_are_made_newer_step_by_step(monkeypatch):
    """With versions that are not there yet: 1 and 2 are older than 3."""
    monkeypatch.setattr(frame_file, "VERSION", 3)
    steps = []

    def step(number):
        def upgrade(data):
            steps.append(number)
            # Only the last step leads to what this version reads.
            return {**data, "version": 1 if number == 2 else number + 1}

        return upgrade

    monkeypatch.setattr(frame_file, "_UPGRADES", {1: step(1), 2: step(2)})
    assert read_frame(DATA) == EVERYTHING
    assert steps == [1, 2]


SAVER = """
import sys
from pathlib import Path
from dataclasses import replace
from pathlib import Path
from app.document.frame_file import save_frame
from tests.frames import EVERYTHING
path = Path(sys.argv[1])
for number in range(100000):
    save_frame(path, replace(EVERYTHING, name=f"saved {number} " + "x" * (number % 60)))
    print(number, flush=True)
"""


def test_a_process_killed_while_it_saves_never_leaves_a_broken_file(tmp_path):
    path = tmp_path / "mine.frame"
    save_frame(path, EVERYTHING)
    chance = random.Random(7)
    saved = 0
    for _ in range(6):
        process = subprocess.Popen(
            [sys.executable, "-c", SAVER, str(path)], stdout=subprocess.PIPE, text=True
        )
        for _ in range(34):
            assert process.stdout.readline()
            saved += 1
        time.sleep(chance.random() * 0.02)
        process.send_signal(signal.SIGKILL)
        process.communicate()
        assert open_frame(path).tubes == EVERYTHING.tubes
    assert saved > 200
    left = [name for name in os.listdir(tmp_path) if name != "mine.frame"]
    assert len(left) <= 6
