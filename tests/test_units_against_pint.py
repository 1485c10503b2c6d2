"""The program's conversion factors against pint's: every unit that a name can end with."""

import pint
import pytest

from corelib import units

ureg = pint.UnitRegistry()
WITHOUT_DIMENSION = {"per_h", "per_kg", "per_kwh", "min_per_litre", "min_per_passage", "dpi"}
"""Money per something, labour per counted thing, and dots: no physical unit."""

OF_THE_CALENDAR = {"a", "months"}


def parsed(suffix):
    """Return the pint unit of a suffix, from the text that the program shows for it."""
    if suffix == "min_per_core":
        return ureg.Unit("min")
    text = units.SUFFIXES[suffix]
    for sign, word in (("²", "**2"), ("³", "**3"), ("·", "*"), ("°C", "degC"), ("°", "degree")):
        text = text.replace(sign, word)
    return ureg.Unit("percent" if text == "%" else text.replace("years", "year"))


@pytest.mark.parametrize(
    "suffix", sorted(set(units.SUFFIXES) - WITHOUT_DIMENSION - {"c", "deg"} - OF_THE_CALENDAR)
)
def test_factor_to_si_is_pints(suffix):
    if suffix == "g_mol":
        assert units.in_si(1.0, suffix) == 1.0  # molar mass stays as the tables print it
        return
    if suffix == "kg_an_hour":
        assert units.in_si(1.0, suffix) == 1.0  # a shop's rule, kept by the hour
        return
    quantity = ureg.Quantity(1.0, parsed(suffix)).to_base_units().magnitude
    # pint's base of mass is the gram in name only: to_base_units gives kilograms
    assert units.in_si(1.0, suffix) == pytest.approx(quantity, rel=1e-12), units.SUFFIXES[suffix]
    assert units.from_si(units.in_si(3.7, suffix), suffix) == pytest.approx(3.7, rel=1e-15)


def test_celsius_is_shifted():
    for celsius in (-40.0, 0.0, 573.0):
        kelvin = ureg.Quantity(celsius, "degC").to("K").magnitude
        assert units.in_si(celsius, "c") == pytest.approx(kelvin, rel=1e-15)
        assert units.from_si(kelvin, "c") == pytest.approx(celsius, abs=1e-12)


@pytest.mark.parametrize(
    ("name", "suffix"),
    [
        ("bulk_density_g_cm3", "g_cm3"),
        ("passes", ""),
        ("kg_an_hour", "kg_an_hour"),
        ("cure_c", "c"),
        ("c", "c"),
    ],
)
def test_the_longest_known_ending_of_a_name_is_its_unit(name, suffix):
    assert units.suffix_of(name) == suffix


@pytest.mark.parametrize(("length", "millimetres"), sorted(units.MM_PER.items()))
def test_lengths_at_the_door(length, millimetres):
    assert ureg.Quantity(1.0, length).to("mm").magnitude == pytest.approx(millimetres, rel=1e-12)
