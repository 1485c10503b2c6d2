"""Findings: what a reader of a plan must know, each with severity, code, facts and place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

Severity = Literal["note", "check", "stop"]
SEVERITIES: tuple[Severity, ...] = ("stop", "check", "note")


@dataclass(frozen=True)
class Lifted:
    """Who answers for a stop that no longer stops, why, and since when (ISO 8601, if stated)."""

    by: str
    reason: str
    date: str | None = None


@dataclass(frozen=True)
class Finding:
    """One thing that a reader of the plan must know.

    `note` informs, `check` asks for a look, `stop` means: don't build this. `core` is a core's id, `box`
    a box number from 0, `layers` the first and last layer number, `places_mm` points (in the core's own
    frame where `core` is set, else in the box's frame). A stop that a person has lifted is a `check` with
    `lifted` set.
    """

    code: str
    severity: Severity
    facts: dict[str, Any] = field(default_factory=dict)
    core: str | None = None
    box: int | None = None
    layers: tuple[int, int] | None = None
    places_mm: tuple[tuple[float, float, float], ...] = ()
    lifted: Lifted | None = None

    @property
    def sort_key(self) -> tuple[int, str, str, int, str]:
        """Worst first, then by code, core, box and facts: the order of every list of findings."""
        rank = SEVERITIES.index(self.severity)
        box = -1 if self.box is None else self.box
        return rank, self.code, self.core or "", box, repr(sorted(self.facts.items()))


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings in their fixed order, worst first, without repeats."""
    ordered = sorted(findings, key=lambda finding: finding.sort_key)
    kept: list[Finding] = []
    for finding in ordered:
        if not kept or finding != kept[-1]:
            kept.append(finding)
    return tuple(kept)


def has_stop(findings: Iterable[Finding]) -> bool:
    """Return True if any finding forbids the build."""
    return any(finding.severity == "stop" for finding in findings)
