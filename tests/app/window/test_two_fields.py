"""Numbers that are good each, and do not go together, on the pages Joint and Bend."""

from __future__ import annotations

import pytest

from tests.app.window.conftest import type_in


@pytest.mark.parametrize(
    ("page", "od", "field", "typed", "why"),
    [
        ("Joint", "12", "wall", "7", "tube wall is 7 mm; allowed is above 0 below 6 mm"),
        ("Joint", "12", "offset", "40", "offset is 40 mm; allowed is less than 33 mm"),
        ("Joint", "40", "angle", "0.1", "this tube's cut would be 22918 mm long"),
        ("Bend", "12", "wall", "7", "tube wall is 7 mm; allowed is above 0 below 6 mm"),
        ("Bend", "40", "radius", "15", "bend 1 radius is 15 mm; allowed is above 20"),
    ],
)
def test_what_two_fields_are_wrong_in_together_is_said_beside_one(
    qtbot, open_window, page, od, field, typed, why
):
    window = open_window(page)
    page = window.page(page)
    type_in(qtbot, page.fields["od"], od)
    one = page.fields[field]
    good = one.value
    type_in(qtbot, one, typed)
    assert why in one.message.text()
    assert one.message.isVisible()
    assert [each for each in page.fields.values() if each.message.isVisible()] == [one]
    # What is typed counts all the same, also when it is typed once more; another field may cure it.
    assert (one.value, one.good) == (float(typed), True)
    type_in(qtbot, one, typed)
    assert one.message.isVisible()
    window.inches.trigger()
    assert " in; " in one.message.text() or field == "angle"
    window.inches.trigger()
    type_in(qtbot, one, "apples")
    assert "is not a" in one.message.text()
    type_in(qtbot, one, typed)
    assert why in one.message.text()
    type_in(qtbot, one, str(good))
    qtbot.waitUntil(lambda: not one.message.isVisible())
    assert one.edit.accessibleDescription() == one.tip
