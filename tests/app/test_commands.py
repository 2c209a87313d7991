"""The commands as a person types them: files, numbers, and one sentence for what is wrong."""

from __future__ import annotations

import math
import os
import stat
import subprocess
import sys
from pathlib import Path

import ezdxf
import numpy as np
import pypdf
import pytest

from app.cli import main
from tests.app.typed import BEND, JOINT, changed, numbers, run
from tests.cases import plain_height


def test_joint_writes_its_papers_and_numbers(tmp_path, capsys):
    out = tmp_path / "new" / "papers"
    code, said, err = run(JOINT, out, capsys)
    assert (code, err) == (0, "")
    assert sorted(p.name for p in out.iterdir()) == [
        "joint-landing.dxf", "joint.dxf", "joint.pdf", "numbers.json",
    ]  # fmt: skip
    assert "joint.pdf" in said
    whole = numbers(out)
    assert whole["format"] == "copewright-numbers"
    assert whole["version"] == 1
    assert whole["tubes"] == []
    for finding in whole["findings"]:
        assert set(finding) == {"code", "level", "where", "what", "do"}
        assert finding["level"] in ("error", "warning", "note")
    (cut,) = whole["cuts"]
    assert cut["tube"] == "tube"
    assert cut["end"] == "finish"
    assert cut["cut"] == "cope"
    assert cut["onto"] == ["target"]
    assert (cut["angle"], cut["offset"], cut["radius"]) == (62.0, 6.0, 19.05)
    assert (cut["origin"], cut["axis"], cut["datum"]) == ([0, 0, 0], [0, 0, 1], [1, 0, 0])
    profile = np.array(cut["profile"])
    assert profile[0, 0] == 0.0
    assert profile[-1, 0] == 360.0
    assert np.diff(profile[:, 0]).max() <= 5.0
    expected = plain_height(19.05, 27.0, 62.0, 6.0, np.radians(profile[:, 0]))
    assert profile[:, 1] == pytest.approx(expected, abs=1e-9)
    assert cut["long_point"] == profile[:, 1].max()
    assert cut["short_point"] == profile[:, 1].min()
    assert cut["outside_gap"] == 0.0
    document = ezdxf.readfile(out / "joint.dxf")
    (outline,) = document.modelspace().query('*[layer=="OUTLINE"]')
    upper = np.array([(x, y) for x, y, *_ in outline.get_points()])[: len(profile)]
    assert upper[:, 0] == pytest.approx(19.05 * np.radians(profile[:, 0]), abs=1e-9)
    assert upper[:, 1] == pytest.approx(profile[:, 1], abs=1e-12)


def test_bend_writes_its_papers_and_numbers(tmp_path, capsys):
    code, _, err = run([*BEND, "--trials", "45:43.2 90:87.1"], tmp_path, capsys)
    assert (code, err) == (0, "")
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "bend-points.csv", "bend-profile.dxf", "bend-table.csv", "bend.dxf", "bend.pdf", "numbers.json",
    ]  # fmt: skip
    whole = numbers(tmp_path)
    (tube,) = whole["tubes"]
    setback = 115 * math.tan(math.radians(22.5))
    (bend,) = tube["bends"]
    assert bend["length"] == pytest.approx(400 - setback)
    assert bend["rotation"] == 0.0
    assert bend["angle"] == pytest.approx(45.0)
    slope = (87.1 - 43.2) / 45
    assert bend["set_angle"] == pytest.approx((45 - 43.2) / slope + 45)
    assert bend["tool_radius"] == pytest.approx(115 * 45 / bend["set_angle"])
    assert bend["extrapolated"] is False
    assert tube["springback_from"] == "trials"
    assert tube["last_straight"] == pytest.approx(math.hypot(300, 300) - setback)
    developed = 400 + math.hypot(300, 300) - 2 * setback + 115 * math.pi / 4
    assert tube["developed_length"] == pytest.approx(developed)
    assert tube["cut_length"] == pytest.approx(developed)
    area = math.pi * (19.05**2 - 17.45**2)
    assert tube["mass"] == pytest.approx(area * developed * 7850e-9)
    assert [cut["end"] for cut in whole["cuts"]] == ["start", "finish"]
    for cut in whole["cuts"]:
        assert cut["cut"] == "square"
        assert np.array(cut["profile"])[:, 1] == pytest.approx(0.0)
    # The outside of a bend that turns up is below.
    assert whole["cuts"][0]["datum"] == pytest.approx([0, 0, -1])


