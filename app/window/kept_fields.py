"""What stood in a page's fields, for next time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.document.settings import Kept

if TYPE_CHECKING:
    from app.window.live_page import LivePage


def kept_of(page: LivePage) -> dict[str, Kept]:
    """What stands in the fields, in no person's language: mm, and choices by their keys."""
    kept: dict[str, Kept] = {"name": page.name.text()}
    kept.update({key: field.value for key, field in page.fields.items()})
    kept.update(
        {
            key: str(choice.currentData() or choice.currentText())
            for key, choice in page.choices.items()
        }
    )
    kept.update({key: table.kept() for key, table in page.tables.items()})
    return kept


def put_back(page: LivePage, kept: dict[str, Kept]) -> None:
    """Put back what stood in the fields; what does not belong there is left out."""
    page.set_inches(page.session.inches)
    name = kept.get("name")
    if isinstance(name, str):
        page.name.setText(name)
    for key, value in kept.items():
        if key in page.fields and isinstance(value, float | int):
            page.fields[key].set_value(float(value))
        elif key in page.choices and isinstance(value, str):
            choice = page.choices[key]
            index = choice.findData(value)
            choice.setCurrentIndex(index if index >= 0 else max(choice.findText(value), 0))
        elif key in page.tables and isinstance(value, list):
            page.tables[key].recall(value)
