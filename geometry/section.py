"""The section of a tube: outline, inside, area, mass."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

from geometry.errors import check_range
from geometry.said import said
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
        check_range(said("tube OD"), self.od, 1.0, MAX_SIZE_MM)
        check_range(said("tube wall"), self.wall, 0.0, self.od / 2, above=True, below=True)

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


@dataclass(frozen=True)
class BoxSection:
    """A rectangular hollow section with rounded corners.

    Attributes:
        width: across, mm, from 1 to 2000.
        height: the other way, mm, from 1 to 2000.
        wall: wall thickness, mm, above 0 and below half of the smaller side.
        corner_radius: outside radius of the corners, mm, from 0 to half of the smaller side.
    """

    width: float
    height: float
    wall: float
    corner_radius: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no section can be."""
        check_range(said("box width"), self.width, 1.0, MAX_SIZE_MM)
        check_range(said("box height"), self.height, 1.0, MAX_SIZE_MM)
        half = min(self.width, self.height) / 2
        check_range(said("box wall"), self.wall, 0.0, half, above=True, below=True)
        check_range(said("box corner radius"), self.corner_radius, 0.0, half)

    @property
    def inside_radius(self) -> float:
        """Radius of the inside corners, mm: the wall goes round the corner as thick as it is."""
        return max(self.corner_radius - self.wall, 0.0)

    @property
    def girth(self) -> float:
        """Once round the outside, mm, the corners as arcs."""
        return 2 * (self.width + self.height) - (8 - 2 * math.pi) * self.corner_radius

    @property
    def area(self) -> float:
        """Area of the metal, mm2."""
        corners = 4 - math.pi
        outside = self.width * self.height - corners * self.corner_radius**2
        inner_width, inner_height = self.width - 2 * self.wall, self.height - 2 * self.wall
        return outside - (inner_width * inner_height - corners * self.inside_radius**2)

    def mass(self, length: float, density: float = STEEL_KG_PER_MM3) -> float:
        """Mass in kg of ``length`` mm of section; ``density`` in kg/mm3."""
        return self.area * length * density


Section: TypeAlias = RoundTube | BoxSection
