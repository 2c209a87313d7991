"""The band of words at a sheet's foot: whatever it says, it keeps out of the drawing and off itself."""

from __future__ import annotations

from itertools import combinations

import pytest

from geometry.joint import Joint
from geometry.section import RoundTube
from templates_out.canvas import box_of
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.drawing import Text
from templates_out.joint_papers import joint_sheets
from templates_out.joint_result import solve_joint
from templates_out.paper import BAND_MM, paper

JOINTS = [
    Joint(RoundTube(38.1, 1.6), 54.0, 62.0, 6.0),
    Joint(RoundTube(139.7, 4.0), 168.3, 50.0, -7.25, "square-cut", 1.5, 2.0),
    Joint(RoundTube(60.3, 3.2), 219.1, 12.0),
]


@pytest.mark.parametrize("sheet", ["dual", "A4", "Letter", "A3", "roll"])
@pytest.mark.parametrize("joint", JOINTS)
@pytest.mark.parametrize(
    ("name", "correction"),
    [
        ("tube", NO_CORRECTION),
        ("upper rear shock mount brace of the left side, second try, with the thicker wall", Correction(1.0031, 0.9979, "the laser printer in the hall beside the kitchen door")),
    ],
)  # fmt: skip
def test_the_words_of_the_band_keep_apart(sheet, joint, name, correction):
    for page in joint_sheets(solve_joint(joint, name), paper(sheet), correction=correction):
        live = page.paper.live
        words = [item for item in page.drawing.items if isinstance(item, Text)]
        band = [
            text
            for text in words
            if text.at[1] < live.bottom + BAND_MM - 2.0
            and text.turn_deg == 0
            and len(text.text) > 3
        ]
        title = next(text for text in band if text.text.startswith(page.title[:12]))
        assert title.at[1] + title.height <= live.bottom + BAND_MM + 0.5
        for one, two in combinations(band, 2):
            # Letters, not the room that tails below the line may take.
            (left, low), (right, high) = box_of(one)
            (left2, low2), (right2, high2) = box_of(two)
            over = min(high, high2) - max(low, low2)
            if min(right, right2) > max(left, left2):
                assert over < 0.45 * one.height, (one.text, two.text)
