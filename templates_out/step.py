"""A bent tube as STEP (ISO 10303-21): the solid as it is to be delivered, and its centreline. Needs the extra ``step``."""

from __future__ import annotations

import os
import tempfile
import unicodedata
from typing import TYPE_CHECKING, Any

import numpy as np

from geometry.bend_plan import BendResult
from geometry.errors import CopewrightError
from geometry.path import Arc
from geometry.said import said

if TYPE_CHECKING:
    from geometry.arrays import Floats

_LEAST_MM = 1e-5
_STAMP = "1970-01-01T00:00:00"


class NoStep(CopewrightError, RuntimeError):
    """OpenCascade is not there, or cannot make the tube."""


def step_files(result: BendResult, stem: str) -> dict[str, bytes]:
    """Two STEP files, in mm: the tube's solid and its centreline, ends where they are when it is delivered.

    Args:
        result: the bent tube. What the bender trims off again is not on it; the length that fitted ends are cut
            from is.
        stem: of the files' names.

    Raises:
        NoStep: when the extra ``step`` is not installed.
    """
    try:
        from OCP.BRepOffsetAPI import BRepOffsetAPI_MakePipe
    except ImportError as error:
        text = said(
            "a STEP file needs OpenCascade, which is not installed; install it where this program was cloned, with pip install "
            '".[step]"'
        )
        raise NoStep(text) from error
    wire, start, ahead = _centreline(result)
    pipe = BRepOffsetAPI_MakePipe(wire, _ring(result, start, ahead))
    pipe.Build()
    if not pipe.IsDone():
        text = said(
            "{name} makes no STEP file: OpenCascade cannot make its solid", name=result.job.name
        )
        raise NoStep(text)
    name = result.job.name
    return {
        f"{stem}.step": _written(pipe.Shape(), name),
        f"{stem}-centreline.step": _written(wire, f"{name} centreline"),
    }


def _centreline(result: BendResult) -> tuple[Any, Floats, Floats]:
    """The delivered tube's centreline as a wire, where it starts, and its direction there."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt

    path = result.job.delivered
    builder = BRepBuilderAPI_MakeWire()
    at = first = np.array(path.vertices[0])
    for segment in path.segments:
        if isinstance(segment, Arc):
            # From where the edge before it ends: OpenCascade joins nothing that is farther apart than 1e-7 mm.
            centre = at - segment.radius * segment.outwards
            place = gp_Ax2(
                gp_Pnt(*centre.tolist()),
                gp_Dir(*segment.normal.tolist()),
                gp_Dir(*segment.outwards.tolist()),
            )
            edge = BRepBuilderAPI_MakeEdge(gp_Circ(place, segment.radius), 0.0, segment.angle_rad)
            at = (
                at
                + segment.points(np.array([segment.angle_rad]))[0]
                - segment.points(np.zeros(1))[0]
            )
        else:
            if segment.length < _LEAST_MM:
                continue
            end = at + (segment.end - segment.start)
            edge = BRepBuilderAPI_MakeEdge(gp_Pnt(*at.tolist()), gp_Pnt(*end.tolist()))
            at = end
        builder.Add(edge.Edge())
    if not builder.IsDone():
        text = said(
            "{name} makes no STEP file: its centreline does not join up", name=result.job.name
        )
        raise NoStep(text)
    return builder.Wire(), first, path.directions[0]


def _ring(result: BendResult, start: Floats, ahead: Floats) -> Any:
    """The tube's section as a face at its start."""
    from OCP.BRepBuilderAPI import (
        BRepBuilderAPI_MakeEdge,
        BRepBuilderAPI_MakeFace,
        BRepBuilderAPI_MakeWire,
    )
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pln, gp_Pnt
    from OCP.TopoDS import TopoDS

    tube = result.job.tube
    place = gp_Ax2(gp_Pnt(*start.tolist()), gp_Dir(*ahead.tolist()))

    def circle(radius: float) -> Any:
        edge = BRepBuilderAPI_MakeEdge(gp_Circ(place, radius)).Edge()
        return BRepBuilderAPI_MakeWire(edge).Wire()

    face = BRepBuilderAPI_MakeFace(gp_Pln(place.Location(), place.Direction()), circle(tube.radius))
    if tube.wall < tube.radius:
        face.Add(TopoDS.Wire(circle(tube.radius - tube.wall).Reversed()))
    return face.Face()


def _written(shape: Any, name: str) -> bytes:
    """A shape as a file's bytes: millimetres, and no clock in it."""
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.Interface import Interface_Static
    from OCP.Message import Message, Message_Gravity
    from OCP.StepBasic import StepBasic_Product
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
    from OCP.TCollection import TCollection_HAsciiString

    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    bare = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    plain = bare.replace("'", "").strip() or "tube"
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    writer.Transfer(shape, STEPControl_AsIs)
    model = writer.Model()
    for number in range(1, model.NbEntities() + 1):
        entity = model.Value(number)
        if isinstance(entity, StepBasic_Product):
            # Of itself it counts the products of this process.
            entity.SetId(TCollection_HAsciiString(plain))
            entity.SetName(TCollection_HAsciiString(plain))
    header = APIHeaderSection_MakeHeader(model)
    header.SetName(TCollection_HAsciiString(plain))
    header.SetTimeStamp(TCollection_HAsciiString(_STAMP))
    handle, place = tempfile.mkstemp(suffix=".step")
    os.close(handle)
    try:
        writer.Write(place)
        with open(place, "rb") as stream:
            return stream.read()
    finally:
        os.unlink(place)
