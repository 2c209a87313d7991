"""A part's closed mesh: watertight, as heavy as the part, its ends where a boolean of solids has them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

pytest.importorskip("manifold3d", reason="the test extra installs manifold3d and trimesh")
pytest.importorskip("trimesh")

import manifold3d
import trimesh

from app.document.frame_file import open_frame
from geometry.bend_piece import BendPiece
from geometry.facets import joined
from geometry.fitup import FittedPart, solve
from geometry.frame import At, End, Frame, Stock, Tube
from geometry.outline import outline_of
from geometry.path import Arc
from geometry.section import BoxSection, RoundTube
from geometry.skin import depth_in
from geometry.solid_mesh import solid_mesh
from tests.frames import EVERYTHING
from tests.meshes import SIDES, pieces_near, solid, turned_to
from tests.validation.test_samples import SAMPLES

AROUND, IN_CORNER = 60, 6
STEEL = 7850e-9
PAST = 150.0


def facets_share(count):
    """Area of a regular polygon to its circle's."""
    return math.sin(math.tau / count) / (math.tau / count)


def meshed(fitted):
    parts = {one.part.name: one.part for one in fitted.parts}
    return [(one, solid_mesh(one, parts)) for one in fitted.parts]


# The strut's plane cuts more off than there is of it.
ALL = [
    row
    for frame in (*(open_frame(path) for path in SAMPLES), EVERYTHING)
    for row in meshed(solve(frame))
    if row[0].part.name != "strut"
]
EVERY = pytest.mark.parametrize(
    ("one", "mesh"), ALL, ids=lambda row: getattr(getattr(row, "part", None), "name", "")
)


SQUARE = (End("square"), End("square"))


def one_tube(section, ends=SQUARE, points=((0, 0, 0), (300, 40, 120)), radii=()):
    named = {f"p{number}": At(*point) for number, point in enumerate(points)}
    frame = Frame("f", {"s": Stock(section)}, named, (Tube("t", "s", tuple(named), radii, ends),))
    return solve(frame).parts[0]


def library(mesh):
    return trimesh.Trimesh(mesh.points, mesh.triangles, process=False)


@EVERY
def test_it_is_closed_and_faces_outwards(one, mesh):
    made = library(mesh)
    assert made.is_watertight
    assert made.is_winding_consistent
    assert made.volume > 0
    corners = mesh.points[mesh.triangles]
    square = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(square, axis=1)
    whole = size > 1e-6
    skin = 2 * mesh.outside
    normals = np.concatenate((
        mesh.normals[mesh.triangles[:skin]], np.repeat(mesh.faces[:, None], 3, axis=1)
    ))  # fmt: skip
    facing = np.einsum("ij,ikj->ik", square[whole] / size[whole, None], normals[whole])
    # A flat's corner stands half of six degrees off it, of a box's corner half of fifteen.
    assert facing.min() > math.cos(math.radians(8.0))
    np.testing.assert_allclose(np.linalg.norm(normals, axis=2)[whole], 1.0, atol=1e-9)


@EVERY
def test_its_volume_is_its_sections_area_times_its_length(one, mesh):
    section = one.part.section
    cuts = [cut for cut in one.cuts if cut is not None]
    length = one.part.path.developed_length + sum(
        cut.shift + np.trapezoid(cut.heights, cut.round_mm) / cut.round_mm[-1] for cut in cuts
    )
    # The heights are the outside's; a filed end's bore stands back from them by its wall's thickness at most on
    # average, and the flats of 6 degrees take 0.2 % of a circle and 0.1 % of a bend.
    filed = sum(cut.kind == "cope" and cut.fit == "filed" for cut in cuts)
    slack = 3.5e-3 * section.area * length + filed * section.area * section.wall
    assert library(mesh).volume == pytest.approx(section.area * length, abs=slack)


@EVERY
def test_it_weighs_what_the_part_weighs_but_for_what_the_cuts_take(one, mesh):
    """``mass`` is of the bar from long point to long point."""
    weight = library(mesh).volume * STEEL
    deepest = sum(cut.long_point - cut.short_point for cut in one.cuts if cut is not None)
    walls = sum(cut is not None and cut.kind == "cope" for cut in one.cuts)
    section = one.part.section
    taken = section.mass(deepest + walls * section.wall)
    assert one.mass * (1 - 4e-3) - taken <= weight <= one.mass


