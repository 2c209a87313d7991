"""A part as the views draw it: as far and as wide as its mesh is, its ends along their cuts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, MultiLineString, MultiPoint, Point

from app.document.frame_file import open_frame
from geometry.fitup import solve
from geometry.solid_mesh import solid_mesh
from templates_out.bend_view import FROM_ABOVE, FROM_FRONT, FROM_RIGHT
from templates_out.clip import strokes_of
from templates_out.frame_scene import places_along, scene
from templates_out.frame_views import part_outline

SAMPLES = Path(__file__).parents[2] / "sample_projects"
FRAMES = {
    name: solve(open_frame(SAMPLES / name / f"{name}.frame"))
    for name in ("paddock-stand", "single-cylinder", "cargo-trike")
}
PARTS = [
    pytest.param(name, one, id=f"{name}, {one.part.name}")
    for name, fitted in FRAMES.items()
    for one in fitted.parts
]
VIEWS = (FROM_RIGHT, FROM_ABOVE, FROM_FRONT)


def outside(name, one):
    """The mesh's points of its outside (shapely and the mesh know nothing of the drawing)."""
    mesh = solid_mesh(one, {other.part.name: other.part for other in FRAMES[name].parts})
    return mesh.points[: len(mesh.points) // 2]


@pytest.mark.parametrize(("name", "one"), PARTS)
def test_it_reaches_as_far_as_the_mesh(name, one):
    points = outside(name, one)
    for view in VIEWS:
        strokes = np.concatenate([s.points for s in strokes_of(part_outline(one, view))])
        drawn, meshed = MultiPoint(strokes).convex_hull, MultiPoint(view.flat(points)).convex_hull
        # The mesh is flat between its lines and a box's corners are drawn sharp: a little apart, not more.
        corner = getattr(one.part.section, "corner_radius", 0.0)
        assert drawn.hausdorff_distance(meshed) < 0.4 + 0.42 * corner


@pytest.mark.parametrize(("name", "one"), PARTS)
def test_its_ends_edges_are_those_of_the_mesh(name, one):
    mesh = solid_mesh(one, {other.part.name: other.part for other in FRAMES[name].parts})
    for view in VIEWS:
        drawn = [i for i in part_outline(one, view).items if getattr(i, "closed", False)]
        for edge, line in zip((mesh.edges[0], mesh.edges[2]), drawn, strict=True):
            closed = LineString(np.vstack((line.points, line.points[:1])))
            assert max(closed.distance(Point(at)) for at in view.flat(edge)) < 0.25


def test_what_is_filled_ends_where_the_cuts_begin():
    for fitted in FRAMES.values():
        for view in VIEWS:
            seen = scene(fitted, {}, view)
            for one, part in zip(fitted.parts, seen.parts, strict=True):
                for cut, end, tip in zip(
                    one.cuts, one.part.ends, (part.middle[0], part.middle[-1]), strict=True
                ):
                    at = end.point + (cut.shift + cut.short_point) * end.axis
                    np.testing.assert_allclose(tip, view.flat(at[None])[0], atol=1e-9)


@pytest.mark.parametrize("by", [0.0, 0.01, 0.05, 0.2, 30.0])
@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_a_bend_is_drawn_where_it_is_however_nearly_it_is_seen_edge_on(by, view):
    frame = FRAMES["single-cylinder"].frame
    place = frame.points["rail front"]
    moved = {**frame.points, "rail front": replace(place, z=place.z + by)}
    fitted = solve(replace(frame, points=moved))
    one = next(one for one in fitted.parts if one.part.name == "main rail left")
    middle, radius = view.flat(places_along(one.part.path)), one.part.section.radius
    # Discs along the centreline; shapely's buffer knows nothing of silhouettes.
    swept = LineString(middle).buffer(radius, quad_segs=90)
    drawn = MultiLineString([s.points for s in strokes_of(part_outline(one, view))])
    ends = MultiPoint(middle[[0, -1]])
    edge = [Point(at) for at in swept.exterior.segmentize(0.5).coords]
    assert max(drawn.distance(at) for at in edge if ends.distance(at) > 60.0) < 0.1
