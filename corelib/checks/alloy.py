"""Findings on the metal that is poured around the cores."""

from __future__ import annotations

from corelib.findings import Finding
from corelib.job.acknowledged import Casting
from corelib.job.profiles import OperatingPoint


def check_alloy(casting: Casting, point: OperatingPoint) -> list[Finding]:
    """Return the findings on the alloy: a note where it is not stated, a stop for magnesium.

    Molten magnesium takes oxygen from water and from silica, and hydrogen and heat come of it: cores with
    silicate binder or quartz are not to meet it until a person who answers for it says how (trade practice,
    from memory; the sheets defer to local codes).
    """
    if casting.alloy is None:
        return [Finding("casting.alloy_not_stated", "note")]
    if casting.alloy != "magnesium":
        return []
    facts = {"sand": point.sand.name, "binder": point.binder.name}
    return [Finding("casting.magnesium", "stop", facts)]