@pytest.mark.parametrize("points", [((0, 0, 0), (300, 0, 0)), ((0, 0, 0), (20, -40, 300))])
def test_a_straight_round_tube_cut_square_is_exactly_its_polygons(points):
    section = RoundTube(40.0, 3.0)
    one = one_tube(section, points=points)
    volume = section.area * facets_share(AROUND) * math.dist(*points)
    assert library(solid_mesh(one)).volume == pytest.approx(volume, rel=1e-12)


@pytest.mark.parametrize("corner", [0.0, 2.0, 3.0, 5.0])
def test_a_box_has_its_own_volume_whatever_its_corners(corner):
    section = BoxSection(30.0, 50.0, 3.0, corner)
    one = one_tube(section)
    mesh = solid_mesh(one)
    # Corners of six pieces lose a few thousandths of their own little area.
    volume = section.area * one.part.path.developed_length
    assert library(mesh).volume == pytest.approx(volume, rel=2e-3)
    assert len(mesh.edges) == 8
    for line in mesh.edges[4:]:
        depth, _ = depth_in(one, (line[:1] + line[-1:]) / 2)
        assert abs(depth[0]) < 0.05


def test_a_bend_is_its_section_carried_round_its_centreline():
    section = RoundTube(30.0, 2.0)
    one = one_tube(
        section,
        points=((0, 0, 0), (300, 0, 0), (400, 200, 50), (600, 300, 300)),
        radii=(90.0, 120.0),
    )
    arcs = [piece for piece in one.part.path.segments if isinstance(piece, Arc)]
    assert len(arcs) == 2
    # Pappus, and chords of at most six degrees.
    volume = section.area * facets_share(AROUND) * one.part.path.developed_length
    assert library(solid_mesh(one)).volume == pytest.approx(volume, rel=6e-4)


def test_a_bend_that_begins_at_the_end_has_no_face_too_many():
    points = ((0, 0, 0), (100.0, 0, 0), (100.0, 100.0, 0))
    one = one_tube(RoundTube(30.0, 2.0), points=points, radii=(100.0,))
    made = library(solid_mesh(one))
    assert made.is_watertight
    volume = RoundTube(30.0, 2.0).area * facets_share(AROUND) * 50 * math.pi
    # Six degrees of it at a time are as long as their chord, and square to it as wide as the chord's half angle.
    assert made.volume == pytest.approx(volume * facets_share(AROUND), rel=1e-9)
    longer = one_tube(
        RoundTube(30.0, 2.0), (End("square", extra=10.0), End("square")), points, (100.0,)
    )
    more = RoundTube(30.0, 2.0).area * facets_share(AROUND) * 10.0
    assert library(solid_mesh(longer)).volume == pytest.approx(made.volume + more, rel=1e-9)
    assert library(solid_mesh(longer)).is_watertight


def bar(one):
    """A straight part's bar, longer than it at both ends, as a hollow solid of the mesh library."""
    start, finish = (np.array(vertex) for vertex in one.part.path.vertices)
    way = (finish - start) / np.linalg.norm(finish - start)
    section, past = one.part.section, PAST
    length = float(np.linalg.norm(finish - start)) + 2 * past
    if isinstance(section, RoundTube):
        outer, bore = (
            manifold3d.CrossSection.circle(radius, SIDES)
            for radius in (section.radius, section.bore_radius)
        )
        matrix = turned_to(way, one.part.ends[0].datum)
    else:
        wall = section.wall
        outer, bore = (
            manifold3d.CrossSection.square(
                (high - 2 * corner, wide - 2 * corner), center=True
            ).offset(corner, manifold3d.JoinType.Round, 2.0, 4 * IN_CORNER)
            for high, wide, corner in (
                (section.height, section.width, section.corner_radius),
                (section.height - 2 * wall, section.width - 2 * wall, section.inside_radius),
            )
        )
        matrix = turned_to(way, one.part.up)
    made = manifold3d.Manifold.extrude(outer - bore, length).transform(matrix)
    return made.translate(tuple(start - past * way))


def between(one, parts):
    """What targets leave of a part's bar between them; None where they do not cut it through.

    The lines of the part stop where they first enter a target, even where that does not part the bar: one tube
    on another as wide only touches it at its sides.
    """
    made = bar(one)
    for cut in one.cuts:
        for name in cut.onto:
            for piece in pieces_near(parts[name], cut):
                made -= solid(piece)
    start, finish = (np.array(vertex) for vertex in one.part.path.vertices)
    length = np.linalg.norm(finish - start)
    way = (finish - start) / length
    found = [
        piece
        for piece in made.decompose()
        if piece.volume() > 100.0
        and (along := (piece.to_mesh64().vert_properties[:, :3] - start) @ way).min() > 1.0 - PAST
        and along.max() < length + PAST - 1.0
        and along.min() < length / 2 < along.max()
    ]
    return found[0] if found else None


