"""Every tolerance: its name, its unit and why it is what it is."""

from __future__ import annotations

CHORD_MM = 0.01
"""A polyline's chords stay this close to the true curve: a fifth of a scribed line's width."""

CHORD_AIM_MM = 0.008
"""What the sampling aims at, so that rounding in a file never uses up the last of CHORD_MM."""

MAX_STEP_DEG = 2.5
"""Widest step round a tube: finer than the 5 degrees promised, and it has 10, 15 and 22.5 on it."""

PLANAR_MM = 0.01
"""A path whose points lie this close to one plane is drawn flat."""

COINCIDENT_MM = 1e-6
"""Two points nearer than this are one point typed twice."""

STRAIGHT_RAD = 1e-7
"""A vertex that turns less than this is in line with its neighbours: 0.1 mm over 1 km."""

LEG_SLACK_MM = 1e-6
"""A leg may be this much shorter than its tangents: the rounding of coordinates typed to full."""

MAX_SIZE_MM = 2000.0
"""No tube, radius or offset of a hand-built frame is larger; a slipped unit or decimal point is."""

MAX_COORDINATE_MM = 20000.0
"""No point of a hand-built frame is farther from its origin."""

SAME_PLACE_MM = 0.01
"""Points nearer than this are one place: a tenth of the finest scale a bench has."""

CENTRE_PLANE_MM = 0.01
"""A handed tube that is nowhere farther from the centre-plane has no hands: it counts as on it, as planar does."""
