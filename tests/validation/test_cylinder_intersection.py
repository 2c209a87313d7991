"""The meeting of two round tubes, against published results.

Ordinates and lengths: the standard parallel-line development of two cylinders,
``s = (sqrt(R^2 - (r sin + e)^2) + r cos cos) / sin`` counted back from the work point with 0 on the
tight side (M. Rose, "Layout Procedures for Metals", chapter on laterals, openoregon.pressbooks.pub),
tabulated at 30 degree steps. Closed forms: equal tubes at 90 degrees meet in plane ellipses, whose
length is ``4 sqrt(2) E(1/2)``; the volume common to both is Steinmetz's solid, 16 r^3 / 3, and for
unequal tubes the form with complete elliptic integrals (mathworld.wolfram.com, "Steinmetz Solid").
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ellipe, ellipk

from geometry.cope import cope
from geometry.joint import Joint
from geometry.landing import landing, seam_length, surface_angle
from geometry.section import RoundTube
from geometry.surface import Cylinder

# R, r, angle, offset, then s at 0, 30, ... 330 degrees from the tight side.
TABLE = [
    (25, 25, 90, 0, [25, 21.6506, 12.5, 0, 12.5, 21.6506, 25, 21.6506, 12.5, 0, 12.5, 21.6506]),
    (25, 15, 90, 0, [25, 23.8485, 21.3600, 20, 21.3600, 23.8485, 25, 23.8485, 21.3600, 20, 21.3600, 23.8485]),
    (25, 15, 60, 0, [37.5278, 35.0379, 28.9945, 23.0940, 20.3343, 20.0379, 20.2073, 20.0379, 20.3343, 23.0940, 28.9945, 35.0379]),
    (20, 20, 45, 0, [48.2843, 41.8154, 24.1421, 0, 4.1421, 7.1744, 8.2843, 7.1744, 4.1421, 0, 24.1421, 41.8154]),
    (25, 12.5, 45, 5, [47.1410, 42.3986, 33.6200, 25.2488, 21.1200, 20.7480, 22.1410, 24.4858, 28.1321, 33.7268, 40.6321, 46.1364]),
    (25, 15, 90, 10, [22.9129, 17.8536, 9.8205, 0, 9.8205, 17.8536, 22.9129, 24.8747, 24.8205, 24.4949, 24.8205, 24.8747]),
]  # fmt: skip


def joint(big, small, angle, offset=0.0, wall=1.0):
    return Joint(RoundTube(2.0 * small, wall), 2.0 * big, angle, offset)


@pytest.mark.parametrize(("big", "small", "angle", "offset", "ordinates"), TABLE)
def test_worked_ordinates(big, small, angle, offset, ordinates):
    # Ours count from the side away from the tight angle and outwards: h(phi) = -s(phi - 180), and a
    # half turn of the clock turns the offset's side as well.
    cut = cope(joint(big, small, angle, offset))
    phi = np.radians(np.arange(0, 360, 30) + 180)
    assert -cut.line_at(phi) == pytest.approx(ordinates, abs=6e-5)


@pytest.mark.parametrize(
    ("big", "small", "angle", "offset", "length"),
    [
        (25, 15, 90, 0, 96.8136),
        (25, 15, 60, 0, 104.4119),
        (25, 12.5, 45, 5, 98.8976),
        (25, 15, 90, 10, 114.1092),
        (25, 25, 90, 0, 25 * 4 * math.sqrt(2) * ellipe(0.5)),
    ],
)
def test_seam_lengths(big, small, angle, offset, length):
    assert landing(joint(big, small, angle, offset)).seam_length == pytest.approx(length, abs=6e-5)


def test_equal_tubes_square_are_a_cosine():
    cut = cope(joint(20, 20, 90))
    assert cut.line == pytest.approx(-20 * np.abs(np.cos(cut.phi)), abs=1e-9)


def test_unequal_tubes_square_have_known_extremes():
    cut = cope(joint(25, 15, 90))
    assert cut.long_point == pytest.approx(-20.0, abs=1e-9)
    assert cut.short_point == pytest.approx(-25.0, abs=1e-9)


def test_length_factor_of_an_oblique_seam():
    """UK HSE and AWS factor Ka = (1 + 1/sin) / 2, for a thin branch; taylorfrancis.com chapter 296."""
    for angle, ka in ((45, 1.207107), (60, 1.077350), (90, 1.0)):
        length = seam_length(Cylinder(1000.0, math.radians(angle), 0.0), 10.0)
        assert length / (math.tau * 10.0) == pytest.approx(ka, rel=0.01)


def common_volume(small, big, angle_deg):
    """Volume common to both tubes, from the program's own heights over the whole section."""
    surface = Cylinder(big, math.radians(angle_deg), 0.0)
    nodes, weights = np.polynomial.legendre.leggauss(400)
    phi = (np.arange(720) + 0.5) * math.tau / 720
    cosine, sine = np.cos(phi), np.sin(phi)
    total = 0.0
    for node, weight in zip(nodes, weights, strict=True):
        rho = small * (node + 1) / 2
        middle = rho * cosine * math.cos(surface.angle_rad) / math.sin(surface.angle_rad)
        chord = 2 * (middle - surface.heights(rho, cosine, sine))
        total += weight * small / 2 * rho * float(np.mean(chord)) * math.tau
    return total


def steinmetz(a, b):
    k = (b / a) ** 2
    return 8 / 3 * a * ((a * a + b * b) * ellipe(k) - (a * a - b * b) * ellipk(k))


def test_steinmetz_volumes():
    assert common_volume(25, 25, 90) == pytest.approx(16 * 25**3 / 3, rel=1e-5)
    assert common_volume(15, 25, 90) == pytest.approx(steinmetz(25, 15), rel=1e-6)
    assert common_volume(15, 25, 90) == pytest.approx(33671.291, rel=1e-6)
    assert common_volume(15, 25, 60) == pytest.approx(38880.258, rel=1e-6)


def test_angles_between_the_surfaces():
    """Heel = angle, toe = 180 - angle, saddle = 180 - acos(r / R): by normals of the two tubes."""
    surface = Cylinder(25.0, math.radians(60.0), 0.0)
    toe, side, heel = surface_angle(surface, 15.0, np.radians([0.0, 90.0, 180.0]))
    assert heel == pytest.approx(60.0, abs=1e-9)
    assert toe == pytest.approx(120.0, abs=1e-9)
    assert side == pytest.approx(180 - math.degrees(math.acos(0.6)), abs=1e-9)
    assert side == pytest.approx(126.870, abs=5e-4)