COPED = [
    (one, mesh, {other.part.name: other.part for other in fitted.parts})
    for fitted in (solve(open_frame(path)) for path in SAMPLES)
    for one, mesh in meshed(fitted)
    if not one.part.path.radii
    and all(cut is not None and cut.kind == "cope" and cut.fit == "filed" for cut in one.cuts)
    # Seen in a mirror the other hand is the same.
    and one.part.hand != "right"
    # The library takes ten seconds for a bend as fine as it has to be.
    and not any(
        isinstance(piece, BendPiece)
        for cut in one.cuts
        for name in cut.onto
        for piece in pieces_near({other.part.name: other.part for other in fitted.parts}[name], cut)
    )
]


def test_a_filed_end_follows_what_it_sits_on_all_through_its_wall():
    """By the mesh library's own boolean: a long hollow bar less the solids that the part sits on."""
    tried = []
    for one, mesh, parts in COPED:
        left = between(one, parts)
        if left is None:
            continue
        tried.append(one.part.name)
        section = one.part.section
        round_tube = isinstance(section, RoundTube)
        wanted = left.volume() * (facets_share(AROUND) / facets_share(SIDES) if round_tube else 1.0)
        # At each end the cut's own 0.1 mm, and a face that runs straight through the wall where its target is
        # round: on average 0.25 mm on a box's corner of 4 mm.
        off = 2 * section.area * 0.35
        assert library(mesh).volume == pytest.approx(wanted, rel=5e-4, abs=off), one.part.name
        if one.part.name == "head cross":
            # What it would be if the wall were cut straight through is far beyond that.
            assert library(solid_mesh(one)).volume > wanted + 1.5 * off
    assert len(tried) >= 10
    assert {"head cross", "middle cross", "rear cross"} <= set(tried)


@pytest.mark.parametrize("section", [RoundTube(30.0, 3.0), BoxSection(30.0, 30.0, 3.0, 4.0)])
def test_a_butted_mitre_ends_on_the_other_tube_and_a_bisected_one_at_a_plane(section):
    def frame(way):
        return Frame(
            "f",
            {"s": Stock(section)},
            {"a": At(0, 0, 0), "b": At(300, 0, 0), "c": At(300, 200, 40)},
            (
                Tube("one", "s", ("a", "b"), (), (End("square"), End("mitre", other="two", way=way))),
                Tube("two", "s", ("b", "c"), (), (End("mitre", other="one", way="past" if way == "butt" else way), End("square"))),
            ),
        )  # fmt: skip

    for way in ("butt", "both"):
        fitted = solve(frame(way))
        assert not fitted.findings
        for one, mesh in meshed(fitted):
            assert library(mesh).is_watertight
            if way == "butt":
                (other,) = [other for other in fitted.parts if other is not one]
                depth, _ = depth_in(other, mesh.points)
                # Nothing of the one is in the other, but for the cut's own 0.1 mm.
                assert depth.max() < 0.15
            faces = mesh.points[mesh.triangles[2 * mesh.outside :]].reshape(-1, 3)
            ends = faces[np.linalg.norm(faces - (300.0, 0.0, 0.0), axis=1) < 60.0]
            assert len(ends) > 20
            if way == "both":
                a = np.array(one.cuts[1 if one.part.name == "one" else 0].origin)
                normal = np.array([1.0, 0.0, 0.0]) + np.array([0.0, 200.0, 40.0]) / math.hypot(
                    200.0, 40.0
                )
                normal /= np.linalg.norm(normal)
                # Chords of the cut's line are that close to it.
                assert np.abs((ends - a) @ normal).max() < 0.01


def test_a_square_cut_end_has_one_height_through_its_wall():
    fitted = solve(EVERYTHING)
    (one,) = [one for one in fitted.parts if one.part.name == "top rail left"]
    (cut, _) = one.cuts
    assert cut.fit == "square-cut"
    mesh = solid_mesh(one, {other.part.name: other.part for other in fitted.parts})
    outside, inside = mesh.edges[:2]
    across = outside - inside
    np.testing.assert_allclose(across @ cut.at.axis, 0.0, atol=1e-9)
    np.testing.assert_allclose(np.linalg.norm(across, axis=1), one.part.section.wall, atol=1e-9)


