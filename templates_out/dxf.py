"""A drawing to DXF: R2000, model space, 1:1, millimetres, plain entities that every reader knows."""

from __future__ import annotations

import io
import math
import re
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from ezdxf import options, units  # type: ignore[attr-defined]
from ezdxf.document import Drawing as Document
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from geometry.arrays import Floats
from geometry.errors import OutOfRange
from geometry.lengths import format_mm
from geometry.said import said
from templates_out.canvas import draw, extents
from templates_out.drawing import (
    AngleDim,
    Arc,
    Dim,
    Drawing,
    LinearDim,
    Pen,
    RadiusDim,
    Text,
)

_LAYER_NAME = re.compile(r"[A-Z][A-Z0-9_-]{0,29}")
_ALIGN = {
    "left": TextEntityAlignment.LEFT,
    "centre": TextEntityAlignment.CENTER,
    "right": TextEntityAlignment.RIGHT,
}
# Group 370 knows only these widths, in hundredths of a mm.
_WIDTHS = (13, 18, 25, 35, 50)
_LINETYPES = {"CENTRELINE": "CENTER", "DATUM": "CENTER", "HIDDEN": "HIDDEN"}
_STYLE = "SHOP_MM"
_DIM_HEIGHT_MM = 3.5


def latin1(text: str) -> str:
    """Text that every reader shows: letters outside Latin-1 lose their accents or become "?"."""
    plain = text.replace("\u2013", "-").replace("\u2212", "-").replace("\u2033", '"')
    kept = []
    for char in unicodedata.normalize("NFC", plain):
        if ord(char) < 256:
            kept.append(char)
        else:
            bare = unicodedata.normalize("NFKD", char)
            kept.append("".join(c for c in bare if ord(c) < 256) or "?")
    return "".join(kept)


class DxfCanvas:
    """Adds a drawing's items to the model space of a document."""

    def __init__(self, document: Document, text_scale: float) -> None:
        self._document = document
        self._space = document.modelspace()
        self._text_scale = text_scale

    def _attribs(self, pen: Pen) -> dict[str, Any]:
        return {"layer": self._layer(pen.layer, pen.width)}

    def _layer(self, name: str, width: float = 0.18) -> str:
        if not _LAYER_NAME.fullmatch(name):
            text = said(
                "layer {name} is not a name that every reader takes: A-Z, 0-9, _ and -, 30 at most",
                name=repr(name),
            )
            raise OutOfRange(text)
        if name not in self._document.layers:
            weight = min(_WIDTHS, key=lambda known: abs(known - 100 * width))
            linetype = _LINETYPES.get(name, "Continuous")
            self._document.layers.add(name, color=7, linetype=linetype, lineweight=weight)
        return name

    def polyline(self, points: Floats, closed: bool, pen: Pen) -> None:
        """Two points become a LINE, more an LWPOLYLINE."""
        attribs = self._attribs(pen)
        vertices = [(float(x), float(y)) for x, y in points]
        if len(vertices) == 2 and not closed:
            self._space.add_line(vertices[0], vertices[1], dxfattribs=attribs)
        else:
            self._space.add_lwpolyline(vertices, close=closed, dxfattribs=attribs)

    def arc(self, arc: Arc) -> None:
        """A true ARC, or a CIRCLE for a whole turn."""
        attribs = self._attribs(arc.pen)
        if arc.end_deg - arc.start_deg >= 360 - 1e-9:
            self._space.add_circle(arc.centre, arc.radius, dxfattribs=attribs)
        else:
            self._space.add_arc(
                arc.centre, arc.radius, arc.start_deg, arc.end_deg, dxfattribs=attribs
            )

    def text(self, text: Text) -> None:
        """One TEXT."""
        entity = self._space.add_text(
            latin1(text.text),
            height=text.height,
            rotation=text.turn_deg % 360,
            dxfattribs={"layer": self._layer(text.layer), "style": "SHOP"},
        )
        entity.set_placement(text.at, align=_ALIGN[text.anchor])

    def dimension(self, dim: Dim) -> None:
        """A true DIMENSION with its block, measured again after it is drawn."""
        attribs = {"layer": self._layer("DIMENSIONS")}
        space = self._space
        override: Any
        match dim:
            case LinearDim():
                # From left to right, or upwards: from right to left the figure would stand on its head.
                start, end, away = dim.start, dim.end, dim.away
                back, down = start[0] - end[0], start[1] - end[1]
                if back > 1e-6 or (back > -1e-6 and down > 0):
                    start, end, away = end, start, -away
                override = space.add_aligned_dim(
                    start, end, away, dimstyle=_STYLE, dxfattribs=attribs
                )
                measured = dim.value
            case AngleDim():
                middle = math.radians((dim.start_deg + dim.end_deg) / 2)
                x, y = dim.corner
                # Legs that begin at the corner itself are measured the wrong way round after rounding.
                near, far = 0.25 * dim.radius, dim.radius
                first, second = (
                    (
                        (x + near * math.cos(turn), y + near * math.sin(turn)),
                        (x + far * math.cos(turn), y + far * math.sin(turn)),
                    )
                    for turn in (math.radians(dim.end_deg), math.radians(dim.start_deg))
                )
                aside = math.radians(dim.start_deg + dim.share * (dim.end_deg - dim.start_deg))
                away = dim.radius + dim.height
                override = space.add_angular_dim_2l(
                    (x + dim.radius * math.cos(middle), y + dim.radius * math.sin(middle)),
                    first,
                    second,
                    location=None
                    if dim.share == 0.5
                    else (x + away * math.cos(aside), y + away * math.sin(aside)),
                    dimstyle=_STYLE,
                    dxfattribs=attribs,
                )
                measured = math.radians(dim.value)
            case RadiusDim():
                override = space.add_radius_dim(
                    dim.centre,
                    radius=dim.radius,
                    angle=dim.towards_deg,
                    text=f"R{format_mm(dim.value)}",
                    dimstyle=_STYLE,
                    # Inside, as on paper: outside the bend its number stands.
                    override={"dimtix": 1, "dimtmove": 0},
                    dxfattribs=attribs,
                )
                measured = dim.value
        override.render()
        entity = override.dimension
        entity.dxf.actual_measurement = measured
        if isinstance(dim, AngleDim):
            # ezdxf draws the angle from the second leg to the first and measures it the other way.
            for one, other in (("defpoint2", "defpoint4"), ("defpoint3", "defpoint")):
                kept = entity.dxf.get(one)
                entity.dxf.set(one, entity.dxf.get(other))
                entity.dxf.set(other, kept)


