"""Roots of the fourth degree, against numpy's (the companion matrix's eigenvalues)."""

from __future__ import annotations

import numpy as np
from hypothesis import assume, given
from hypothesis import strategies as st

from geometry.quartic import falling_quartic_roots
from tests.cases import examples

size = st.floats(-2, 2)


def falling(p, q, s):
    row, roots = falling_quartic_roots(np.array([p]), np.array([q]), np.array([s]))
    assert not row.any()
    return np.sort(roots)


@examples(300)
@given(size, size, size)
def test_falling_roots_are_numpys(p, q, s):
    roots = np.roots([1.0, 0.0, p, q, s])
    # Roots that almost meet are real or not by the last digit.
    apart = np.abs(roots[:, None] - roots[None])[~np.eye(4, dtype=bool)]
    assume(apart.min() > 1e-3)
    real = np.sort(roots[np.abs(roots.imag) < 1e-9].real)
    slopes = 4 * real**3 + 2 * p * real + q
    assume(np.min(np.abs(slopes), initial=1.0) > 1e-3)
    expected = real[slopes < 0]
    np.testing.assert_allclose(falling(p, q, s), expected, atol=1e-9)


@examples(100)
@given(st.floats(0.05, 2), st.floats(0.05, 2))
def test_without_a_linear_term(one, two):
    """As when a line runs square to a bend's axis, which is the usual case."""
    assume(abs(one - two) > 0.02)
    found = falling(-(one**2) - two**2, 0.0, (one * two) ** 2)
    np.testing.assert_allclose(found, np.sort([-max(one, two), min(one, two)]), atol=1e-9)


def test_no_real_roots():
    assert falling(1.0, 0.0, 1.0).size == 0
