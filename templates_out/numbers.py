"""numbers.json: every number that is on the paper, for machines, never rounded."""

from __future__ import annotations

import json
from typing import Any

from geometry.findings import Finding

FORMAT, VERSION = "copewright-numbers", 1


def numbers_bytes(
    findings: tuple[Finding, ...],
    cuts: list[dict[str, Any]],
    tubes: list[dict[str, Any]],
    more: dict[str, list[Any]] | None = None,
) -> bytes:
    """The file's bytes: UTF-8 JSON, keys in a fixed order, no NaN or infinity."""
    found = [
        {"code": f.code, "level": f.level, "where": f.where, "what": f.what, "do": f.do}
        for f in findings
    ]
    lists = {"findings": found, "cuts": cuts, "tubes": tubes, **(more or {})}
    lines = [f'{{"format": {_line(FORMAT)}, "version": {VERSION}']
    lines += [f'"{key}": [\n{_rows(rows)}]' for key, rows in lists.items()]
    return (",\n".join(lines) + "}\n").encode()


def _rows(rows: list[Any]) -> str:
    """Each on a line of its own."""
    return ",\n".join(_line(row) for row in rows)


def _line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