@EVERY
def test_the_outsides_edges_are_the_cuts_lines(one, mesh):
    for cut, edge in zip(one.cuts, (mesh.edges[0], mesh.edges[2]), strict=True):
        line = cut.points()
        middles = (edge[1:] + edge[:-1]) / 2
        for places in (edge, middles):
            depth, _ = depth_in(one, places)
            # A chord of 6 degrees lies that far inside.
            sagitta = one.part.reach * (1 - math.cos(math.pi / AROUND)) + 0.01
            assert np.abs(depth).max() < max(0.16, sagitta)
        nearest = [np.min(np.linalg.norm(edge - point, axis=1)) for point in line[::7]]
        step = np.linalg.norm(np.diff(edge, axis=0), axis=1).max()
        assert max(nearest) < step


def test_a_box_on_a_round_tube_has_as_many_lines_as_its_cut_asks_for():
    frame = Frame(
        "f",
        {"s": Stock(RoundTube(80.0, 3.0)), "b": Stock(BoxSection(50.0, 50.0, 3.0, 4.0))},
        {"a": At(0, -200, 0), "b": At(0, 200, 0), "c": At(0, 0, 0), "d": At(300, 50, 0)},
        (
            Tube("one", "s", ("a", "b"), (), SQUARE),
            Tube("two", "b", ("c", "d"), (), (End("cope"), End("square"))),
        ),
    )
    (_, _), (two, mesh) = meshed(solve(frame))
    (cut, _), edge = two.cuts, mesh.edges[0]
    start, way = edge[:-1], np.diff(edge, axis=0)
    off = cut.points()[:, None] - start
    share = np.clip(np.sum(off * way, axis=2) / np.sum(way * way, axis=1), 0.0, 1.0)
    away = np.linalg.norm(off - share[:, :, None] * way, axis=2).min(axis=1)
    # The corners' own chords come to that.
    assert away.max() < 0.12
    assert len(edge) > 40


def test_the_contour_of_a_tube_is_where_it_turns_away():
    section = RoundTube(40.0, 3.0)
    facets = solid_mesh(one_tube(section, points=((0, 0, 0), (300, 0, 0)))).facets
    lines = facets.contour(np.array([0.0, 0.0, 1.0, 0.0]))
    assert lines.shape == (2, 2, 3)
    np.testing.assert_allclose(np.sort(lines[:, 0, 1]), [-20.0, 20.0], atol=1e-9)
    # From 100 mm off its axis the tangents touch at acos(20 / 100), on one of sixty flats' edges.
    near = facets.contour(np.array([150.0, 0.0, 100.0, 1.0]))
    angles = np.degrees(np.arctan2(near[:, 0, 1], near[:, 0, 2]))
    np.testing.assert_allclose(
        np.sort(angles), np.array([-1, 1]) * math.degrees(math.acos(0.2)), atol=6.0
    )
    assert facets.contour(np.array([1.0, 0.0, 0.0, 0.0])).shape[0] == 0
    both = joined([facets, facets])
    assert both.contour(np.array([0.0, 0.0, 1.0, 0.0])).shape == (4, 2, 3)
    assert joined([]).contour(np.array([0.0, 0.0, 1.0, 0.0])).shape == (0, 2, 3)


def test_what_an_edit_leaves_alone_is_not_meshed_again():
    (path,) = [path for path in SAMPLES if path.stem == "single-cylinder"]
    frame = open_frame(path)
    before = {one.part.name: mesh for one, mesh in meshed(solve(frame))}
    tail = frame.points["backbone tail"]
    moved = replace(
        frame, points={**frame.points, "backbone tail": At(tail.x - 5.0, tail.y, tail.z)}
    )
    after = {one.part.name: mesh for one, mesh in meshed(solve(moved))}
    same = {name for name, mesh in after.items() if mesh is before[name]}
    assert {"headstock", "main rail left", "main rail right"} <= same
    assert "backbone" not in same


def test_an_end_that_is_not_cut_is_flat():
    one = one_tube(RoundTube(40.0, 3.0), points=((0, 0, 0), (300, 0, 0)))
    mesh = solid_mesh(FittedPart(one.part, (None, None)))
    assert library(mesh).volume == pytest.approx(library(solid_mesh(one)).volume, rel=1e-12)
    assert outline_of(one.part.section).girth == pytest.approx(math.tau * 20.0)
