"""Every public formula is called with pint quantities in other units and compared.

Formulas whose dimensions close by themselves take the quantities as they are, and must give what they give
with plain SI numbers. Correlations with fitted constants take numbers in the unit that each name ends with:
pint converts at their door, and the result must be the value known in the other units.
"""

import inspect
import math
import pkgutil

import pint
import pytest

import corelib.physics

ureg = pint.UnitRegistry()
Q = ureg.Quantity

UNITS = {
    # suffix: (SI unit, the other unit in which the test hands it over, sample in that other unit)
    "m": ("m", "mm", 200.0),
    "m2": ("m^2", "mm^2", 40_000.0),
    "m3": ("m^3", "cm^3", 900.0),
    "kg": ("kg", "g", 1500.0),
    "s": ("s", "min", 40.0),
    "k": ("K", "degR", 630.0),
    "j": ("J", "kWh", 3.0),
    "n": ("N", "kgf", 2.0),
    "pa": ("Pa", "bar", 0.4),
    "w": ("W", "kW", 60.0),
    "hz": ("Hz", "kHz", 8.0),
    "m_s": ("m/s", "km/h", 20.0),
    "m_s2": ("m/s^2", "ft/s^2", 8.0),
    "m2_s": ("m^2/s", "mm^2/s", 0.3),
    "kg_m2": ("kg/m^2", "g/cm^2", 0.001),
    "kg_m3": ("kg/m^3", "g/cm^3", 1.45),
    "n_m": ("N/m", "dyn/cm", 45.0),
    "pa_s": ("Pa*s", "cP", 9.0),
    "pa_k": ("Pa/K", "hPa/K", 1.0),
    "j_k": ("J/K", "kJ/K", 50.0),
    "j_kg": ("J/kg", "kJ/kg", 300.0),
    "j_kg_k": ("J/(kg*K)", "kJ/(kg*K)", 0.8),
    "w_m_k": ("W/(m*K)", "BTU/(hour*foot*degR)", 0.2),
    "m3_s": ("m^3/s", "L/min", 3.0),
    "per_m": ("1/m", "1/mm", 0.2),
    "m4": ("m^4", "cm^4", 3.0),
    "n_m2": ("N/m^2", "kPa", 3.0),
}
SAMPLES = {
    "additive_on_sand": (0.008, "-"),
    "binder_on_mix": (2.0, "%"),
    "binder_on_sand": (2.0, "%"),
    "binder_solids": (30.0, "%"),
    "drop_volume_m3": (68.0, "pL"),
    "efficiency": (60.0, "%"),
    "evaporated": (85.0, "%"),
    "normal_z": (60.0, "%"),
    "moment_n_m": (12.0, "lbf*inch"),
    "layer_m": (0.3, "mm"),
    "porosity": (45.0, "%"),
    "share": (50.0, "%"),
    "solids_on_sand": (0.6, "%"),
    "pitch_travel_m": (100.0, "um"),
    "pitch_across_m": (0.004, "inch"),
    "other_pitch_m": (0.1, "mm"),
    "length_m": (48.0, "um"),
    "diameter_m": (50.0, "um"),
    "thickness_m": (300.0, "um"),
    "grain_m": (140.0, "um"),
    "grain_density_kg_m3": (2.65, "g/cm^3"),
    "start_k": (540.0, "degR"),
    "cure_k": (700.0, "degR"),
    "end_k": (700.0, "degR"),
    "slope_k": (2500.0, "K"),
    "time_s": (20.0, "min"),
    "half_time_s": (0.25, "h"),
}
PER_FORMULA = {
    "cooling.plate_time_constant_s": {"half_thickness_m": (35.0, "cm")},
}
FITTED = {
    # name: arguments, result, relative tolerance; steam data in British units as the tables of Keenan & Keyes
    # print them (from memory), quartz from NIST SRD 69, aluminium from Assael 2006, the rest worked by pint
    "casting.liquid_aluminium_density_kg_m3": ({"temperature_k": Q(700, "degC")}, Q(2.36489, "g/cm^3"), 1e-5),
    "casting.steam_volume_m3": (
        {"water_kg": Q(1, "g"), "temperature_k": Q(32, "degF"), "pressure_pa": Q(1, "atm")},
        Q(1.2442, "L"),
        5e-5,
    ),
    "cooling.block_cooling_s": (
        {
            "length_m": Q(180, "cm"),
            "width_m": Q(100, "cm"),
            "height_m": Q(70, "cm"),
            "diffusivity_m2_s": Q(0.3, "mm^2/s"),
            "excess_left": Q(28 / 98, ""),
        },
        Q(53.2, "hour"),
        5e-3,
    ),
    "cooling.plate_middle_share": (
        {
            "time_s": Q(500, "hour"),
            "half_thickness_m": Q(35, "cm"),
            "diffusivity_m2_s": Q(0.3, "mm^2/s"),
        },
        4 / math.pi * Q(math.exp(-(math.pi**2) / 4 * 0.3e-6 * 500 * 3600 / 0.35**2), ""),
        1e-12,
    ),
    "cooling.drying_time_s": ({"evaporated": Q(75, "%"), "half_time_s": Q(15, "min")}, Q(0.5, "hour"), 1e-12),
    "accuracy.share_outside": ({"cp": Q(100, "%")}, Q(2699.796, "ppm"), 1e-6),  # two-sided, scipy.stats
    "accuracy.student_t": (
        {"confidence": Q(99, "%"), "degrees_of_freedom": Q(16, "")},
        Q(2.92078, ""),  # JCGM 100:2008 H.1; GTC.reporting.k_factor returned it
        1e-5,
    ),
    "strength.rod_stress_pa": (
        {"density_kg_m3": Q(0.87, "g/cm^3"), "span_m": Q(20, "cm"), "diameter_m": Q(3, "cm")},
        (Q(0.87, "g/cm^3") * Q(1, "standard_gravity") * Q(20, "cm") ** 2 / Q(3, "cm")).to("Pa"),
        1e-12,
    ),
    "motion.strip_count": (
        {"extent_m": Q(1, "yard"), "head_width_m": Q(1, "foot"), "overlap_m": Q(0, "inch")},
        Q(3, ""),
        1e-12,
    ),
    "motion.strips_touched": (
        {
            "low_m": Q(2, "foot"),
            "high_m": Q(8, "foot"),
            "bed_m": Q(9, "foot"),
            "head_width_m": Q(1, "yard"),
            "overlap_m": Q(0, "inch"),
        },
        Q(3, ""),
        1e-12,
    ),
    "motion.travel_s": (
        {"distance_m": Q(1, "yard"), "speed_m_s": Q(1, "ft/s"), "acceleration_m_s2": Q(2, "ft/s^2")},
        Q(3.5, "s"),
        1e-12,
    ),
    "droplets.andrade_viscosity_pa_s": (
        {"temperature_k": Q(30, "degC"), "factor_pa_s": Q(1.978389e-3, "cP"), "slope_k": Q(4500, "degR")},
        Q(7.547907, "cP"),
        1e-6,
    ),
    "heat.quartz_enthalpy_j_kg": (
        {"temperature_k": Q(600, "K")},
        Q(16.89, "kJ/mol") / Q(60.0843, "g/mol"),
        5e-4,
    ),
    "heat.quartz_mean_specific_heat_j_kg_k": (
        {"start_k": Q(20, "degC"), "end_k": Q(150, "degC")},
        Q(108.0965, "kJ/kg") / Q(130, "K"),
        1e-5,
    ),
    "heat.quartz_specific_heat_j_kg_k": (
        {"temperature_k": Q(500, "K")},
        Q(59.64, "J/mol/K") / Q(60.0843, "g/mol"),
        1e-4,
    ),
    "heat.water_heat_of_evaporation_j_kg": ({"temperature_k": Q(212, "degF")}, Q(970.3, "BTU/lb"), 5e-4),
    "heat.water_liquid_density_kg_m3": ({"temperature_k": Q(212, "degF")}, 1 / Q(0.01672, "ft^3/lb"), 5e-4),
    "heat.water_liquid_enthalpy_j_kg": ({"temperature_k": Q(212, "degF")}, Q(180.17, "BTU/lb"), 5e-4),
    "heat.water_vapour_density_kg_m3": ({"temperature_k": Q(212, "degF")}, 1 / Q(26.80, "ft^3/lb"), 1e-3),
    "heat.water_vapour_enthalpy_j_kg": ({"temperature_k": Q(212, "degF")}, Q(1150.5, "BTU/lb"), 5e-4),
    "heat.water_vapour_pressure_pa": ({"temperature_k": Q(212, "degF")}, Q(14.696, "psi"), 1e-3),
    "heat.water_vapour_pressure_slope_pa_k": (
        {"temperature_k": Q(212, "degF")},
        Q(970.3, "BTU/lb") / (Q(671.67, "degR") * Q(26.80 - 0.01672, "ft^3/lb")),  # Clausius-Clapeyron
        2e-3,
    ),
}
BY_HAND = {
    "accuracy.capability",
    "accuracy.expanded_m",
    "accuracy.fit_scale_and_bleed",
    "accuracy.root_sum_of_squares",
    "dose.solve_dose",
    "measuring.open_time_s",
    "strength.own_weight_moments_n_m",
    "measuring.unpacking_minutes",
    "cooling.block_middle_share",
    # lists, tables and results in parts: each has its own test below, or takes no dimensioned number
    "droplets.andrade_fit",
    "heat.cure_heat_j",
    "ranges.interpolated",
    "ranges.interpolated_viscosity_pa_s",
    "ranges.require_range",
    "sand.grain_fineness_number",
    "sand.passing",
    "sand.passing_at_size",
    "sand.uniformity",
    "sand.size_at_passing_m",
}
MODULES = tuple(name for _, name, _ in pkgutil.iter_modules(corelib.physics.__path__))


