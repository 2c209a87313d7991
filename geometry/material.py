"""Tube materials: stiffness, yield and density for estimates."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.errors import BadText
from geometry.said import said


@dataclass(frozen=True)
class Material:
    """A tube material.

    Attributes:
        name: as printed.
        young: Young's modulus, MPa.
        yield_stress: least yield stress of the delivery condition, MPa.
        density: kg/mm3.
        source: where the values are from.
    """

    name: str
    young: float
    yield_stress: float
    density: float
    source: str


_EN = "EN 10305-1, condition +N; Young's modulus and density EN 1993-1-1, 3.2.6"
MATERIALS = {
    material.name: material
    for material in (
        Material("E235", 210e3, 235.0, 7850e-9, _EN),
        Material("E355", 210e3, 355.0, 7850e-9, _EN),
        Material("S235", 210e3, 235.0, 7850e-9, "EN 10025-2, from memory"),
        Material("DOM1020", 205e3, 379.0, 7850e-9, "ASTM A513 type 5, stress relieved, least"),
        Material("4130", 205e3, 435.0, 7850e-9, "AISI 4130 normalised, handbook value"),
        Material("T45", 205e3, 620.0, 7850e-9, "BS 4T45, least"),
        Material("304", 193e3, 205.0, 7900e-9, "ASTM A240, annealed, least, from memory"),
        Material("6082-T6", 70e3, 250.0, 2700e-9, "EN 755-2, wall up to 5 mm, from memory"),
    )
}


def material(name: str) -> Material:
    """The material of that name, whatever its case.

    Raises:
        BadText: for an unknown name; the text lists the known ones.
    """
    for known in MATERIALS.values():
        if known.name.lower() == name.strip().lower():
            return known
    text = said(
        "material {name} is not known; allowed are {allowed} (E235 is plain mild steel tube)",
        name=repr(name.strip()), allowed=", ".join(MATERIALS),
    )  # fmt: skip
    raise BadText(text)
