"""The process sheet as lines of text: for the terminal, and for a paper beside the machine."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from corelib.job.profiles import PROFILE_KINDS
from corelib.wording import label, wording

GROUPS = ("dose", "motion", "droplets", "sand", "cure", "accuracy", "casting")
WELL_KNOWN = ("measured", "fitted")
WELL_KNOWN_DIGITS, DIGITS = 4, 3
"""Digits shown of a solved value: no more than its inputs' evidence allows (a spread of 5 % and more)."""
COUNTS = ("solved.strips_across", "solved.layers_in_box")
"""Solved values that are counts: shown whole."""
LIMIT_NAMES = {
    "z_least": "Z >",
    "z_most": "Z <",
    "weber_least": "We >",
    "splash_most": "K <",
}


def process_sheet_lines(document: Mapping[str, Any], language: str = "en") -> list[str]:
    """Return the lines of a process sheet from its document (`ProcessSheet.document`)."""
    names = ", ".join(f"{kind} {document['profiles'][kind]}" for kind in PROFILE_KINDS)
    lines = [_say("title", language), names]
    lines += _headed("stated", _stated(document, language), language)
    lines += ["", _say("solved", language).upper()]
    for group in GROUPS:
        lines += [_say(f"group_{group}", language)]
        lines += [_solved(entry, language) for entry in document["solved"][group]]
    if document["dose_solver"]:
        lines += _headed("dose_solver", _dose_rows(document, language), language)
    lines += _headed("window", _window(document, language), language)
    if document["core_lifts"]:
        lines += _headed("lifts", _lifts(document, language), language)
    return lines + _headed("findings", _findings(document, language), language)


def _say(code: str, language: str, **facts: Any) -> str:
    return label("process", code, language, **facts)


def _headed(code: str, rows: Iterator[str], language: str) -> list[str]:
    return ["", _say(code, language).upper(), *rows]


def _number(value: float | None, language: str, digits: int = 4) -> str:
    if value is None:
        return _say("not_said", language)
    if abs(value) >= 10**digits:
        step = 10 ** (math.floor(math.log10(abs(value))) + 1 - digits)
        return f"{round(value / step) * step:.0f}"
    return f"{value:.{digits}g}"


def _mark(evidence: str, language: str) -> str:
    return _say(f"mark_{evidence.replace(' ', '_')}", language)


def _shown(value: Any, language: str) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return _number(value, language)
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {_shown(part, language)}" for name, part in value.items())
    if isinstance(value, Sequence) and not isinstance(value, str):
        if value and isinstance(value[0], Mapping):
            rows = "; ".join(", ".join(_shown(part, language) for part in row.values()) for row in value)
            return f"({', '.join(value[0])}) {rows}"
        return " × ".join(_shown(part, language) for part in value)
    return str(value)


def _stated(document: Mapping[str, Any], language: str) -> Iterator[str]:
    for kind in PROFILE_KINDS:
        yield f"{kind} ({document['profiles'][kind]})"
        for entry in document["stated"]:
            if entry["field"].partition(".")[0] == kind:
                yield _stated_row(entry, language)
        unknown = [
            entry["field"].partition(".")[2]
            for entry in document["unknown"]
            if entry["field"].startswith(f"{kind}.")
        ]
        if unknown:
            yield "  " + _say("unknown", language, fields=unknown)


def _stated_row(entry: Mapping[str, Any], language: str) -> str:
    name = entry["field"].partition(".")[2]
    unit = "" if entry["unit"] == "-" else f" {entry['unit']}"
    more = [_mark(entry["evidence"], language)]
    if entry["source"] not in (entry["evidence"], more[0]):
        more.append(entry["source"])
    if entry.get("n"):
        more.append(f"n = {entry['n']}")
    if entry.get("date"):
        more.append(entry["date"])
    mark = " *" if entry["is_overridden"] else ""
    return f"  {name:<28} {_shown(entry['value'], language) + unit + mark:<32} [{'; '.join(more)}]"


def _solved(entry: Mapping[str, Any], language: str) -> str:
    name = entry["code"].partition(".")[2]
    if entry["missing"]:
        value = _say("needs", language, fields=list(entry["missing"]))
    elif entry["refused"] is not None:
        reason = wording(entry["refused"]["code"], entry["refused"]["facts"], language).what
        value = _say("outside", language, reason=reason)
    else:
        unit = "" if entry["unit"] == "-" else f" {entry['unit']}"
        digits = WELL_KNOWN_DIGITS if entry["evidence"] in WELL_KNOWN else DIGITS
        number = _number(entry["value"], language, digits)
        if entry["code"] in COUNTS:
            number = f"{entry['value']:.0f}"
        value = f"{number}{unit} [{_mark(entry['evidence'], language)}]"
    how = label("solved", f"{name}.how", language)
    return f"  {label('solved', name, language)}: {value}\n      = {how}"


def _dose_rows(document: Mapping[str, Any], language: str) -> Iterator[str]:
    for row in document["dose_solver"]:
        yield "  " + _say(
            "dose_row",
            language,
            field=row["field"],
            stated=row["stated"],
            exact=row["exact"],
            settable=_number(row["settable"], language),
            obtained=row["obtained_on_sand_pct"],
            off=round(row["off_pct"], 3) + 0.0,  # never -0.0
        )


def _window(document: Mapping[str, Any], language: str) -> Iterator[str]:
    window = document["droplet_window"]
    yield f"  {window['source']}"
    for name, sign in LIMIT_NAMES.items():
        limit = window["limits"][name]
        text = _say("limit", language, name=sign, value=limit["value"], source=limit["source"])
        yield f"  {text}"
    for row in window["nozzle"]:
        yield "  " + _say(
            "at_temperature",
            language,
            temperature=row["temperature_c"],
            viscosity=row["viscosity_mpa_s"],
            z=row["inverse_ohnesorge"],
            weber=row["weber"],
            splash=row["splash_number"],
        )
    band = window["band_c"]
    if band is None:
        yield "  " + _say("no_band", language)
    else:
        yield "  " + _say("band", language, low=band[0], high=band[1])


def _lifts(document: Mapping[str, Any], language: str) -> Iterator[str]:
    for row in document["core_lifts"]:
        seat = row["seat_needed_mm2"]
        yield "  " + _say(
            "lift_row",
            language,
            core=row["core"],
            weight=row["weight_n"],
            net=row["net_lift_n"],
            gross=row["gross_lift_n"],
            wetted=row["wetted_pct"],
            bound=_say("upper_bound", language) if row["wetted_is_bound"] else "",
            seat=_say("not_said", language) if seat is None else f"{_number(seat, language)} mm²",
        )


def _findings(document: Mapping[str, Any], language: str) -> Iterator[str]:
    if not document["findings"]:
        yield "  " + _say("no_findings", language)
    for found in document["findings"]:
        facts = dict(found["facts"])
        if found["core"] is not None:
            facts["core"] = found["core"]
        text = wording(found["code"], facts, language)
        yield f"  {found['severity']}: {text.message} {text.next}"
