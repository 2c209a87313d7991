"""The free view: what VTK draws is where the numbers say, at the right hand, and what is clicked on is what is seen.

The places are worked out here by a pinhole and by plain projection, from the parts' own skins and centrelines,
with nothing of the view's but the place it looks at and how large a pixel is.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QImage, QPainter, QPolygonF

pytest.importorskip("vtkmodules", reason="VTK is installed with the program")

from geometry.path import Straight
from geometry.skin import depth_in, skin_rings
from templates_out.bend_view import FROM_ABOVE, FROM_FRONT, FROM_RIGHT
from tests.app.window.space_seen import (
    FITTED,
    FREE,
    HIGH,
    PARTS,
    PERSPECTIVE,
    SIDE,
    WELDED,
    WIDE,
    bare,
    covered,
    grown,
    paint,
    pixels,
    stand,
)

DIRECTIONS = pytest.mark.parametrize(
    "turn", [SIDE, (-90.0, 90.0), (0.0, 0.0), FREE, (140.0, -55.0)], ids=str
)


def seen_from(turn, view, perspective=False):
    """Pixels across and down of points (n, 3) by elementary geometry: angles in words, and a pinhole."""
    around, up = (math.radians(angle) for angle in turn)
    back = np.array(
        [math.cos(up) * math.cos(around), math.cos(up) * math.sin(around), math.sin(up)]
    )
    right = np.array([math.cos(around + math.pi / 2), math.sin(around + math.pi / 2), 0.0])
    focus, mm = view.camera.focus, view.camera.mm
    far = mm * HIGH / 2 / math.tan(math.radians(15.0))

    def placed(points):
        off = points - focus
        grown = far / (far - off @ back) if perspective else 1.0
        across, upwards = off @ right * grown / mm, off @ np.cross(back, right) * grown / mm
        return np.column_stack((WIDE / 2 + across, HIGH / 2 - upwards))

    def ray(x, y):
        flat = focus + mm * ((x - WIDE / 2) * right - (y - HIGH / 2) * np.cross(back, right))
        if not perspective:
            return flat, -back
        eye = focus + far * back
        return flat, (flat - eye) / np.linalg.norm(flat - eye)

    return placed, ray


def shadow(parts, placed):
    """Where parts are seen, (height, width): each piece of each skin filled on its own."""
    image = QImage(WIDE, HIGH, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(Qt.GlobalColor.black)
    for one in parts:
        rings = skin_rings(one, 96, 1e9)
        flat = placed(rings.reshape(-1, 3)).reshape(*rings.shape[:2], 2)
        beside = np.roll(flat, -1, axis=1)
        quads = np.stack((flat[:-1], flat[1:], beside[1:], beside[:-1]), axis=2).reshape(-1, 4, 2)
        for quad in quads.tolist():
            painter.drawConvexPolygon(QPolygonF([QPointF(x, y) for x, y in quad]))
        # Their mouths, for what is seen in them.
        for mouth in flat[[0, -1]].tolist():
            painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in mouth]))
    painter.end()
    return pixels(image)[:, :, 0] == 0


@PERSPECTIVE
@DIRECTIONS
def test_the_silhouette_is_the_projection_of_the_parts_skins(view, turn, perspective):
    stand(view, turn, perspective)
    drawn = covered(view)
    placed, ray = seen_from(turn, view, perspective)
    wanted = shadow(FITTED.parts, placed)
    assert 0.02 < wanted.mean() < 0.6
    # A seam of one pixel.
    assert not np.any(drawn & ~grown(wanted, 1))
    # But for what is seen through a tube from end to end.
    missed = np.argwhere(wanted & ~grown(drawn, 1))
    assert len(missed) < 0.01 * wanted.sum()
    assert not any(met_first(ray, x + 0.5, y + 0.5) for y, x in missed)
    # All of it is on the picture, and it fills it one way.
    rows, columns = np.nonzero(drawn)
    edges = [rows.min(), HIGH - 1 - rows.max(), columns.min(), WIDE - 1 - columns.max()]
    assert min(edges) == pytest.approx(40, abs=3)


@PERSPECTIVE
def test_every_drawn_pixel_is_within_a_tubes_radius_of_its_centreline(view, perspective):
    """The rays of pixels and the centrelines alone: no meshes, no polygons."""
    stand(view, FREE, perspective)
    drawn = covered(view)
    _, ray = seen_from(FREE, view, perspective)
    seam = 1.5 * view.camera.mm
    rows, columns = np.mgrid[0:HIGH:5, 0:WIDE:5].reshape(2, -1)
    rays = [ray(x + 0.5, y + 0.5) for x, y in zip(columns, rows, strict=True)]
    starts, ways = (np.array(both) for both in zip(*rays, strict=True))
    most, least = np.full(len(starts), np.inf), np.full(len(starts), np.inf)
    for one in FITTED.parts:
        places = centreline(one, 6.0)
        # What is cut off at the ends, at most.
        ends = 2.5 * one.part.reach + sum(abs(cut.shift) for cut in one.cuts)
        inner = (
            np.minimum(
                np.linalg.norm(places - places[0], axis=1),
                np.linalg.norm(places - places[-1], axis=1),
            )
            > ends
        )
        off = places[None] - starts[:, None]
        along = np.einsum("ijk,ik->ij", off, ways)
        away = np.linalg.norm(off - along[:, :, None] * ways[:, None], axis=2)
        most = np.minimum(most, away.min(axis=1) - one.part.reach)
        if inner.any():
            least = np.minimum(least, away[:, inner].min(axis=1) - one.part.reach)
    hit = drawn[rows, columns]
    # A cut end's long point may stand ahead of its centreline by its own reach.
    assert most[hit].max() < seam + 30.0
    assert np.mean(most[hit] < seam) > 0.98
    assert hit[least < -seam].all()
    assert np.sum(least < -seam) > 200


def centreline(one, step=3.0):
    """Places (n, 3) along a part's centreline."""
    found = []
    for segment in one.part.path.segments:
        share = np.linspace(0.0, 1.0, max(math.ceil(segment.length / step), 1) + 1)
        if isinstance(segment, Straight):
            found.append(segment.start + share[:, None] * (segment.end - segment.start))
        else:
            found.append(segment.points(share * segment.angle_rad))
    return np.concatenate(found)


