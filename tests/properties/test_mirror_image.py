"""An end that is cut as the image of another is cut as it would be on its own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.document.frame_file import open_frame
from geometry.as_bent import AsBent
from geometry.fitup import forget, solve
from geometry.frame import End, Frame, Plane, Stock, Tube
from geometry.mirror_image import Mirror
from geometry.place import At, MirrorOf
from geometry.section import BoxSection, RoundTube
from geometry.solid_mesh import solid_mesh
from tests.cases import examples
from tests.frames import EVERYTHING, cuts_of

SAMPLES = Path(__file__).parents[2] / "sample_projects"
LEAST = {"single-cylinder": 20, "cargo-trike": 2, "paddock-stand": 2}
SQUARE = End("square")


def opened(name):
    return open_frame(SAMPLES / name / f"{name}.frame")


def alone(frame, monkeypatch):
    """Solved with every end worked out on its own."""
    forget()
    with monkeypatch.context() as patch:
        patch.setattr(Mirror, "first", lambda self, end: None)
        return solve(frame)


def same(frame, monkeypatch):
    forget()
    fitted, plain = solve(frame), alone(frame, monkeypatch)
    mine, its = cuts_of(fitted), cuts_of(plain)
    assert mine.keys() == its.keys()
    assert fitted.findings == plain.findings
    for key, cut in mine.items():
        other = its[key]
        places = np.linspace(0, cut.at.part.outline.girth, 721)
        one, two = (
            np.interp(places, at.round_mm, at.heights) + float(at.origin @ at.at.axis)
            for at in (cut, other)
        )
        # A jump may stand a hair aside, and two polylines are each within the chord tolerance.
        away = np.abs(one - two)
        assert np.quantile(away, 0.98) < 0.05, key
        assert set(cut.onto) == set(other.onto)
        assert cut.long_point + cut.shift == pytest.approx(other.long_point + other.shift, abs=1e-6)
        assert cut.short_point + cut.shift == pytest.approx(
            other.short_point + other.shift, abs=1e-6
        )
        assert cut.angle_deg == pytest.approx(other.angle_deg, abs=1e-9)
        assert cut.outside_gap == pytest.approx(other.outside_gap, abs=1e-6)
        assert cut.missing == pytest.approx(other.missing, abs=1e-6)
        # At a right angle the tight side is either, and with it the side of the offset.
        if cut.angle_deg < 90 - 1e-6:
            assert cut.offset == pytest.approx(other.offset, abs=1e-9)
    return mine


@pytest.mark.parametrize("name", list(LEAST))
def test_the_samples_are_cut_as_each_end_would_be_on_its_own(name, monkeypatch):
    found = same(opened(name), monkeypatch)
    seconds = [key for key, cut in found.items() if cut.image_of is not None]
    # Every right hand's, and the finish of what lies across.
    assert len(seconds) >= LEAST[name]


@examples(20)
@given(
    st.lists(st.floats(-60, 60), min_size=9, max_size=9),
    st.sampled_from(["filed", "square-cut"]),
    st.sampled_from(["right", "left", ""]),
)
def test_random_pairs_are_cut_as_each_end_would_be_on_its_own(off, fit, aside):
    points = {
        "a": At(0, 200 + off[0], off[1]), "b": At(500, 180 + off[2], 30), "c": At(800, 150, 250 + off[3]),
        "d": At(250, 190 + (off[0] + off[2]) / 2, 15 + off[1] / 2), "e": At(300 + off[4], 0, 350 + off[5]),
        "f": At(700 + off[6], 0, 380 + off[7]), "g": At(600, -80 + off[8], 360), "d right": MirrorOf("d"),
        "h": At(250, 60, 300),
    }  # fmt: skip
    stock = {"main": Stock(RoundTube(38.1, 2.0)), "box": Stock(BoxSection(40.0, 25.0, 2.0, 4.0))}
    tubes = [
        Tube("rail", "main", ("a", "b", "c"), (110.0,), (SQUARE, SQUARE), handed=True),
        Tube("spine", "box", ("e", "f"), (), (SQUARE, SQUARE)),
        Tube("cross", "main", ("d", "d right"), (), (End(fit=fit), End(fit=fit))),
        Tube("strut", "box", ("d", "e"), (), (End(), End(fit=fit)), handed=True, roll_deg=15.0),
        Tube("stay", "main", ("h", "d"), (), (SQUARE, End(root_gap=0.4, extra=1.0)), handed=True),
    ]
    if aside:
        # What stands on one side alone, or came back otherwise on one, has no image.
        place = points["g"] if aside == "right" else MirrorOf("g")
        points = {**points, "side": place}
        tubes.insert(2, Tube("odd", "main", ("side", "f"), (), (SQUARE, End())))
    if aside == "left":
        came = (AsBent("right", (None,), (None, None), apart=805.0, use=True),)
        tubes[0] = replace(tubes[0], as_bent=came)
    with pytest.MonkeyPatch.context() as patch:
        same(Frame("pairs", stock, points, tuple(tubes)), patch)


ROUND = {"main": Stock(RoundTube(38.1, 2.0)), "thin": Stock(RoundTube(22.0, 1.5))}


def test_what_stands_on_one_side_alone_is_met_there(monkeypatch):
    points = {
        "low": At(0, -200, 0), "high": At(0, -200, 300), "front": At(24, -200, 0), "ahead": At(24, -200, 300),
        "out": At(12, -350, 150), "in": At(12, -200, 150),
    }  # fmt: skip
    square = (SQUARE, SQUARE)
    tubes = (
        Tube("post", "thin", ("low", "high"), (), square, handed=True),
        # Beside the right post only, and in the way of half of the right stub.
        Tube("odd", "thin", ("front", "ahead"), (), square),
        Tube("stub", "main", ("out", "in"), (), (SQUARE, End()), handed=True),
    )
    found = same(Frame("one-sided", ROUND, points, tubes), monkeypatch)
    assert found["stub right", "finish"].onto == ("post right", "odd")
    assert found["stub left", "finish"].onto == ("post left",)
    assert found["stub right", "finish"].image_of is None


def test_one_sloping_plane_at_both_ends_has_no_image(monkeypatch):
    """It leans to one side: seen in the mirror it is another plane."""
    points = {
        "a": At(0, -200, 0),
        "b": At(30, -190, 553.3),
        "c": At(30, 190, 553.3),
        "d": At(0, 200, 0),
    }
    end = End("plane", plane=Plane((0.0, 0.0, 0.0), (0.0, 0.3, 1.0)))
    hoop = Tube("hoop", "main", ("a", "b", "c", "d"), (90.0, 90.0), (end, end))
    found = same(Frame("hoop", ROUND, points, (hoop,)), monkeypatch)
    heights = [found["hoop", name].origin[2] for name in ("start", "finish")]
    # Where a + t (b - a) is on the plane, 0.3 y + z = 0; and the same from d.
    assert heights == pytest.approx([553.3 * 60 / 556.3, -553.3 * 60 / 550.3], abs=1e-6)
    level = End("plane", plane=Plane())
    found = same(Frame("hoop", ROUND, points, (replace(hoop, ends=(level, level)),)), monkeypatch)
    assert found["hoop", "finish"].image_of is not None


def test_what_is_left_on_at_one_end_has_no_image(monkeypatch):
    points = {
        "left": At(0, 200, 0), "right": MirrorOf("left"), "over": At(0, 210, 200), "end": At(0, 210, 0)
    }  # fmt: skip
    axle = Tube("axle", "main", ("left", "right"), (), (End("square", extra=60.0), SQUARE))
    post = Tube("post", "thin", ("over", "end"), (), (SQUARE, End()), handed=True)
    found = same(Frame("axle", ROUND, points, (axle, post)), monkeypatch)
    assert found["post left", "finish"].missing == 0.0
    assert found["post right", "finish"].missing > 0.4


def test_a_small_frame_that_uses_everything(monkeypatch):
    same(EVERYTHING, monkeypatch)


def test_what_came_back_otherwise_is_no_image():
    frame = opened("single-cylinder")
    assert any(
        cut.image_of for (part, _), cut in cuts_of(solve(frame)).items() if "rail right" in part
    )
    measured = AsBent("right", (None,) * 3, (None,) * 4, apart=1100.0, use=True)
    tubes = tuple(
        replace(one, as_bent=(measured,)) if one.name == "main rail" else one for one in frame.tubes
    )
    found = cuts_of(solve(replace(frame, tubes=tubes)))
    assert not any(cut.image_of for (part, _), cut in found.items() if part.startswith("main rail"))


def test_a_mirrored_mesh_is_the_mesh_of_the_other_hand(monkeypatch):
    frame = opened("single-cylinder")
    fitted, plain = solve(frame), alone(frame, monkeypatch)
    parts = {one.part.name: one.part for one in fitted.parts}
    seconds = [
        (one, other)
        for one, other in zip(fitted.parts, plain.parts, strict=True)
        if one.part.hand == "right"
    ]
    assert len(seconds) == 7
    for one, other in seconds:
        mine, its = (solid_mesh(any_of, parts) for any_of in (one, other))
        # Both have lines of their own; the steel that they enclose is the same.
        assert volume(mine) == pytest.approx(volume(its), rel=2e-4)
        np.testing.assert_allclose(mine.points.min(axis=0), its.points.min(axis=0), atol=0.2)
        np.testing.assert_allclose(mine.points.max(axis=0), its.points.max(axis=0), atol=0.2)
        corners = mine.points[mine.triangles]
        away = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        # The triangles face the way that the normals at their corners do.
        skin = slice(0, mine.outside)
        normals = mine.normals[mine.triangles[skin, 0]]
        assert np.mean(np.einsum("ij,ij->i", away[skin], normals) > 0) > 0.999
        ends = away[2 * mine.outside :]
        assert np.all(np.einsum("ij,ij->i", ends, mine.faces) >= 0)


def volume(mesh):
    """Of what a closed surface encloses (divergence theorem), mm³."""
    a, b, c = (mesh.points[mesh.triangles[:, number]] for number in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)