@contextmanager
def _fixed_meta_data() -> Iterator[None]:
    """No clock, no random ids: the same bytes for the same drawing."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _new_document(text_scale: float) -> Document:
    document = new("R2000", setup=False, units=units.MM)
    document.header["$MEASUREMENT"] = 1
    document.header["$LUNITS"] = 2
    document.header["$LTSCALE"] = text_scale
    document.linetypes.add("CENTER", [12.0, 7.5, -1.5, 1.5, -1.5], description="chain")
    document.linetypes.add("HIDDEN", [4.5, 3.0, -1.5], description="dashed")
    document.styles.add("SHOP", font="arial.ttf")
    style = document.dimstyles.duplicate_entry("Standard", _STYLE)
    for name, value in {
        "dimtxt": _DIM_HEIGHT_MM, "dimasz": 3.0, "dimexo": 1.0, "dimexe": 2.0, "dimgap": 1.0,
        "dimscale": text_scale, "dimlfac": 1.0, "dimdec": 2, "dimzin": 8, "dimdsep": ord("."),
        "dimlunit": 2, "dimtad": 1, "dimaunit": 0, "dimadec": 2, "dimazin": 2, "dimtih": 0,
        "dimtoh": 0, "dimclrd": 7, "dimclre": 7, "dimclrt": 7, "dimtxsty": "SHOP", "dimpost": "",
    }.items():  # fmt: skip
        style.set_dxf_attrib(name, value)
    style.set_arrows(blk="")
    style.copy_to_header(document)
    return document


def dxf_bytes(drawing: Drawing, *, text_scale: float = 1.0) -> bytes:
    """The drawing as a DXF file.

    Args:
        drawing: in mm, 1:1.
        text_scale: how many times larger than on paper the dimensions are written, so that they can
            be read when a long tube is shown whole.

    Returns:
        The file's bytes: R2000, Latin-1 text, its own dimension style, extents and view set.
    """
    with _fixed_meta_data():
        document = _new_document(text_scale)
        draw(drawing, DxfCanvas(document, text_scale))
        space = document.modelspace()
        # Measured with our own letters: the reader's would differ from machine to machine.
        (left, low), (right, high) = extents(drawing)
        space.reset_extents((left, low, 0.0), (right, high, 0.0))
        height = max(high - low, (right - left) * 0.6) * 1.1
        document.set_modelspace_vport(height, center=((left + right) / 2, (low + high) / 2))
        auditor = document.audit()
        if auditor.errors or auditor.fixes:
            text = said(
                "the drawing does not make a clean DXF file: {reasons}", reasons=auditor.errors or auditor.fixes
            )  # fmt: skip
            raise OutOfRange(text)
        stream = io.StringIO()
        document.write(stream)
        return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")