@PERSPECTIVE
def test_own_places_are_vtks(view, perspective):
    stand(view, FREE, perspective)
    view.zoom(2.5, QPointF(100, 300))
    paint(view)
    points = np.concatenate([centreline(one, 100.0) for one in FITTED.parts])
    renderer = view._drawing._renderer
    wanted = []
    for point in points.tolist():
        renderer.SetWorldPoint(*point, 1.0)
        renderer.WorldToDisplay()
        wanted.append(renderer.GetDisplayPoint()[:2])
    placed = view.placed(points)
    np.testing.assert_allclose(placed[:, 0], np.array(wanted)[:, 0], atol=0.01)
    np.testing.assert_allclose(placed[:, 1], HIGH - np.array(wanted)[:, 1], atol=0.01)
    other, _ = seen_from(FREE, view, perspective)
    np.testing.assert_allclose(placed[:, :2], other(points), atol=1e-6)
    # What is nearer to the viewer says so.
    back = view.axes()[2]
    assert view.placed(np.array([view.camera.focus + 10 * back]))[0, 2] == pytest.approx(10.0)


@PERSPECTIVE
def test_what_it_turns_about_keeps_its_place(view, perspective):
    stand(view, FREE, perspective)
    about = np.array([[300.0, 200.0, 150.0]])
    before = view.placed(about)
    view.camera = view.camera.turned(100.0, -30.0, about[0])
    np.testing.assert_allclose(view.placed(about), before, atol=1e-6)