def test_trim_and_reference_and_one_radius_each(tmp_path, capsys):
    words = ["bend", "--tube", "1in x 16swg", "--path", "0,0,0 400,0,0 400,300,0 400,300,400",
             "--clr", "100 80", "--trim", "20 30", "--tool-reference", "12", "--quantity", "2",
             "--material", "4130"]  # fmt: skip
    code, _, err = run(words, tmp_path, capsys)
    assert (code, err) == (0, "")
    assert not (tmp_path / "bend-profile.dxf").exists()
    (tube,) = numbers(tmp_path)["tubes"]
    assert tube["supplied_length"] == pytest.approx(tube["cut_length"] + 50)
    first, second = tube["bends"]
    assert first["mark_start"] == pytest.approx(20 + 300)
    assert first["mark_tool"] == pytest.approx(20 + 300 - 12)
    assert second["mark_start"] == pytest.approx(20 + 300 + 50 * math.pi + 120)
    assert tube["springback_from"] == "theory"
    assert first["set_angle"] > 90


def test_a_flat_profile_from_before_does_not_stay_beside_a_tube_in_space(tmp_path, capsys):
    assert run(BEND, tmp_path, capsys)[0] == 0
    assert (tmp_path / "bend-profile.dxf").exists()
    words = [
        "bend",
        "--tube",
        "25x2",
        "--path",
        "0,0,0 400,0,0 400,300,0 400,300,400",
        "--clr",
        "90",
    ]
    code, said, _ = run(words, tmp_path, capsys)
    assert code == 0
    assert not (tmp_path / "bend-profile.dxf").exists()
    assert "bend-profile.dxf" in said


def test_same_words_same_bytes_in_another_process(tmp_path):
    for name, seed in (("one", "1"), ("two", "2")):
        for words in (JOINT, BEND):
            subprocess.run(
                [sys.executable, "-m", "app", *words, "--out", str(tmp_path / name)],
                check=True,
                env=os.environ | {"PYTHONHASHSEED": seed},
                capture_output=True,
            )
    first, second = tmp_path / "one", tmp_path / "two"
    assert sorted(p.name for p in first.iterdir()) == sorted(p.name for p in second.iterdir())
    for path in first.iterdir():
        assert path.read_bytes() == (second / path.name).read_bytes(), path.name


def test_files_are_written_with_the_usual_permissions(tmp_path, capsys):
    assert run(JOINT, tmp_path, capsys)[0] == 0
    mask = os.umask(0)
    os.umask(mask)
    for path in tmp_path.iterdir():
        assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~mask


@pytest.mark.parametrize("value", ["-1/4in", "-6,5", "-6.5 mm", "\u22126.5"])
def test_a_length_that_begins_with_a_minus_is_a_length(value, tmp_path, capsys):
    code, _, err = run(changed(JOINT, offset=value), tmp_path, capsys)
    assert (code, err) == (0, "")
    assert numbers(tmp_path)["cuts"][0]["offset"] < 0


def test_inches_mean_the_same_as_mm(tmp_path, capsys):
    words = changed(JOINT, tube='1-1/2" x 16bwg', onto="2.125in", offset="1/4in", root_gap="0,5 mm")
    assert run(words, tmp_path / "a", capsys)[0] == 0
    words = changed(JOINT, tube="38.1x1.651", onto="53.975", offset="6.35", root_gap="0.5")
    assert run(words, tmp_path / "b", capsys)[0] == 0
    one, two = numbers(tmp_path / "a"), numbers(tmp_path / "b")
    assert np.array(one["cuts"][0]["profile"]) == pytest.approx(np.array(two["cuts"][0]["profile"]))


def test_onto_may_be_a_tube(tmp_path, capsys):
    assert run(changed(JOINT, onto="54x3"), tmp_path, capsys)[0] == 0
    assert numbers(tmp_path)["cuts"][0]["target_od"] == 54.0


def test_a_single_sheet_is_printed_again(tmp_path, capsys):
    words = changed(JOINT, tube="120x4", onto="150", angle="45")
    assert run(words, tmp_path / "all", capsys)[0] == 0
    assert run([*words, "--only", "b1 1"], tmp_path / "some", capsys)[0] == 0
    whole = pypdf.PdfReader(tmp_path / "all" / "joint.pdf")
    assert os.listdir(tmp_path / "some") == ["joint-again.pdf"]
    some = pypdf.PdfReader(tmp_path / "some" / "joint-again.pdf")
    texts = [page.extract_text() for page in whole.pages]
    again = [page.extract_text() for page in some.pages]
    assert 2 <= len(again) < len(texts)
    assert again[0] == texts[0]
    assert all(text in texts for text in again)
    assert f"of {len(texts)}" in again[1]


@pytest.mark.parametrize("word", ["", "0", "9", "Q7", "x"])
def test_a_sheet_that_is_not_there(word, tmp_path, capsys):
    code, _, err = run([*JOINT, "--only", word], tmp_path / "out", capsys)
    assert code == 2
    assert "pages 1 to 3" in err
    assert not (tmp_path / "out").exists()


def modules_after(words):
    code = (
        "import sys, io, contextlib\nfrom app.cli import main\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        f"    try:\n        main({words!r})\n    except SystemExit:\n        pass\n"
        "print('\\n'.join(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, text=True, cwd=Path.cwd()
    )
    return set(done.stdout.split())


