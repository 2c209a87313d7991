"""Cut ends and what they sit on as meshes: they share no volume, and the end touches all round.

The targets are primitives of the mesh library, joined and cut by its own boolean operations; the tube's end is
a closed mesh through the cut's vertices. What two meshes of one surface differ by is known: the facets' own
error.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given

pytest.importorskip("manifold3d", reason="the test extra installs manifold3d and trimesh")
pytest.importorskip("trimesh")

import manifold3d

from app.document.frame_file import open_frame
from geometry.errors import CopewrightError
from geometry.fitup import solve
from geometry.section import RoundTube
from tests.cases import examples
from tests.frames import EVERYTHING
from tests.meshes import facet_error, manifold, pieces_near, solid, wall_end
from tests.validation.test_opencascade_frame import nodes
from tests.validation.test_samples import SAMPLES

TRIED_MM = 0.03
"""The meshes of a joint differ by less: chords of 0.01 mm and facets of 256 sides."""


def with_more_lines(cut):
    """The same line with more vertices: over a sharp edge the wall's inside bends elsewhere than its outside does."""
    round_mm = np.unique(np.concatenate((cut.round_mm, np.linspace(0.0, cut.round_mm[-1], 360))))
    heights = np.interp(round_mm, cut.round_mm, cut.heights)
    return replace(cut, round_mm=round_mm, heights=heights)


def through_wall(cut, parts):
    """Depths in the wall, and where the lines there stop: a square-cut end's all at the outside's line."""
    end, wall = cut.at, cut.at.part.section.wall
    rows = []
    for depth in np.linspace(0.0, wall, 25):
        heights = cut.heights
        if depth and cut.kind == "cope" and cut.fit == "filed":
            starts = end.spread(end.part.outline.at(cut.round_mm, depth))
            first = np.full(len(starts), np.inf)
            for name in cut.onto:
                for piece in pieces_near(parts[name], cut):
                    first = np.minimum(first, piece.entries(starts, end.axis, -end.behind))
            heights = np.where(np.isfinite(first), first - cut.shift + end.end.extra, cut.heights)
        rows.append((depth, heights))
    return rows


def check(fitted, off=0.0):
    parts = {one.part.name: one.part for one in fitted.parts}
    checked = 0
    for one in fitted.parts:
        for cut in one.cuts:
            if cut is None or cut.kind != "cope" or cut.at.end.extra:
                continue
            # Near the joint's own origin the numbers are small, and their last digits too.
            origin = tuple(-cut.origin)
            target = manifold3d.Manifold.batch_boolean(
                [solid(piece) for name in cut.onto for piece in pieces_near(parts[name], cut)],
                manifold3d.OpType.Add,
            ).translate(origin)
            fine = with_more_lines(cut)
            tube = manifold(wall_end(fine, through_wall(fine, parts))).translate(origin)
            tube = tube.translate(tuple(off * cut.at.axis))
            shared = (tube ^ target).volume()
            girth, wall = cut.at.part.outline.girth, cut.at.part.section.wall
            assert shared < TRIED_MM * girth * wall, (cut.at.where, shared)
            checked += 1
            if cut.fit == "square-cut" or cut.missing:
                continue
            for point in (cut.points() - cut.origin)[:: max(len(cut.round_mm) // 12, 1)]:
                probe = manifold3d.Manifold.sphere(TRIED_MM, 8).translate(
                    tuple(point + off * cut.at.axis)
                )
                assert (probe ^ target).volume() > 0, cut.at.where
    return checked


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_end_of_a_sample(path):
    assert check(solve(open_frame(path))) >= 6


def test_the_frame_with_everything():
    assert check(solve(EVERYTHING)) >= 5


def test_the_meshes_are_fine_enough():
    sections = [
        one.part.section.radius
        for path in SAMPLES
        for one in solve(open_frame(path)).parts
        if isinstance(one.part.section, RoundTube)
    ]
    assert max(facet_error(radius) for radius in sections) < TRIED_MM / 4


@pytest.mark.parametrize("off", [0.1, -0.1])
def test_an_end_a_tenth_of_a_millimetre_off_shares_volume_or_leaves_a_gap(off):
    """The check itself finds what it is for."""
    fitted = solve(open_frame(next(path for path in SAMPLES if path.stem == "paddock-stand")))
    with pytest.raises(AssertionError):
        check(fitted, off)


@examples(8)
@given(nodes())
def test_random_nodes(frame):
    try:
        fitted = solve(frame)
    except CopewrightError:
        assume(False)
    check(fitted)
