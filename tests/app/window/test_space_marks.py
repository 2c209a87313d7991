"""The free view: chosen points are marked in it, and a section shows what it goes through."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

pytest.importorskip("vtkmodules", reason="VTK is installed with the program")

from geometry.solid_mesh import solid_mesh
from tests.app.window.space_seen import FITTED, HIGH, PARTS, WIDE, paint, stand


def test_a_chosen_point_is_marked_in_space_too(qtbot, open_window):
    window = open_window("Frame")
    window.actions_of_frame.open_sample("paddock-stand")
    page = window.frame
    qtbot.waitUntil(lambda: page.result is not None and page.result.fitted.frame == page.frame)
    space = page.views.space
    page.choose("Points", "prop head")
    assert space._marked == {"prop head": page._places()["prop head"]}
    assert space.problem == ""
    x, y, _ = space.placed(np.array([page._places()["prop head"]]))[0]
    picture = space.grab().toImage()
    accent = space.palette().highlight().color()
    assert picture.pixelColor(round(x), round(y)) == accent
    page.choose("Tubes", "prop")
    assert not space._marked
    page.choose("Points", "")
    for row in range(3):
        page.column.points.item(row).setSelected(True)
    assert list(space._marked) == page.column.points.selected
    assert page.views.flat["Side"]._chosen == set(page.column.points.selected)


def section_of(name, y):
    """Places (n, 3) on the lines along which a plane cuts a part (trimesh's section of the same mesh)."""
    others = {part: one.part for part, one in PARTS.items()}
    mesh = solid_mesh(PARTS[name], others)
    solid = trimesh.Trimesh(mesh.points, mesh.triangles, process=False)
    lines = solid.section(plane_origin=(0.0, y, 0.0), plane_normal=(0.0, 1.0, 0.0))
    return np.concatenate([np.linspace(lines.vertices[a], lines.vertices[b], 9) for one in lines.entities
                           for a, b in zip(one.points[:-1], one.points[1:], strict=True)])  # fmt: skip


@pytest.mark.parametrize(("name", "y"), [("backbone", 0.0), ("backbone", 9.0), ("headstock", 4.0)])
def test_lines_alone_show_where_it_is_cut_open(view, name, y):
    stand(view, (90.0, 0.0))
    view.lines_only(True)
    view.section(y)
    dark = paint(view).sum(axis=2) < 300
    near = dark.copy()
    for step in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        near |= np.roll(dark, step, axis=(0, 1))
    x, y_px = view.placed(section_of(name, y)).T[:2].round().astype(int)
    inside = (x >= 0) & (x < WIDE) & (y_px >= 0) & (y_px < HIGH)
    assert inside.mean() > 0.9
    assert near[y_px[inside], x[inside]].mean() > 0.97
    # Closed again, they are gone.
    view.section(None)
    paint(view)
    assert not view._drawing._cut_lines.actor.GetVisibility()
    # Moved while it is open, they move along.
    view.section(y)
    paint(view)
    before = view._drawing._cut_lines._mapper.GetInput()
    view.set_frame([one for one in FITTED.parts if one.part.name != name])
    paint(view)
    assert view._drawing._cut_lines._mapper.GetInput() is not before
