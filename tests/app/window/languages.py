"""Qt's language tools, and a made-up language that shows what nobody has put into it."""

from __future__ import annotations

import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

ROOT = Path(__file__).parents[3]
WINDOW = ROOT / "app" / "window"
SAID = [
    *sorted(WINDOW.glob("*.py")),
    *(
        path
        for part in ("geometry", "templates_out", "app/document", "app/jobs")
        for path in sorted((ROOT / part).glob("*.py"))
    ),
]
"""Where there are texts: in ``tr`` of the window, and in ``said`` of what has no Qt."""
_KEPT = re.compile(r"\{[^{}]*\}|<[^<>]*>|&\w+;")
_PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
_WIDE = 0xFEE0
"""From an ASCII letter to the same one in its full width."""


def tool(name: str, *words: object) -> None:
    """Run one of Qt's tools, as its command in the environment does."""
    call = f"from PySide6.scripts.pyside_tool import {name}; {name}()"
    done = subprocess.run(
        [sys.executable, "-c", call, *map(str, words)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def collected(ts: Path) -> list[str]:
    """Collect every text into a new language file; returns them, and what some of them mean."""
    tool("lupdate", "-tr-function-alias", "tr+=said", *SAID, "-ts", ts)
    meanings = [one.text or "" for one in ET.parse(ts).iter("comment")]
    return [*(text for text, _ in messages(ts)), *meanings]


def messages(ts: Path) -> list[tuple[str, str]]:
    """Each text of a language file, and what it is in the language; "" where it is not yet."""
    return [
        (one.findtext("source") or "", one.findtext("translation") or "")
        for one in ET.parse(ts).iter("message")
    ]


def made_up(text: str) -> str:
    """A text in no language at all: no letter of it stays, but for what programs read."""
    parts, at = [], 0
    for kept in _KEPT.finditer(text):
        parts += [_widened(text[at : kept.start()]), kept[0]]
        at = kept.end()
    return f"⟦{''.join(parts)}{_widened(text[at:])}⟧"


def _widened(text: str) -> str:
    return "".join(chr(ord(c) + _WIDE) if c.isascii() and c.isalpha() else c for c in text)


def write_made_up(folder: Path) -> None:
    """The made-up language as the file of German."""
    ts = folder / "copewright_de.ts"
    collected(ts)
    tree = ET.parse(ts)
    for one in tree.iter("message"):
        translation = one.find("translation")
        translation.attrib.pop("type", None)
        translation.text = made_up(one.findtext("source"))
    tree.write(ts, encoding="utf-8", xml_declaration=True)
    tool("lrelease", ts)


def strange_placeholders(ts: Path) -> list[str]:
    """Translated texts with a ``{name}`` that the program does not fill in, or a brace too many; each would end in an error."""
    found = []
    for source, translated in messages(ts):
        known = set(_PLACEHOLDER.findall(source))
        try:
            translated.format(**dict.fromkeys(known, ""))
        except (KeyError, ValueError, IndexError):
            found.append(translated)
    return found
