"""The bend drawing as DXF: its views, title block and words, read back and drawn by another program's renderer."""

from __future__ import annotations

import io

import ezdxf
import numpy as np
import pytest
from scipy.spatial import cKDTree

from geometry.bend import BendRow, bend_table, path_from_table
from geometry.bend_plan import BendJob, solve_bend
from geometry.material import MATERIALS
from geometry.path import Path
from geometry.section import RoundTube
from geometry.title import TitleFacts
from templates_out.bend_drawing import bend_files, drawing_contents
from templates_out.bend_picture import tube_picture
from templates_out.clip import strokes_of
from templates_out.drawing import CENTRELINE, OUTLINE
from templates_out.paper import paper
from templates_out.tile_plan import stroke_points
from templates_out.title_block import Issue

SPACE = Path(((0, 0, 0), (400, 0, 0), (550, 250, 0), (600, 300, 400), (900, 350, 420)), (80.0,) * 3)


FLAT = Path(((0, 0, 0), (400, 0, 0), (700, 0, 300)), (115.0,))


FACTS = TitleFacts("A. Builder", "ES-1", "B", "2026-05-01", "Jo Fitter", "Al Wright", "third", "C")


def solved(path, **options):
    return solve_bend(BendJob(RoundTube(25.0, 2.0), path, MATERIALS["E235"], **options))


def test_planes_show_every_straight_and_bend_once_in_true_size():
    for path in (
        SPACE,
        Path(((0, 0, 0), (400, 0, 0), (550, 250, 0), (900, 250, 0), (900, 400, 300)), (80.0,) * 3),
    ):
        data = bend_files(solved(path))["bend.dxf"]
        space = ezdxf.read(io.TextIOWrapper(io.BytesIO(data), encoding="cp1252")).modelspace()
        lengths, angles, radii = [], [], []
        for dim in space.query("DIMENSION"):
            measured = dim.get_measurement()
            measured = measured if isinstance(measured, float) else measured.magnitude
            {2: angles, 4: radii}.get(dim.dimtype & 15, lengths).append(measured)
        rows = bend_table(path)
        assert sorted(lengths) == pytest.approx(sorted(path.straights), abs=1e-6)
        assert sorted(angles) == pytest.approx(sorted(row.angle_deg for row in rows), abs=1e-6)
        assert sorted(radii) == pytest.approx(sorted(path.radii), abs=1e-6)


def test_the_dxf_says_that_it_is_true_and_how_to_check_it():
    data = bend_files(solved(SPACE), issue=Issue(FACTS, "ES-1-01"))["bend.dxf"]
    space = ezdxf.read(io.TextIOWrapper(io.BytesIO(data), encoding="cp1252")).modelspace()
    (check,) = space.query('LINE[layer=="CHECK"]')
    assert check.dxf.start.distance(check.dxf.end) == pytest.approx(100.0)
    words = {text.dxf.text for text in space.query("TEXT")}
    assert {"100 mm check", "mm, degrees", "ES-1-01", "1:1", "ISO 13920-C", "B"} <= words


def test_a_bend_by_a_hair_out_of_an_otherwise_flat_tube_is_no_crash():
    rows = [BendRow(100.0, 0.0, 60.0, 80.0), BendRow(20.0, 90.0, 0.01, 80.0)]
    path = path_from_table(rows, 20.0)
    assert path.plane is not None
    files = bend_files(solved(path))
    assert {"bend.dxf", "bend-profile.dxf"} == set(files)
    assert drawing_contents(solved(path), paper("A4"), Issue())


def test_letters_that_dxf_cannot_hold_are_said():
    for name, said in (("Träger", False), ("Балка 管", True)):
        data = bend_files(solved(FLAT, name=name))["bend.dxf"]
        space = ezdxf.read(io.TextIOWrapper(io.BytesIO(data), encoding="cp1252")).modelspace()
        words = " ".join(text.dxf.text for text in space.query("TEXT"))
        assert ("stands for a letter that DXF cannot hold" in words) is said


def test_a_picture_by_ezdxfs_own_renderer_looks_like_the_pdf(tmp_path):
    """Both drawn to pixels: the tube's strokes of one lie on those of the other."""
    from ezdxf.addons.drawing import Frontend, RenderContext, config, layout, svg
    from PySide6.QtCore import QByteArray
    from PySide6.QtGui import QImage, QPainter
    from PySide6.QtSvg import QSvgRenderer

    result = solved(FLAT)
    document = ezdxf.read(
        io.TextIOWrapper(io.BytesIO(bend_files(result)["bend-profile.dxf"]), encoding="cp1252")
    )
    backend = svg.SVGBackend()
    black = config.Configuration(
        background_policy=config.BackgroundPolicy.WHITE, color_policy=config.ColorPolicy.BLACK
    )
    Frontend(RenderContext(document), backend, config=black).draw_layout(document.modelspace())
    page = layout.Page(0, 0, layout.Units.mm, margins=layout.Margins.all(0))
    drawn = backend.get_string(page, settings=layout.Settings(scale=0.5))
    image = QImage(1400, 1400, QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    renderer = QSvgRenderer(QByteArray(drawn.encode()))
    size = renderer.defaultSize()
    renderer.render(painter)
    painter.end()
    bits = np.frombuffer(image.constBits(), np.uint8).reshape(1400, image.bytesPerLine())[:, :1400]
    rows, columns = np.nonzero(bits < 128)
    seen = np.column_stack((columns / 1400 * size.width(), -rows / 1400 * size.height()))
    seen = seen - seen.min(axis=0)
    strokes = stroke_points(
        [
            s.points
            for s in strokes_of(tube_picture(result, 1.0, 3.5).drawing)
            if s.pen in (OUTLINE, CENTRELINE)
        ],
        0.5,
    )
    strokes = strokes - strokes.min(axis=0)
    scale = np.ptp(strokes, axis=0) / np.ptp(seen, axis=0)
    assert scale[0] == pytest.approx(scale[1], rel=0.01)
    assert cKDTree(seen * scale).query(strokes)[0].max() < 0.02 * np.ptp(strokes[:, 0])
    assert cKDTree(strokes).query(seen * scale)[0].max() < 0.01 * np.ptp(strokes[:, 0])