def suffix_of(name):
    parts = name.split("_")
    for start in range(len(parts)):
        suffix = "_".join(parts[start:])
        if suffix in UNITS and start > 0:
            return suffix
    return None


def formulas():
    for name in MODULES:
        module = pkgutil.resolve_name(f"corelib.physics.{name}")
        for function_name, function in inspect.getmembers(module, inspect.isfunction):
            own = function.__module__ == module.__name__ and not function_name.startswith("_")
            if own and f"{name}.{function_name}" not in {*BY_HAND, *FITTED}:
                yield pytest.param(f"{name}.{function_name}", function, id=f"{name}.{function_name}")


def quantity(formula, parameter):
    sample = PER_FORMULA.get(formula, {}).get(parameter) or SAMPLES.get(parameter)
    suffix = suffix_of(parameter)
    if sample is not None:
        value, unit = sample
        return ureg.Quantity(value, "dimensionless" if unit == "-" else unit)
    if suffix is None:
        return ureg.Quantity(2.0, "dimensionless")
    return ureg.Quantity(UNITS[suffix][2], UNITS[suffix][1])


def si(value, parameter):
    if parameter == "moment_n_m":  # newton metres: the one name that ends like newtons per metre
        return value.to("N*m")
    suffix = suffix_of(parameter)
    return value.to("dimensionless" if suffix is None else UNITS[suffix][0])