def test_the_exact_views_are_those_of_the_drawings(qtbot, view):
    for key, seen in (
        (Qt.Key.Key_1, FROM_RIGHT),
        (Qt.Key.Key_2, FROM_ABOVE),
        (Qt.Key.Key_3, FROM_FRONT),
    ):
        qtbot.keyClick(view, key)
        right, up, back = view.axes()
        np.testing.assert_allclose(right, seen.right, atol=1e-12)
        np.testing.assert_allclose(up, seen.up, atol=1e-12)
        np.testing.assert_allclose(back, np.cross(seen.right, seen.up), atol=1e-12)
    qtbot.keyClick(view, Qt.Key.Key_0)
    assert (view.camera.turn_deg, view.camera.tilt_deg) == (310.0, 20.0)
    view.look_from("above")
    assert view.camera.tilt_deg == 90.0


def test_what_is_on_the_left_is_seen_on_the_left(view):
    """Left is +y: from the front at the right hand, from above at the top, from the right behind."""
    view.set_frame([PARTS["headstock"], PARTS["peg boss left"]], {}, WELDED)
    for turn, axis, sign in (((0.0, 0.0), 1, 1.0), ((-90.0, 90.0), 0, -1.0)):
        stand(view, turn)
        rows, columns = np.nonzero(covered(view))
        middle = view.placed(np.zeros((1, 3)))[0]
        places = (rows, columns)[axis]
        far = places.max() if sign > 0 else places.min()
        # The headstock stands on the centre-plane, so the one that reaches farther is the boss.
        y = max(abs(vertex[1]) for vertex in PARTS["peg boss left"].part.path.vertices)
        assert (far - middle[1 - axis]) * sign == pytest.approx(
            y / view.camera.mm, abs=14.0 / view.camera.mm
        )
    view.set_frame(FITTED.parts, {}, WELDED)
    stand(view, SIDE)
    at = view.placed(np.mean(PARTS["main rail left"].part.path.vertices[:2], axis=0)[None])[0]
    assert view.part_at(QPointF(at[0], at[1])) == "main rail right"
    stand(view, (90.0, 0.0))
    at = view.placed(np.mean(PARTS["main rail left"].part.path.vertices[:2], axis=0)[None])[0]
    assert view.part_at(QPointF(at[0], at[1])) == "main rail left"


def test_a_section_leaves_only_what_lies_to_the_right_of_it(view):
    stand(view, (-90.0, 90.0))
    whole = covered(view)
    view.section(0.0)
    right = covered(view)
    middle = view.placed(np.zeros((1, 3)))[0, 1]
    # From above y is up: nothing is left above the centre-plane's row, and below it is all that was there.
    assert not right[: math.floor(middle) - 1].any()
    np.testing.assert_array_equal(right[math.ceil(middle) + 1 :], whole[math.ceil(middle) + 1 :])
    assert right.any()
    assert whole[: math.floor(middle) - 1].any()
    left = view.placed(np.mean(PARTS["peg boss left"].part.path.vertices, axis=0)[None])[0]
    assert view.part_at(QPointF(left[0], left[1])) == ""
    view.section(None)
    np.testing.assert_array_equal(covered(view), whole)
    assert view.part_at(QPointF(left[0], left[1])) == "peg boss left"
    # The steel that is cut through is shown in one flat shade, from the left.
    paper, ink = view.palette().base().color().red(), view.palette().text().color().red()
    stand(view, (90.0, 0.0))
    whole_shades = [np.sum(np.abs(bare(view) - 0.4 * paper - 0.6 * ink).max(axis=2) < 1.0)]
    view.section(0.0)
    whole_shades.append(np.sum(np.abs(bare(view) - 0.4 * paper - 0.6 * ink).max(axis=2) < 1.0))
    assert whole_shades[1] > whole_shades[0] + 150
    stand(view, (-90.0, 90.0))
    # Lower limits take away more.
    view.section(-60.0)
    assert 0 < covered(view).sum() < right.sum()


def met_first(ray, x, y):
    """The part whose metal a pixel's ray meets first, by stepping along it; "" for none."""
    start, way = ray(x, y)
    best = (np.inf, "")
    for one in FITTED.parts:
        places = CENTRELINES[one.part.name]
        off = places - start
        along = off @ way
        away = np.linalg.norm(off - along[:, None] * way, axis=1)
        near = along[away < 2.5 * one.part.reach + 3.0]
        if not near.size:
            continue
        steps = np.arange(near.min() - 60.0, near.max() + 60.0, 0.4)
        depth, beyond = depth_in(one, start + steps[:, None] * way)
        metal = steps[(depth > 0) & (beyond >= 0)]
        if metal.size and metal[0] < best[0]:
            best = (float(metal[0]), one.part.name)
    return best[1]


