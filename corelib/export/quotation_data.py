"""The quotation as plain data, twice: what the customer gets, and the internal cost sheet with everything.

The customer's holds firm prices and nothing that they were made from: no range, rate, cost or margin.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from corelib import __version__
from corelib.cost.breakeven import BreakEven, JoinedWorth
from corelib.cost.quotation import QuantityQuote, Quotation
from corelib.cost.sharing import CostShare, Sharing
from corelib.cost.uncertainty import shown
from corelib.export.cautions import Caution, cautions_before
from corelib.export.figures import label as figure_label
from corelib.findings import Finding
from corelib.job.profiles import PROFILE_KINDS
from corelib.wording import finding_wording, label, wording

QUOTATION_KIND = "corestow.quotation"
COST_SHEET_KIND = "corestow.cost_sheet"
QUOTATION_SCHEMA_VERSION = 1
ASSUMPTIONS = ("quote.assume_data", "quote.assume_boxes", "quote.assume_lead", "quote.assume_quantity")
EXCLUSIONS = ("quote.exclude_tax", "quote.exclude_transport", "quote.exclude_work", "quote.exclude_changes")
HANDLING = ("lifting", "silica_dust")
"""Cautions from unpacking that stay with the cores."""


def quotation_label(name: str, language: str = "en", **facts: object) -> str:
    """Return a heading of quotation and cost sheet, with facts filled in; the name itself if it has none."""
    try:
        return label("quotation", name, language, **facts)
    except KeyError:
        return name


def cost_name(code: str, language: str = "en") -> str:
    """Return the name of a cost line, a figure, a profile value or an evidence mark, as people say it."""
    for sheet, name in (("quotation", code), ("profiles", code.rpartition(".")[2])):
        try:
            return label(sheet, name, language)
        except KeyError:
            continue
    return figure_label(code, language)


def quotation_document(quotation: Quotation, language: str = "en") -> dict[str, Any]:
    """Return what the customer gets: prices, lead times, terms and cautions."""
    terms = quotation.terms
    return {
        "kind": QUOTATION_KIND,
        "schema_version": QUOTATION_SCHEMA_VERSION,
        "number": terms.number,
        "name": quotation.name,
        "customer": quotation.customer,
        "currency": quotation.currency,
        "casting_sets": list(quotation.set_names),
        "start_date": terms.start_date,
        "validity_days": terms.validity_days,
        "prices": [_offered(quote) for quote in quotation.quantities],
        "notes": [
            quotation_label("note_new box", language, sets=quote.firm.sets)
            for quote in quotation.quantities
            if quote.firm.note == "new box"
        ],
        "assumptions": _texts(ASSUMPTIONS, terms.assumptions, quotation, language),
        "exclusions": _texts(EXCLUSIONS, terms.exclusions, quotation, language),
        "cautions": [
            {"what": caution.wording.what, "why": caution.wording.why, "next": caution.wording.next}
            for caution in cautions_for(quotation, language)
        ],
    }


def _offered(quote: QuantityQuote) -> dict[str, Any]:
    ready = quote.schedule_late.done_day
    return {
        "sets": quote.firm.sets,
        "unit_price": str(quote.firm.unit),
        "total_price": str(quote.firm.total),
        "lead_time_days": quote.schedule_late.lead_time_days,
        "ready_day": None if ready is None else ready.isoformat(),
    }


def _texts(codes: tuple[str, ...], own: tuple[str, ...], quotation: Quotation, language: str) -> list[str]:
    facts = {"layer_mm": quotation.point.process.layer_thickness_mm}
    return [*(wording(code, facts, language).what for code in codes), *own]


def cautions_for(quotation: Quotation, language: str = "en") -> tuple[Caution, ...]:
    """Return the cautions that go with printed cores to whoever lifts, stores and casts them."""
    masses = {
        core_id: line.value
        for quote in quotation.quantities
        for box in quote.estimate.boxes
        for core_id, line in box.core_kg.items()
        if core_id in quotation.core_names
    }
    cores = [{"id": core_id, "name": name} for core_id, name in sorted(quotation.core_names.items())]
    plan: Mapping[str, Any] = {
        "job": {
            "cores": cores,
            "casting": quotation.casting.model_dump(mode="json"),
            "lifted_stops": [stop.model_dump(mode="json") for stop in quotation.lifted_stops],
        },
        "cores": [{**core, "mass_kg": masses.get(core["id"])} for core in cores],
        "profiles": {kind: getattr(quotation.point, kind).model_dump(mode="json") for kind in PROFILE_KINDS},
    }
    handled = [c for c in cautions_before("step_unpack", plan, language) if c.code in HANDLING]
    return (*handled, *cautions_before("step_cast", plan, language))


def cost_sheet_document(quotation: Quotation, language: str = "en") -> dict[str, Any]:
    """Return the internal cost sheet: every line, share, range and cause behind the firm prices."""
    return {
        "kind": COST_SHEET_KIND,
        "schema_version": QUOTATION_SCHEMA_VERSION,
        "version": __version__,
        "name": quotation.name,
        "customer": quotation.customer,
        "currency": quotation.currency,
        "casting_sets": list(quotation.set_names),
        "terms": quotation.terms.model_dump(mode="json"),
        "overridden": [entry.model_dump(mode="json") for entry in quotation.point.overridden],
        "machine_rate": quotation.quantities[0].machine_rate.document(),
        "left_out": list(quotation.quantities[0].sheet.left_out),
        "quantities": [_quantity(quote, quotation, language) for quote in quotation.quantities],
        "break_even": None if quotation.break_even is None else _break_even(quotation.break_even),
        "joined": None if quotation.joined is None else _joined(quotation.joined),
        "findings": [_finding(finding, language) for finding in quotation.findings],
    }


def _finding(finding: Finding, language: str) -> dict[str, Any]:
    words = finding_wording(finding, None, language)
    return {
        "code": finding.code,
        "severity": finding.severity,
        "box": finding.box,
        "facts": finding.facts,
        "message": words.message,
        "remedy": words.next,
    }


def _quantity(quote: QuantityQuote, quotation: Quotation, language: str) -> dict[str, Any]:
    firm, sheet, fill = quote.firm, quote.sheet, quote.fill
    return {
        "sets": firm.sets,
        "boxes": firm.boxes,
        "calculated_unit": str(firm.calculated_unit),
        "unit_price": str(firm.unit),
        "total_price": str(firm.total),
        "note": firm.note,
        "cost": str(sheet.cost),
        "calculated_price": str(sheet.price),
        "price_about": shown(float(sheet.price), quote.spread.price),
        "build_time_s": quote.estimate.build_time_s,
        "spread": quote.spread.document(),
        "lines": [line.document() for line in sheet.lines],
        "by_kind": {kind: str(amount) for kind, amount in sheet.by_kind().items()},
        "shares": [_shares(sharing, quotation) for sharing in quote.shares],
        "own_fill_pct": None if fill is None else fill.own_fill_pct,
        "usual_fill_pct": None if fill is None else fill.usual_fill_pct,
        "price_at_usual_fill": None if fill is None else str(fill.price),
        "places": [
            {
                "core": place.core_id,
                "name": quotation.core_names[place.core_id],
                "marginal_cost": str(place.marginal_cost),
                "empty_place_cost": str(place.empty_place_cost),
            }
            for place in quote.places
        ],
        "schedule": quote.schedule.document(),
        "lead_time_days_early": quote.schedule_early.lead_time_days,
        "lead_time_days_late": quote.schedule_late.lead_time_days,
        "findings": [_finding(finding, language) for finding in quote.schedule.findings],
    }


def _shares(sharing: Sharing, quotation: Quotation) -> dict[str, Any]:
    return {
        "rule": sharing.rule,
        "cores": [
            {**_share(share), "core_name": quotation.core_names.get(share.name, share.name)}
            for share in sharing.cores
        ],
        "sets": [_share(share) for share in sharing.sets],
        "loose": None if sharing.loose is None else _share(sharing.loose),
    }


def _share(share: CostShare) -> dict[str, Any]:
    return {
        "name": share.name,
        "count": share.count,
        "cost": str(share.cost),
        "price": str(share.price),
        "cost_each": str(share.cost_each),
        "price_each": str(share.price_each),
    }


def _break_even(found: BreakEven) -> dict[str, Any]:
    return {
        "verdict": found.verdict,
        "low": found.low,
        "likely": found.likely,
        "high": found.high,
        "without_crossing": found.without_crossing,
        "joined_worth": str(found.joined_worth),
        "curves": [
            {
                "sets": point.sets,
                "printed": list(point.printed),
                "printed_likely": point.printed_likely,
                "conventional": list(point.conventional),
                "conventional_likely": point.conventional_likely,
            }
            for point in found.curves
        ],
    }


def _joined(joined: JoinedWorth) -> dict[str, Any]:
    return {
        "parts_saved": joined.parts_saved,
        "joints_saved": joined.joints_saved,
        "assembly_min_saved": joined.assembly_min_saved,
        "worth": str(joined.worth.quantize(Decimal("0.01"))),
        "tolerance_before_mm": joined.tolerance_before_mm,
        "tolerance_after_mm": joined.tolerance_after_mm,
    }


def ready_text(seconds: float, start_day: str | None, language: str = "en") -> str:
    """Return a moment of a schedule as people write it: `day 2, 07:45`, or the date where it is known."""
    day, rest = divmod(round(seconds / 60.0), 24 * 60)
    clock = f"{rest // 60:02d}:{rest % 60:02d}"
    if start_day is None:
        return f"{quotation_label('day', language)} {day + 1}, {clock}"
    return f"{date.fromisoformat(start_day) + timedelta(days=day)} {clock}"
