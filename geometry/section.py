"""The section of a tube: outline, inside, area, mass."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.errors import check_range
from geometry.tolerances import MAX_SIZE_MM

STEEL_KG_PER_MM3 = 7850e-9
"""Density of structural steel, 7850 kg/m3 (EN 1993-1-1, 3.2.6)."""


@dataclass(frozen=True)
class RoundTube:
    """A round tube.

    Attributes:
        od: outside diameter, mm, from 1 to 2000.
        wall: wall thickness, mm, above 0 and below half the diameter.
    """

    od: float
    wall: float

    def __post_init__(self) -> None:
        """Refuse what no tube can be."""
        check_range("tube OD", self.od, 1.0, MAX_SIZE_MM)
        check_range("tube wall", self.wall, 0.0, self.od / 2, above=True, below=True)

    @property
    def radius(self) -> float:
        """Outside radius, mm."""
        return self.od / 2

    @property
    def bore_radius(self) -> float:
        """Inside radius, mm."""
        return self.od / 2 - self.wall

    @property
    def area(self) -> float:
        """Area of the metal, mm2."""
        return math.pi * (self.radius**2 - self.bore_radius**2)

    @property
    def second_moment(self) -> float:
        """Second moment of area about a diameter, mm4."""
        return math.pi / 4 * (self.radius**4 - self.bore_radius**4)

    def mass(self, length: float, density: float = STEEL_KG_PER_MM3) -> float:
        """Mass in kg of ``length`` mm of tube; ``density`` in kg/mm3."""
        return self.area * length * density