CENTRELINES = {one.part.name: centreline(one) for one in FITTED.parts}


@PERSPECTIVE
def test_what_is_picked_is_what_a_ray_meets_first(view, perspective):
    stand(view, FREE, perspective)
    _, ray = seen_from(FREE, view, perspective)
    wanted = {}
    # Places where parts are, and an even grid with nothing at most of them.
    places = [view.placed(CENTRELINES[name])[len(CENTRELINES[name]) // 2, :2] for name in PARTS]
    places += [np.array([x, y]) for x in range(30, WIDE, 90) for y in range(30, HIGH, 70)]
    for x, y in places:
        around = {
            met_first(ray, x + dx, y + dy)
            for dx, dy in ((0, 0), (1.2, 0), (-1.2, 0), (0, 1.2), (0, -1.2))
        }
        # Not where two parts meet: a pixel's width decides there.
        if len(around) == 1:
            wanted[(x, y)] = around.pop()
    found = {place: view.part_at(QPointF(*place)) for place in wanted}
    assert found == wanted
    assert len(set(wanted.values())) >= 16
    assert "" in wanted.values()


def test_the_chosen_tube_stands_out_by_more_than_its_colour(view):
    stand(view, SIDE)
    before = paint(view)
    view.choose("main rail")
    after = paint(view)
    changed = np.any(before != after, axis=2)
    placed, _ = seen_from(SIDE, view)
    rails = shadow([PARTS["main rail left"], PARTS["main rail right"]], placed)
    assert np.sum(changed & rails) > 0.5 * rails.sum()
    assert not np.any(changed & ~grown(rails, 4))
    view.lines_only(True)
    chosen = np.sum(paint(view) < 128)
    view.choose("")
    plain = np.sum(paint(view) < 128)
    assert chosen > 1.2 * plain


def test_a_finer_screen_has_more_pixels_of_the_same(view, monkeypatch):
    coarse = covered(view)
    monkeypatch.setattr(view, "devicePixelRatioF", lambda: 2.0)
    fine = covered(view)
    assert fine.shape == (2 * HIGH, 2 * WIDE)
    halved = fine.reshape(HIGH, 2, WIDE, 2).any(axis=(1, 3))
    assert not np.any(halved & ~grown(coarse, 1))
    assert not np.any(coarse & ~grown(halved, 1))


def test_a_picture_of_another_size_shows_the_same(view):
    small = covered(view)
    picture = view.picture(3 * WIDE, 3 * HIGH)
    assert (picture.width(), picture.height()) == (3 * WIDE, 3 * HIGH)
    large = np.any(pixels(picture) != 255, axis=2)
    thirds = large.reshape(HIGH, 3, WIDE, 3).any(axis=(1, 3))
    assert not np.any(thirds & ~grown(small, 2))
    assert not np.any(small & ~grown(thirds, 1))
    view.names(True)
    assert np.any(pixels(view.picture(3 * WIDE, 3 * HIGH)) != pixels(picture))
    np.testing.assert_array_equal(covered(view), small)


def test_a_window_that_grows_keeps_a_fitted_frame_fitted(view):
    view.resize(WIDE, HIGH // 2)
    rows, _ = np.nonzero(covered(view))
    assert rows.min() >= 35
    assert rows.max() <= HIGH // 2 - 35


def test_what_is_left_is_seen_as_large_as_there_is_room(view):
    parts = list(view._parts.values())
    whole = view.camera
    view.set_frame(parts[:2])
    view.picture(WIDE, HIGH)
    assert view.camera.mm < 0.9 * whole.mm
    view.set_frame(parts)
    view.picture(WIDE, HIGH)
    assert view.camera.mm == pytest.approx(whole.mm)
    view.zoom(2.0)
    near = view.camera
    view.set_frame(parts[:2])
    view.picture(WIDE, HIGH)
    assert view.camera == near
