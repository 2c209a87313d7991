"""numbers.json: every number that is on the paper, for machines, never rounded."""

from __future__ import annotations

import json
from typing import Any

from geometry.findings import Finding

FORMAT, VERSION = "copewright-numbers", 1


def numbers_bytes(
    findings: tuple[Finding, ...], cuts: list[dict[str, Any]], tubes: list[dict[str, Any]]
) -> bytes:
    """The file's bytes: UTF-8 JSON, keys in a fixed order, no NaN or infinity."""
    whole = {
        "format": FORMAT,
        "version": VERSION,
        "findings": [
            {"code": f.code, "level": f.level, "where": f.where, "what": f.what, "do": f.do}
            for f in findings
        ],
        "cuts": cuts,
        "tubes": tubes,
    }
    return (json.dumps(whole, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()
