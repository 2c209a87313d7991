"""What a printer's drawings are stretched by."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.errors import check_range
from geometry.said import said

LEAST, MOST = 0.985, 1.015
"""A printer's own error is smaller than this; more is a setting that scales the page.

Printer makers' and hobbyists' reports: a-d-c.ca "Printer calibration", under 0.5 % as a rule.
"""


@dataclass(frozen=True)
class Correction:
    """What a printer's drawings are stretched by.

    Attributes:
        x: across the sheet; nominal over measured, from 0.985 to 1.015.
        y: along the sheet.
        printer: its name, printed on every sheet.
        measured: it was measured on this sheet; False for a printer that is only named.
    """

    x: float = 1.0
    y: float = 1.0
    printer: str = ""
    measured: bool = True

    def __post_init__(self) -> None:
        """Refuse what no printer needs."""
        check_range(said("printer correction X"), self.x, LEAST, MOST, unit=said("times"))
        check_range(said("printer correction Y"), self.y, LEAST, MOST, unit=said("times"))

    @property
    def words(self) -> str:
        """For the foot of every sheet."""
        if not self.printer and self.x == self.y == 1.0:
            return said("no printer correction")
        if not self.measured:
            return said(
                "no correction: {printer} is not measured on this sheet", printer=self.printer
            )
        by = said("corrected X {x} Y {y}", x=f"{self.x:.4f}", y=f"{self.y:.4f}")
        return said("{by} for {printer}", by=by, printer=self.printer) if self.printer else by


NO_CORRECTION = Correction()