@pytest.mark.parametrize(("name", "function"), list(formulas()))
def test_formula_is_the_same_with_quantities(name, function):
    given = {parameter: quantity(name, parameter) for parameter in inspect.signature(function).parameters}
    expected = function(**{parameter: si(value, parameter).magnitude for parameter, value in given.items()})
    in_si = si(Q(function(**given)), function.__name__).magnitude
    assert math.isfinite(in_si)
    assert in_si == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("name", sorted(FITTED))
def test_correlation_in_other_units(name):
    arguments, expected, tolerance = FITTED[name]
    function = pkgutil.resolve_name(f"corelib.physics.{name}")
    result = function(**{parameter: si(value, parameter).magnitude for parameter, value in arguments.items()})
    assert result == pytest.approx(si(expected, function.__name__).magnitude, rel=tolerance)


def test_no_listed_formula_is_gone():
    for name in [*BY_HAND, *FITTED]:
        assert inspect.isfunction(pkgutil.resolve_name(f"corelib.physics.{name}")), name


def test_the_unit_in_a_name_is_the_one_that_pint_finds():
    """A name that ends in the wrong unit is caught: dimensions, not only numbers, must agree."""
    from corelib.physics.binder import areal_dose_kg_m2

    areal = areal_dose_kg_m2(ureg.Quantity(1.5, "g/cm^3"), ureg.Quantity(0.3, "mm"), ureg.Quantity(2, "%"))
    with pytest.raises(pint.DimensionalityError):
        areal.to("kg/m^3")