@pytest.mark.parametrize(
    "words",
    [
        ["--help"],
        ["joint", "--help"],
        ["bend", "--help"],
        ["test-sheet", "--help"],
        ["--version"],
    ],
)
def test_help_imports_nothing_heavy(words):
    loaded = modules_after(words)
    assert not loaded & {"numpy", "reportlab", "ezdxf", "PySide6", "scipy", "shapely"}


def test_no_command_imports_qt_or_more_than_it_needs(tmp_path):
    for words in (JOINT, BEND):
        loaded = modules_after([*words, "--out", str(tmp_path)])
        assert "reportlab" in loaded
        assert not loaded & {"PySide6", "scipy", "shapely", "vtk"}


@pytest.mark.parametrize("command", ["joint", "bend"])
def test_help_shows_an_example_that_works(command, tmp_path, capsys):
    import shlex

    with pytest.raises(SystemExit) as stop:
        main([command, "--help"])
    assert stop.value.code == 0
    said = capsys.readouterr().out
    line = next(
        text
        for text in said.splitlines()
        if text.strip().startswith(f"copewright {command} --tube")
    )
    words = shlex.split(line)[1:]
    words[words.index("papers")] = str(tmp_path)
    assert main(words) == 0


def test_an_empty_folder_name_is_refused(capsys):
    assert main([*JOINT, "--out", ""]) == 2
    assert "--out is empty" in capsys.readouterr().err


def test_a_name_stands_on_paper_and_in_the_numbers(tmp_path, capsys):
    assert run([*JOINT, "--name", " down tube "], tmp_path, capsys)[0] == 0
    assert numbers(tmp_path)["cuts"][0]["tube"] == "down tube"
    assert run([*BEND, "--name", "rail"], tmp_path / "b", capsys)[0] == 0
    assert numbers(tmp_path / "b")["tubes"][0]["tube"] == "rail"


def test_a_straight_tube_is_just_cut(tmp_path, capsys):
    words = changed(BEND, path="0,0,0 400,0,300")
    code, said, err = run(words, tmp_path, capsys)
    assert (code, err) == (0, "")
    (tube,) = numbers(tmp_path)["tubes"]
    assert tube["bends"] == []
    assert tube["cut_length"] == pytest.approx(500.0)
    assert "theory" not in said


def test_a_large_tube_at_10_degrees_is_cut(tmp_path, capsys):
    words = changed(JOINT, tube="400x10", onto="400", angle="10", offset="0")
    assert run(words, tmp_path, capsys)[0] == 0


def test_without_a_screen_the_window_says_so(monkeypatch, capsys):
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    assert main([]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert "no screen" in said.err


def test_full_size_sheets_are_written_on_request_and_do_not_outlive_their_tube(tmp_path, capsys):
    out = tmp_path / "papers"
    bent = changed(BEND, path="0,0,0 400,0,0 550,250,0 600,300,400", clr="80")
    code, said, _ = run([*bent, "--full-size"], out, capsys)
    assert code == 0
    assert "full-size.pdf" in said
    whole = pypdf.PdfReader(out / "full-size.pdf")
    assert f"full-size.pdf ({len(whole.pages)} pages)" in said
    assert len(pypdf.PdfReader(out / "full-size-roll.pdf").pages) == 2
    (tube,) = numbers(out)["tubes"]
    assert [one["level"] for one in tube["lying"]] == ["bend 1", "bend 2"]
    run([*bent, "--full-size", "--only", "2"], out, capsys)
    (again,) = pypdf.PdfReader(out / "full-size-again.pdf").pages
    assert again.extract_text() == whole.pages[1].extract_text()
    _, said, _ = run(bent, out, capsys)
    assert "full-size.pdf was of an earlier tube and is taken away" in said
    assert not list(out.glob("*full-size*.dxf"))


@pytest.mark.parametrize(
    ("tube", "clr", "told"),
    [("38.1x1.6", "115", False), ("1.5in x 16swg", "115", True), ("38.1x1.6", '4-1/2"', True), ("38.1x1.6", "4.5inches", True)],
)  # fmt: skip
def test_who_types_inches_reads_them_too(tube, clr, told, tmp_path, capsys):
    run(changed(BEND, tube=tube, clr=clr), tmp_path, capsys)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "bend.pdf").pages)
    assert ("In inches" in text) is told


@pytest.mark.parametrize(("tube", "onto", "told"), [("38.1x1.6", "54", False), ("1.5in x 16swg", "54", True), ("38.1x1.6", '2-1/8"', True)])  # fmt: skip
def test_who_types_a_joint_in_inches_reads_them_too(tube, onto, told, tmp_path, capsys):
    run(changed(JOINT, tube=tube, onto=onto), tmp_path, capsys)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "joint.pdf").pages)
    assert ("Without a printer, in" in text) is told
