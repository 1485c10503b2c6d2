"""The only conversion factors in the program, and how a quantity is parsed and shown.

Every dimensioned name ends in its unit; `SUFFIXES` says what each ending means. Lengths are mm, masses kg
or g, times s wherever they are stored; inch and the rest are converted at the door and nowhere else.
"""

from __future__ import annotations

from functools import cache

MM_PER: dict[str, float] = {
    "mm": 1.0,
    "micron": 0.001,
    "cm": 10.0,
    "m": 1000.0,
    "inch": 25.4,
    "foot": 304.8,
}
"""Millimetres in one length unit; inch and foot are exact (international yard, 1959)."""

SUFFIXES: dict[str, str] = {
    "mm": "mm",
    "mm2": "mm²",
    "mm3": "mm³",
    "mm_s": "mm/s",
    "mm_s2": "mm/s²",
    "um": "µm",
    "m": "m",
    "m2": "m²",
    "m3": "m³",
    "m_s": "m/s",
    "kg": "kg",
    "g": "g",
    "g_mol": "g/mol",
    "t": "t",
    "l": "L",
    "ml": "mL",
    "pl": "pL",
    "s": "s",
    "min": "min",
    "h": "h",
    "a": "years",
    "months": "months",
    "days": "days",
    "us": "µs",
    "hz": "Hz",
    "khz": "kHz",
    "c": "°C",
    "k": "K",
    "kwh": "kWh",
    "kw": "kW",
    "w": "W",
    "j": "J",
    "kj": "kJ",
    "j_kg_k": "J/(kg·K)",
    "kj_kg_k": "kJ/(kg·K)",
    "kj_kg": "kJ/kg",
    "j_kg": "J/kg",
    "w_m_k": "W/(m·K)",
    "m2_s": "m²/s",
    "pa": "Pa",
    "kpa": "kPa",
    "mpa": "MPa",
    "pa_s": "Pa·s",
    "mpa_s": "mPa·s",
    "n": "N",
    "n_m": "N/m",
    "mn_m": "mN/m",
    "mn_m_k": "mN/(m·K)",
    "g_cm3": "g/cm³",
    "kg_m3": "kg/m³",
    "pct": "%",
    "deg": "°",
    "dpi": "dots per inch",
    "g_m2": "g/m²",
    "kg_m2": "kg/m²",
    "kj_k": "kJ/K",
    "l_kg": "L/kg",
    "j_k": "J/K",
    "kg_an_hour": "kg/h",
    "per_h": "currency/h",
    "per_kg": "currency/kg",
    "per_kwh": "currency/kWh",
    "min_per_core": "min/core",
    "min_per_litre": "min/L",
    "min_per_passage": "min/passage",
}
"""What the end of a name says about its unit."""

L_PER_MM3 = 1e-6
ML_PER_MM3 = 1e-3
MM3_PER_PL = 1e-6
KG_PER_MM3_AT_1_G_CM3 = 1e-6
MM_PER_INCH = 25.4
MM2_PER_CM2 = 100.0
S_PER_H = 3600.0
S_PER_MIN = 60.0
M_PER_MM = 1e-3
M2_PER_MM2 = 1e-6
M3_PER_PL = 1e-15
L_PER_M3 = 1000.0
ML_PER_L = 1000.0
KG_M3_PER_G_CM3 = 1000.0
HZ_PER_KHZ = 1000.0
W_PER_KW = 1000.0
J_PER_KJ = 1000.0
J_PER_KWH = 3.6e6
KELVIN_AT_0_C = 273.15


SI_PER: dict[str, float] = {
    "mm": M_PER_MM,
    "mm2": M2_PER_MM2,
    "mm3": 1e-9,
    "um": 1e-6,
    "pl": M3_PER_PL,
    "g": 1e-3,
    "t": 1e3,
    "ml": 1e-6,
    "l": 1e-3,
    "min": S_PER_MIN,
    "h": S_PER_H,
    "days": 24 * S_PER_H,
    "us": 1e-6,
    "khz": HZ_PER_KHZ,
    "kw": W_PER_KW,
    "kwh": J_PER_KWH,
    "kj": J_PER_KJ,
    "kj_k": J_PER_KJ,
    "kj_kg": J_PER_KJ,
    "kj_kg_k": J_PER_KJ,
    "kpa": 1e3,
    "l_kg": 1e-3,
    "mpa": 1e6,
    "mpa_s": 1e-3,
    "mn_m": 1e-3,
    "mn_m_k": 1e-3,
    "mm_s": M_PER_MM,
    "mm_s2": M_PER_MM,
    "g_cm3": KG_M3_PER_G_CM3,
    "g_m2": 1e-3,
    "pct": 0.01,
    "min_per_core": S_PER_MIN,
}
"""SI base units (fractions for percent) in one of each unit; a unit that is not here is SI by itself, or has
no SI factor that anybody uses (months and years of the calendar, kg/h of a shop's rule, g/mol, money)."""


@cache
def suffix_of(name: str) -> str:
    """Return the unit's suffix with which a name ends, the longest that is known; "" for a plain number.

    >>> suffix_of("bulk_density_g_cm3"), suffix_of("passes")
    ('g_cm3', '')
    """
    parts = name.split("_")
    for start in range(len(parts)):
        suffix = "_".join(parts[start:])
        if suffix in SUFFIXES:
            return suffix
    return ""


def in_si(value: float, suffix: str) -> float:
    """Return a value in the unit of `suffix` as SI: kelvin for °C, a fraction for percent."""
    if suffix == "c":
        return value + KELVIN_AT_0_C
    return value * SI_PER.get(suffix, 1.0)


def from_si(value: float, suffix: str) -> float:
    """Return an SI value in the unit of `suffix`, the way back of `in_si`."""
    if suffix == "c":
        return value - KELVIN_AT_0_C
    return value / SI_PER.get(suffix, 1.0)


def kg(volume_mm3: float, density_g_cm3: float) -> float:
    """Return the mass in kg of a volume in mm³ at a density in g/cm³."""
    return volume_mm3 * density_g_cm3 * KG_PER_MM3_AT_1_G_CM3


def litres(mass_kg: float, density_g_cm3: float) -> float:
    """Return the volume in L of a mass in kg at a density in g/cm³."""
    return mass_kg / density_g_cm3


def mm_per(unit: str) -> float:
    """Return the millimetres in one `unit`; raises KeyError for a unit that is not a length here."""
    return MM_PER[unit]


def show_duration(seconds: float) -> str:
    """Return a time span as people write it: `6 h 05 min`, `48 min`, `12 s`."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes = round(seconds / 60)
    if minutes < 60:
        return f"{minutes} min"
    return f"{minutes // 60} h {minutes % 60:02d} min"
