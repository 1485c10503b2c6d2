"""Cautions for injury, each before the step that it belongs to; they defer to local codes and data sheets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from corelib.export.figures import core_names, fixed, label, number
from corelib.wording import Wording, lifted_sentence, wording

STEPS: dict[str, tuple[str, ...]] = {
    "step_fill": ("silica_dust", "additive_dust", "alkaline_binder", "hydrogen", "electric_and_gas"),
    "step_print": ("moving_machine", "fall_into_box"),
    "step_cure": ("microwaves", "steam"),
    "step_unpack": ("hot_sand", "silica_dust", "lifting", "fall_into_box"),
    "step_cast": ("moisture_and_metal", "magnesium"),
}
"""The steps of the work in their order, and the hazards to know before each."""
STOPS = {"magnesium": "casting.magnesium"}
"""Hazards that stop the work until a named person has lifted the stop, and the finding that says so."""
LIFT_FLAG_KG = 15.0
"""A lift is flagged from this mass where the process profile states none (common practice, no source)."""


@dataclass(frozen=True)
class Caution:
    """One hazard before a step: `wording` has what it is, why it harms, and what to do."""

    code: str
    wording: Wording
    stop: str = ""
    """What stops the work until a person has answered for it, or who did; empty for most hazards."""


def cautions_before(step: str, plan: Mapping[str, Any], language: str = "en") -> tuple[Caution, ...]:
    """Return the cautions that apply before a step of this plan; what is not known counts as present."""
    facts = _facts(plan, language)
    return tuple(
        Caution(code, wording(f"cautions.{code}", facts, language), _stop(code, plan, language))
        for code in STEPS[step]
        if _applies(code, plan)
    )


def _stop(code: str, plan: Mapping[str, Any], language: str) -> str:
    """Return the line on what stops until acknowledged, or on the person who lifted the stop and why."""
    if code not in STOPS:
        return ""
    for stop in plan.get("job", {}).get("lifted_stops", ()):
        if stop["code"] == STOPS[code]:
            return lifted_sentence(stop, language)
    return label("stop_until_acknowledged", language)


def heaviest_core(plan: Mapping[str, Any]) -> tuple[str, float]:
    """Return the name and mass in kg of the heaviest single core; mass 0 where no mass is known."""
    names = core_names(plan)
    masses = [(core.get("mass_kg") or 0.0, core["id"]) for core in plan.get("cores", ())]
    if not masses:
        return "–", 0.0
    mass_kg, core_id = max(masses)
    return names.get(core_id, core_id), mass_kg


def lift_flag_kg(plan: Mapping[str, Any]) -> float:
    """Return the mass from which a piece is flagged for lifting."""
    stated = _profile_value(plan, "process", "lifted_by_hand_kg")
    return float(stated) if stated is not None else LIFT_FLAG_KG


def _facts(plan: Mapping[str, Any], language: str) -> dict[str, Any]:
    heaviest, heaviest_kg = heaviest_core(plan)
    sheet = _profile_value(plan, "binder", "sds_number")
    date = _profile_value(plan, "binder", "sds_date")
    unknown = {"en": "its number is not stated", "de": "seine Nummer ist nicht angegeben"}[language]
    return {
        "sds": ", ".join(part for part in (sheet, date) if part) or unknown,
        "heaviest": heaviest,
        "heaviest_kg": fixed(heaviest_kg, 1, language),
        "limit_kg": number(lift_flag_kg(plan), language),
    }


def _profile_value(plan: Mapping[str, Any], kind: str, field: str) -> Any:
    return plan.get("profiles", {}).get(kind, {}).get(field)


def _applies(code: str, plan: Mapping[str, Any]) -> bool:
    if code == "silica_dust":
        return _profile_value(plan, "sand", "is_silica") is not False
    if code == "additive_dust":
        return _profile_value(plan, "additive", "additive_on_sand_pct") != 0
    if code in ("alkaline_binder", "hydrogen"):
        return _profile_value(plan, "binder", "is_alkaline") is not False
    if code == "microwaves":
        return _profile_value(plan, "oven", "heating") != "convection"
    if code == "magnesium":
        return plan.get("job", {}).get("casting", {}).get("alloy") in (None, "magnesium")
    return True