def test_lists_of_lengths_in_inches_give_the_same_accuracy():
    """JCGM 100:2008 H.1's terms to first order, 31.7 nm, in micro-inches; a coupon series in inches."""
    from corelib.physics.accuracy import capability, expanded_m, fit_scale_and_bleed, root_sum_of_squares

    def metres(values, unit):
        return [Q(value, unit).to("m").magnitude for value in values]

    nanometres = [25.0, 9.7, 2.9, 16.6]
    micro_inches = [Q(value, "nm").to("microinch").magnitude for value in nanometres]
    combined = Q(root_sum_of_squares(micro_inches), "microinch").to("nm").magnitude
    assert combined == pytest.approx(31.66, abs=0.05)
    assert expanded_m(metres([0.3, 0.4], "thou"), []) == pytest.approx(Q(1.0, "thou").to("m").magnitude)
    printed = metres([1, 2, 4, 8], "inch")
    measured = [0.997 * length + 2 * Q(0.006, "inch").to("m").magnitude for length in printed]
    fit = fit_scale_and_bleed(printed, measured, [2, 2, 2, 2])
    assert fit.first == pytest.approx(-0.003, rel=1e-9)
    assert fit.second == pytest.approx(Q(0.1524, "mm").to("m").magnitude, rel=1e-9)
    samples = [1.0 + 0.001 * step for step in (-2, -1, -1, 0, 0, 0, 0, 1, 1, 2)]
    inches, mm = (
        capability(metres([s * f for s in samples], unit), *metres([0.99 * f, 1.01 * f], unit))
        for f, unit in ((1.0, "inch"), (25.4, "mm"))
    )
    assert inches.cpk == pytest.approx(mm.cpk, rel=1e-9)


def test_a_beam_under_its_own_weight_in_pounds_and_inches():
    """q L² ÷ 8 in the middle and q L² ÷ 2 at the root, 0.5 lbf/inch over 12 inches."""
    import numpy as np

    from corelib.physics.strength import own_weight_moments_n_m

    length, load = Q(12, "inch"), Q(0.5, "lbf/inch")
    places = np.linspace(0.0, length.to("m").magnitude, 2001)
    loads = np.full(2001, load.to("N/m").magnitude)
    simple = (load * length**2 / 8).to("N*m").magnitude
    root = (load * length**2 / 2).to("N*m").magnitude
    assert own_weight_moments_n_m(places, loads, "at both ends").max() == pytest.approx(simple, rel=1e-6)
    assert own_weight_moments_n_m(places, loads, "at one end").max() == pytest.approx(root, rel=1e-6)


def test_a_dose_setting_solved_in_other_units():
    """300 dpi both ways, 0.3 mm, 1.3 and 1.45 g/cm³, 2 %: v = d ρ t p p ÷ ρ_l by pint."""
    from corelib.physics.dose import DoseSetting, solve_dose

    pitch, bed, liquid = Q(1, "inch") / 300, Q(1.45, "g/cm^3"), Q(1.3, "g/mL")
    by_pint = (Q(2, "%") * bed * Q(0.3, "mm") * pitch * pitch / liquid).to("m^3")
    metres = pitch.to("m").magnitude
    stated = DoseSetting(0.02, 1e-13, metres, metres, 1.0, 3e-4, 1300.0, 1450.0)
    solved = solve_dose(stated, "drop_volume_m3").drop_volume_m3
    assert solved == pytest.approx(by_pint.magnitude, rel=1e-12)


def test_times_of_people_in_hours_and_seconds():
    from corelib.physics.measuring import open_time_s, unpacking_minutes

    hours = [0.1, 0.25, 0.5]
    per_core, _, _ = unpacking_minutes(
        [1, 2, 5], [0, 0, 0], [0, 0, 0], [Q(h, "hour").to("min").magnitude for h in hours]
    )
    by_hand = sum(c * h for c, h in zip([1, 2, 5], hours, strict=True)) / 30 * 60
    assert per_core == pytest.approx(by_hand, rel=1e-9)
    assert open_time_s([Q(1, "min").to("s").magnitude, 90.0], [0, 1]) == 60.0


