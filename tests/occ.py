"""Tubes' pieces as OpenCascade's own solids, for checks from outside."""

from __future__ import annotations

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeTorus
from OCP.gp import gp_Ax2, gp_Dir, gp_Lin, gp_Pnt, gp_Vec
from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from geometry.bend_piece import BendPiece
from geometry.pieces import BoxPiece, RoundPiece


def crossings(shape, start, way):
    """The parameters at which OpenCascade finds the line on the solid's skin, in order."""
    finder = IntCurvesFace_ShapeIntersector()
    finder.Load(shape, 1e-9)
    finder.Perform(gp_Lin(gp_Pnt(*start), gp_Dir(*way)), -1e5, 1e5)
    return sorted(finder.WParameter(i) for i in range(1, finder.NbPnt() + 1))


def cylinder(start, axis, radius, length):
    return BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(*start), gp_Dir(*axis)), radius, length).Shape()


def rounded_box(start, axis, up, width, height, corner, length):
    across = np.cross(up, axis)
    low = start - across * width / 2 - up * height / 2
    place = gp_Ax2(gp_Pnt(*low), gp_Dir(*axis), gp_Dir(*across))
    box = BRepPrimAPI_MakeBox(place, width, height, length).Shape()
    if corner < 1e-6:
        return box
    fillet = BRepFilletAPI_MakeFillet(box)
    explorer, seen = TopExp_Explorer(box, TopAbs_EDGE), set()
    while explorer.More():
        edge = TopoDS.Edge(explorer.Current())
        curve = BRepAdaptor_Curve(edge)
        one, two = (curve.Value(p) for p in (curve.FirstParameter(), curve.LastParameter()))
        if abs(abs(gp_Vec(one, two).Dot(gp_Vec(*axis))) - length) < 1e-6:
            first = sorted([(one.X(), one.Y(), one.Z()), (two.X(), two.Y(), two.Z())])[0]
            key = tuple(round(value, 4) for value in first)
            if key not in seen:
                seen.add(key)
                fillet.Add(corner, edge)
        explorer.Next()
    assert len(seen) == 4
    return fillet.Shape()


def bend(arc, radius):
    place = gp_Ax2(gp_Pnt(*arc.centre), gp_Dir(*arc.normal), gp_Dir(*arc.outwards))
    return BRepPrimAPI_MakeTorus(place, arc.radius, radius, arc.angle_rad).Shape()


def solid(piece):
    """A piece as OpenCascade's solid."""
    if isinstance(piece, BendPiece):
        return bend(piece.arc, piece.radius)
    run = piece.end - piece.start
    length = float(np.linalg.norm(run))
    if isinstance(piece, RoundPiece):
        return cylinder(piece.start, run / length, piece.radius, length)
    assert isinstance(piece, BoxPiece)
    return rounded_box(
        piece.start, run / length, piece.up, piece.width, piece.height, piece.corner, length
    )
