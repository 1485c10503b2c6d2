"""Text ready for a page that sets characters one after another: right-to-left runs, joined Arabic, gaps.

The PDF writer sets glyphs from left to right as they come. So a right-to-left run is turned round here and
Arabic letters take their joined forms; this follows the run rules of UAX #9 for names and short phrases,
without nested embeddings. Characters that the font lacks become □.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Container
from functools import cache

MISSING = "□"
_RIGHT_TO_LEFT = ("R", "AL", "AN")
_MIRRORED = {
    "(": ")",
    ")": "(",
    "[": "]",
    "]": "[",
    "{": "}",
    "}": "{",
    "<": ">",
    ">": "<",
    "«": "»",
    "»": "«",
}


def visual(text: str, glyphs: Container[int]) -> str:
    """Return the text in the order and forms in which its characters are set; control characters go."""
    plain = "".join(" " if unicodedata.category(c) in ("Cc", "Zl", "Zp") else c for c in text)
    plain = "".join(c for c in plain if unicodedata.category(c) != "Cf" and not 0xFE00 <= ord(c) <= 0xFE0F)
    if any(unicodedata.bidirectional(c) in _RIGHT_TO_LEFT for c in plain):
        plain = _reordered(_joined(plain))
    return "".join(c if c == " " or ord(c) in glyphs else MISSING for c in plain)


def _reordered(text: str) -> str:
    """Turn each run of right-to-left characters round, neutrals between them included; numbers stay."""
    levels = _neutrals_settled(_brackets_settled(text, [_level(c) for c in text]))
    runs: list[str] = []
    start = 0
    for index in range(1, len(text) + 1):
        if index == len(text) or (levels[index] > 0) != (levels[start] > 0):
            run = text[start:index]
            runs.append(_turned(run) if levels[start] > 0 else run)
            start = index
    return "".join(runs)


def _level(c: str) -> int:
    kind = unicodedata.bidirectional(c)
    if kind in ("R", "AL"):
        return 1
    if kind in ("AN", "EN"):
        return 2
    return 0 if kind == "L" else -1


def _brackets_settled(text: str, levels: list[int]) -> list[int]:
    """Give both brackets of a pair one direction (rule N0): theirs who stand before, unless it holds left."""
    settled = list(levels)
    open_at: list[int] = []
    for index, c in enumerate(text):
        if c in "([{":
            open_at.append(index)
        elif c in ")]}" and open_at and text[open_at[-1]] == _MIRRORED[c]:
            start = open_at.pop()
            before = next((v for v in reversed(levels[:start]) if v in (0, 1)), 0)
            direction = 0 if 0 in levels[start:index] else before
            settled[start] = settled[index] = direction
    return settled


def _neutrals_settled(levels: list[int]) -> list[int]:
    settled = list(levels)
    strong = 0
    for index, level in enumerate(levels):  # a number after right-to-left text counts with it
        if level in (0, 1):
            strong = level
        elif level == 2 and strong == 0:
            settled[index] = 0
    for index, level in enumerate(levels):
        if level == -1:
            before = next((v for v in reversed(settled[:index]) if v >= 0), 0)
            after = next((v for v in settled[index + 1 :] if v >= 0), 0)
            settled[index] = 1 if before and after else 0
    return settled


def _turned(run: str) -> str:
    """Return a right-to-left run in visual order; digits inside keep their own order."""
    pieces: list[str] = []
    for c in run:
        if c.isdigit() and pieces and pieces[-1][-1].isdigit():
            pieces[-1] += c
        else:
            pieces.append(_MIRRORED.get(c, c))
    return "".join(reversed(pieces))


@cache
def _forms() -> dict[str, dict[str, str]]:
    """Return the joined forms of each Arabic letter, and of lam with alef, from the Unicode data."""
    forms: dict[str, dict[str, str]] = {}
    for point in range(0xFE70, 0xFEFD):  # presentation forms B
        form, *letters = unicodedata.decomposition(chr(point)).split()[:3] or [""]
        base = "".join(chr(int(letter, 16)) for letter in letters)
        if base and not base.startswith(" "):
            forms.setdefault(base, {})[form] = chr(point)
    return forms


def _joined(text: str) -> str:
    forms = _forms()
    letters: list[str] = []
    for c in text:
        if letters and letters[-1] + c in forms:  # lam and alef are always set as one
            letters[-1] += c
        else:
            letters.append(c)
    shown = []
    for index, letter in enumerate(letters):
        own = forms.get(letter, {})
        before = index > 0 and "<initial>" in forms.get(letters[index - 1], {})
        after = index + 1 < len(letters) and "<final>" in forms.get(letters[index + 1], {})
        joins = before and "<final>" in own, after and "<initial>" in own
        form = {(True, True): "<medial>", (True, False): "<final>", (False, True): "<initial>"}.get(joins)
        shown.append(own.get(form or "<isolated>", letter))
    return "".join(shown)


def printable(value: str) -> str:
    """Return the text in one line, without characters that XML 1.0 can't hold.

    Line breaks become spaces: readers differ on numeric character references.
    """
    line = "".join(" " if c in "\t\n\r" else c for c in value)
    return "".join(
        c for c in line if 0x20 <= ord(c) <= 0xD7FF or (ord(c) >= 0xE000 and ord(c) & 0xFFFE != 0xFFFE)
    )