def test_grain_fineness_number_takes_any_mass_unit():
    from corelib.physics.sand import grain_fineness_number

    grams = [1.0, 2.0, 3.0]
    quantities = [ureg.Quantity(value, "g") for value in grams]
    result = grain_fineness_number(quantities, [50, 70, 100]).to("dimensionless").magnitude
    assert result == pytest.approx(grain_fineness_number(grams, [50, 70, 100]), rel=1e-14)
    ounces = [value.to("ounce") for value in quantities]
    assert grain_fineness_number(ounces, [50, 70, 100]).magnitude == pytest.approx(result, rel=1e-14)


def test_a_sieve_curve_in_inches_and_ounces():
    from corelib.physics.sand import passing, passing_at_size, size_at_passing_m, uniformity

    grams, openings = [5.0, 40.0, 45.0, 8.0, 2.0], [Q(v, "um") for v in (300, 212, 150, 106)]
    ounces = [Q(mass, "g").to("ounce").magnitude for mass in grams]
    shares = passing(ounces)[:-1]
    assert shares == pytest.approx(passing(grams)[:-1], rel=1e-12)
    metres = [size.to("m").magnitude for size in openings]
    inches = [size.to("inch").magnitude for size in openings]
    median = size_at_passing_m(0.5, metres, shares)
    in_inches = Q(size_at_passing_m(0.5, inches, shares), "inch").to("m").magnitude
    assert in_inches == pytest.approx(median, rel=1e-12)
    assert passing_at_size(median, metres, shares) == pytest.approx(0.5, rel=1e-12)
    assert uniformity(metres, shares) == pytest.approx(uniformity(inches, shares), rel=1e-9)


def test_property_tables_between_their_rows():
    """Andrade's law between 20 and 50 °C in cP; a straight line in dyn/cm."""
    from corelib.physics.ranges import interpolated, interpolated_viscosity_pa_s

    kelvin = [Q(t, "degC").to("K").magnitude for t in (20, 50)]
    viscosities = [Q(v, "cP").to("Pa*s").magnitude for v in (10.0, 4.530685)]
    at_30_c = interpolated_viscosity_pa_s(Q(86, "degF").to("K").magnitude, kelvin, viscosities)
    assert Q(at_30_c, "Pa*s").to("cP").magnitude == pytest.approx(7.547907, rel=1e-6)
    tensions = [Q(v, "dyn/cm").to("N/m").magnitude for v in (46.0, 43.0)]
    at_35_c = interpolated(
        "physics.tension_temperature", "K", Q(35, "degC").to("K").magnitude, kelvin, tensions
    )
    assert Q(at_35_c, "N/m").to("mN/m").magnitude == pytest.approx(44.5, rel=1e-12)


def test_cure_heat_parts_scale_with_their_masses():
    from corelib.physics.heat import cure_heat_j

    stated = {
        "printed_mix_kg": ureg.Quantity(120_000, "g"),
        "loose_mix_kg": ureg.Quantity(1.2, "t"),
        "printed_water_kg": ureg.Quantity(70, "ounce"),
        "start_k": ureg.Quantity(22, "degC"),
        "cure_k": ureg.Quantity(248, "degF"),
        "mix_specific_heat_j_kg_k": ureg.Quantity(0.194, "cal/(g*K)"),
        "box_heat_capacity_j_k": ureg.Quantity(60, "kJ/K"),
    }
    heat = cure_heat_j(evaporated=0.85, **{name: si(value, name).magnitude for name, value in stated.items()})
    rise = stated["cure_k"].to("K") - stated["start_k"].to("K")
    mix = stated["printed_mix_kg"] * stated["mix_specific_heat_j_kg_k"] * rise
    loose = stated["loose_mix_kg"] * stated["mix_specific_heat_j_kg_k"] * rise
    box = stated["box_heat_capacity_j_k"] * rise
    assert heat.least.printed_mix_j == pytest.approx(mix.to("J").magnitude, rel=1e-12)
    assert heat.most.loose_mix_j == pytest.approx(loose.to("J").magnitude, rel=1e-12)
    assert heat.most.box_j == pytest.approx(box.to("J").magnitude, rel=1e-12)
