"""Stops that a named person has lifted: the finding stays, as a check, with the name and the reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from corelib.findings import Finding, Lifted, in_order
from corelib.job.acknowledged import NEVER_LIFTED, LiftedStop


def lifted_findings(
    findings: Sequence[Finding], stops: Sequence[LiftedStop], *, note_idle: bool = False
) -> tuple[Finding, ...]:
    """Return the findings in order, with the stops of a stated code and core lifted (in every box).

    A finding on a body without an honest figure stays a stop. `note_idle` adds a note for each statement that
    meets no stop: right where the findings are all that a plan has.
    """
    stated = {(stop.code, stop.core): stop for stop in stops}
    shown: list[Finding] = []
    for finding in findings:
        stop = stated.get((finding.code, finding.core))
        if stop is not None and _may_be_lifted(finding):
            finding = replace(finding, severity="check", lifted=Lifted(stop.by, stop.reason, stop.date))
        shown.append(finding)
    return in_order([*shown, *_idle(findings, stops)] if note_idle else shown)


def _idle(findings: Sequence[Finding], stops: Sequence[LiftedStop]) -> list[Finding]:
    """Return a note for each statement that meets no stop, so that nobody relies on it elsewhere."""
    met = {(finding.code, finding.core) for finding in findings if _may_be_lifted(finding)}
    return [
        Finding("plan.lifts_nothing", "note", {"code": stop.code, "by": stop.by}, core=stop.core)
        for stop in stops
        if (stop.code, stop.core) not in met
    ]


def _may_be_lifted(finding: Finding) -> bool:
    return finding.severity == "stop" and finding.code.partition(".")[0] not in NEVER_LIFTED
