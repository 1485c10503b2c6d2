"""Sentences for errors and findings, from their code and facts, in each language.

`shared/wording/LANGUAGE/FAMILY.json` maps each code of a family (the part before the point) to `what` is
wrong, `why` it matters (may be empty) and what to do `next`. Facts are filled in with `str.format`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from corelib.errors import CorestowError
from corelib.findings import Finding
from corelib.reference import shared_folder

LANGUAGES = ("en", "de")


@cache
def _labels(language: str, sheet: str) -> dict[str, str]:
    path = shared_folder() / "wording" / language / "labels" / f"{sheet}.json"
    content: dict[str, str] = json.loads(path.read_text(encoding="utf-8"))
    return content


def label(sheet: str, name: str, language: str = "en", /, **facts: Any) -> str:
    """Return a short text of a sheet (a heading, a row's name) with its facts; KeyError for an unknown one.

    Labels are no sentences: `shared/wording/LANGUAGE/labels/SHEET.json` maps each name to its text.
    """
    filled = _Facts({key: _readable(value) for key, value in facts.items()})
    return _labels(language, sheet)[name].format_map(filled)


@dataclass(frozen=True)
class Wording:
    """What is wrong, why it matters, and the next step."""

    what: str
    why: str
    next: str

    @property
    def message(self) -> str:
        """What and why in one text."""
        return f"{self.what} {self.why}".strip()

    @property
    def sentence(self) -> str:
        """What and the next step: the one line for a terminal."""
        return f"{self.what} {self.next}".strip()


@cache
def _family(language: str, family: str) -> dict[str, dict[str, str]]:
    path = shared_folder() / "wording" / language / f"{family}.json"
    content: dict[str, dict[str, str]] = json.loads(path.read_text(encoding="utf-8"))
    return content


class _Facts(dict[str, Any]):
    """Facts for `format_map`: a fact that is missing shows as its name, never as a traceback."""

    def __missing__(self, key: str) -> str:
        return f"({key}?)"


def _readable(value: Any) -> Any:
    if isinstance(value, float):
        return _Number(value)
    if isinstance(value, (list, tuple)):
        return ", ".join(str(_readable(item)) for item in value)
    return value


class _Number(float):
    """A float that shows four significant digits unless the wording asks for something else."""

    def __format__(self, spec: str) -> str:
        return format(float(self), spec) if spec else str(self)

    def __str__(self) -> str:
        number = float(self)
        if number == 0 or 1e-3 <= abs(number) < 1e6:
            return f"{number:.4g}" if abs(number) < 1e4 else f"{number:.0f}"
        return f"{number:.3g}"


def wording(code: str, facts: Mapping[str, Any], language: str = "en") -> Wording:
    """Return the wording of a code with its facts filled in; raises KeyError for an unknown code."""
    family = code.partition(".")[0]
    entry = _family(language, family)[code]
    filled = _Facts({name: _readable(value) for name, value in facts.items()})
    return Wording(*(entry[part].format_map(filled) for part in ("what", "why", "next")))


def error_sentence(error: CorestowError, language: str = "en") -> str:
    """Return the one clear sentence for an error: what is wrong, where, and what to do."""
    return wording(error.code, error.facts, language).sentence


def finding_facts(finding: Finding, core_name: str | None = None) -> dict[str, Any]:
    """Return a finding's facts with its core's name and its box's number as people count (from 1)."""
    facts = dict(finding.facts)
    if core_name is not None or finding.core is not None:
        facts.setdefault("core", core_name or finding.core)
    if finding.box is not None:
        facts.setdefault("box", finding.box + 1)
    if finding.layers is not None:
        facts.setdefault("first_layer", finding.layers[0])
        facts.setdefault("last_layer", finding.layers[1])
    return facts


def finding_wording(finding: Finding, core_name: str | None = None, language: str = "en") -> Wording:
    """Return the wording of a finding; of a stop that was lifted, with who answers for it and why."""
    said = wording(finding.code, finding_facts(finding, core_name), language)
    if finding.lifted is None:
        return said
    lifted = lifted_sentence(vars(finding.lifted), language)
    return Wording(f"{lifted} {said.what}", said.why, said.next)


def lifted_sentence(lifted: Mapping[str, Any], language: str = "en") -> str:
    """Return the sentence on who lifted a stop (`by`, `reason`, `date` if stated), and why."""
    facts = {"by": lifted["by"], "date": lifted.get("date") or "–", "reason": lifted["reason"].rstrip(".")}
    return wording("plan.stop_lifted", facts, language).what
