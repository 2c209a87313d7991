"""The default sheet through CUPS's own filter, for A4 and Letter queues: 100 mm stay 100 mm.

Needs Debian's cups-filters and a PPD for each queue, which the test writes itself.
"""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np
import pytest

from templates_out.paper import paper
from templates_out.pdf import pdf_bytes
from templates_out.printer import printer_sheet
from templates_out.sheet import number_sheets
from tests.readback import pages

FILTER = Path("/usr/lib/cups/filter/pdftopdf")

PPD = """*PPD-Adobe: "4.3"
*FormatVersion: "4.3"
*FileVersion: "1.0"
*LanguageVersion: English
*LanguageEncoding: ISOLatin1
*PCFileName: "TEST.PPD"
*Manufacturer: "Test"
*Product: "(Test)"
*ModelName: "Test"
*ShortNickName: "Test"
*NickName: "Test"
*PSVersion: "(3010.000) 0"
*LanguageLevel: "3"
*ColorDevice: False
*DefaultColorSpace: Gray
*OpenUI *PageSize/Media Size: PickOne
*OrderDependency: 10 AnySetup *PageSize
*DefaultPageSize: {name}
*PageSize A4/A4: "<</PageSize[595 842]>>setpagedevice"
*PageSize Letter/US Letter: "<</PageSize[612 792]>>setpagedevice"
*CloseUI: *PageSize
*OpenUI *PageRegion: PickOne
*OrderDependency: 10 AnySetup *PageRegion
*DefaultPageRegion: {name}
*PageRegion A4/A4: "<</PageSize[595 842]>>setpagedevice"
*PageRegion Letter/US Letter: "<</PageSize[612 792]>>setpagedevice"
*CloseUI: *PageRegion
*DefaultImageableArea: {name}
*ImageableArea A4/A4: "18 18 577 824"
*ImageableArea Letter/US Letter: "18 18 594 774"
*DefaultPaperDimension: {name}
*PaperDimension A4/A4: "595 842"
*PaperDimension Letter/US Letter: "612 792"
"""


@pytest.mark.skipif(not FILTER.exists(), reason="Debian's cups-filters is not installed")
@pytest.mark.parametrize("options", ["", "print-scaling=none sides=one-sided"])
@pytest.mark.parametrize("queue", ["A4", "Letter"])
def test_the_default_sheet_stays_true(queue, options, tmp_path):
    """With a queue's own defaults, and as the window sends it."""
    ppd = tmp_path / "queue.ppd"
    ppd.write_text(PPD.replace("{name}", queue))
    source = tmp_path / "in.pdf"
    source.write_bytes(pdf_bytes(number_sheets([printer_sheet(paper("dual"))]), "t"))
    done = subprocess.run(
        [str(FILTER), "1", "user", "title", "1", options, str(source)],
        env={"PPD": str(ppd), "PATH": "/usr/bin:/bin", "CONTENT_TYPE": "application/pdf"},
        capture_output=True,
        check=True,
    )
    (page,) = pages(done.stdout)
    lengths = [np.abs(p[1] - p[0]) for p, _, _ in page["strokes"] if len(p) == 2]
    for axis in (0, 1):
        assert any(abs(one[axis] - 100.0) < 0.01 for one in lengths), queue
    everything = np.concatenate([points for points, _, _ in page["strokes"]])
    assert everything.min() > 3.0
    assert np.all(everything.max(axis=0) < np.array([page["width"], page["height"]]) - 3.0)
