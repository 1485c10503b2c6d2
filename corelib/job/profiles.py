"""Profiles: sand, additive, binder, head, machine, oven, process and rates, every value with its source.

A value that is `None` is not known; whatever needs it asks for it, nothing is invented. Each value that is
set has an entry in `sources`. A job may override any value; the resolved set is an `OperatingPoint`.
"""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import Field, model_validator

from corelib.job.calendar import DateText, Shifts
from corelib.job.fields import (
    AboveNothing,
    CountOrNone,
    Density_g_cm3,
    Distance_mm,
    Evidence,
    Frozen,
    Identifier,
    LayerThickness_mm,
    Length_mm,
    Money,
    Name,
    NotNegative,
    Percent,
    Positive,
    ScaleError_pct,
    SharePct,
    Size_mm,
    TablePoint,
    Temperature_c,
    Text,
    contradiction,
)
from corelib.job.rows import (
    AndradeFit,
    BleedRow,
    DryingRow,
    SieveRow,
    StraightFit,
    StrengthRow,
    refuse_repeats,
)

PROFILE_SCHEMA_VERSION = 1
Table = Annotated[tuple[TablePoint, ...], Field(min_length=1, max_length=100)]


class Profile(Frozen):
    """What all profiles share. `sources` names the evidence of every value that is set."""

    ABOUT: ClassVar[frozenset[str]] = frozenset({"kind", "schema_version", "id", "name", "notes", "sources"})

    schema_version: Literal[1] = 1
    id: Identifier
    name: Name
    notes: Text = ""
    sources: dict[str, Evidence] = Field(default_factory=dict)

    def values(self) -> dict[str, Any]:
        """Return the profile's values by field, those not known as None."""
        fields = (name for name in type(self).model_fields if name not in self.ABOUT)
        return {name: getattr(self, name) for name in fields}

    @model_validator(mode="after")
    def _each_value_has_a_source(self) -> Self:
        known = {name for name, value in self.values().items() if value is not None}
        without = sorted(known - set(self.sources))
        if without:
            raise contradiction("profile.no_source", fields=", ".join(without))
        unknown = sorted(set(self.sources) - set(self.values()))
        if unknown:
            raise contradiction("profile.source_without_value", fields=", ".join(unknown))
        return self


class SandProfile(Profile):
    """The dry sand as it lies in the bed."""

    kind: Literal["corestow.profile.sand"] = "corestow.profile.sand"
    bulk_density_g_cm3: Density_g_cm3 | None = None
    """Bed of dry mix (sand and additive) as recoated."""
    grain_density_g_cm3: Density_g_cm3 | None = None
    mean_grain_mm: Annotated[float, Field(gt=0.01, le=5)] | None = None
    d90_mm: Annotated[float, Field(gt=0.01, le=5)] | None = None
    sieve_analysis: tuple[SieveRow, ...] | None = None
    sand_only_density_g_cm3: Density_g_cm3 | None = None
    """Bed of the sand without additive, as recoated; the bed density is reckoned from it if not measured."""
    sieve_multipliers: Literal["afs", "afs-145"] | None = None
    """Set of AFS multipliers for the grain fineness number; printed tables differ in No. 200."""
    moisture_pct: Percent | None = None
    specific_heat_j_kg_k: Positive | None = None
    is_silica: bool | None = None
    reclaimed_pct: Percent | None = None
    """Share of the loose sand that goes back into the sand silo after sieving."""
    lost_pct: Percent | None = None
    """Share of the loose sand lost as dust, spill and sieve rest (goes to disposal)."""


class AdditiveProfile(Profile):
    """The powdered additive that is mixed into the sand."""

    kind: Literal["corestow.profile.additive"] = "corestow.profile.additive"
    additive_on_sand_pct: Percent | None = None
    """Parts by mass per 100 parts of sand."""
    bulk_density_g_cm3: Density_g_cm3 | None = None
    """Poured density of the additive by itself."""
    specific_heat_j_kg_k: Positive | None = None
    kept_in_reclaim_pct: Percent | None = None
    """Share of its additive that re-used loose sand keeps (100: it is not dosed twice)."""


class BinderProfile(Profile):
    """The liquid alkali-silicate binder."""

    kind: Literal["corestow.profile.binder"] = "corestow.profile.binder"
    density_g_cm3: Density_g_cm3 | None = None
    solids_pct: SharePct | None = None
    viscosity_mpa_s: Table | None = None
    surface_tension_mn_m: Table | None = None
    viscosity_fit: AndradeFit | None = None
    """Used where there is no table of the viscosity."""
    surface_tension_fit: StraightFit | None = None
    """Used where there is no table of the surface tension."""
    open_time_s: Positive | None = None
    """Longest time that an open nozzle may stand idle."""
    softening_c: Temperature_c | None = None
    is_alkaline: bool | None = None
    sds_number: Text | None = None
    sds_date: Text | None = None

    @model_validator(mode="after")
    def _properties_are_functions_of_temperature(self) -> Self:
        for field, rows in (
            ("viscosity_mpa_s", self.viscosity_mpa_s),
            ("surface_tension_mn_m", self.surface_tension_mn_m),
        ):
            refuse_repeats(field, [row.temperature_c for row in rows or ()])
        for field, fit in (
            ("viscosity_fit", self.viscosity_fit),
            ("surface_tension_fit", self.surface_tension_fit),
        ):
            if fit is not None and fit.low_c >= fit.high_c:
                raise contradiction("profile.range_crossed", table=field, low=fit.low_c, high=fit.high_c)
        return self


class HeadProfile(Profile):
    """The piezo drop-on-demand print head, with all its modules."""

    kind: Literal["corestow.profile.head"] = "corestow.profile.head"
    nozzle_count: Annotated[int, Field(ge=1, le=1_000_000)] | None = None
    nozzle_pitch_mm: Annotated[float, Field(gt=0.005, le=5)] | None = None
    """Distance of neighbouring nozzles across the travel."""
    nozzle_diameter_um: Annotated[float, Field(gt=1, le=500)] | None = None
    drop_volume_pl: Annotated[float, Field(gt=0.1, le=10_000)] | None = None
    drop_volume_step_pl: Annotated[float, Field(gt=0, le=1000)] | None = None
    """Smallest step by which the waveform can change the drop volume."""
    drop_speed_m_s: Annotated[float, Field(gt=0.1, le=30)] | None = None
    nozzle_temperature_c: Annotated[float, Field(ge=0, le=150)] | None = None
    nozzle_temperature_low_c: Annotated[float, Field(ge=0, le=150)] | None = None
    nozzle_temperature_high_c: Annotated[float, Field(ge=0, le=150)] | None = None
    """Range of nozzle temperatures over a build."""
    firing_khz: Annotated[float, Field(gt=0.01, le=500)] | None = None
    """Highest firing rate."""
    grey_levels: Annotated[int, Field(ge=1, le=15)] | None = None
    """Most drops that a nozzle can put on one pixel."""
    overlap_mm: Distance_mm | None = None
    """Overlap of neighbouring strokes (stitching)."""


class MachineProfile(Profile):
    """Build box, motions, services and limits of the printer."""

    kind: Literal["corestow.profile.machine"] = "corestow.profile.machine"
    box_inner_mm: Size_mm | None = None
    wall_margin_mm: Distance_mm | None = None
    """Least sand between a core and a wall of the box."""
    floor_margin_mm: Distance_mm | None = None
    top_margin_mm: Distance_mm | None = None
    box_outer_mm: Size_mm | None = None
    """Outer size of the box as it goes into the oven."""
    box_opens: Literal["top only", "platform rises", "walls off"] | None = None
    travel_axis: Literal["x", "y"] | None = None
    """Axis of the box along which the head travels."""
    pitch_travel_mm: Annotated[float, Field(gt=0.005, le=5)] | None = None
    pitch_across_mm: Annotated[float, Field(gt=0.005, le=5)] | None = None
    pitch_travel_step_mm: Annotated[float, Field(gt=0, le=1)] | None = None
    """Smallest step by which the pitch along the travel can be set (encoder)."""
    layer_step_mm: Annotated[float, Field(gt=0, le=1)] | None = None
    """Smallest step by which the layer thickness can be set."""
    passes: Annotated[int, Field(ge=1, le=64)] | None = None
    """Interlaced passes of the head over each strip."""
    grey_level: Annotated[float, Field(gt=0, le=15)] | None = None
    """Mean drops on a printed pixel."""
    base_layers: Annotated[int, Field(ge=0, le=1000)] | None = None
    cover_layers: Annotated[int, Field(ge=0, le=1000)] | None = None
    recoat_s: NotNegative | None = None
    recoater_overfeed_pct: Annotated[float, Field(ge=0, le=300)] | None = None
    head_speed_mm_s: Positive | None = None
    head_acceleration_mm_s2: Positive | None = None
    stroke_overrun_mm: Distance_mm | None = None
    """Travel beyond the printed extent at each end of a stroke."""
    turn_s: NotNegative | None = None
    """Rest at the end of a stroke beside braking and starting."""
    skips_empty_strokes: bool | None = None
    prints_both_ways: bool | None = None
    platform_s: NotNegative | None = None
    dwell_s: NotNegative | None = None
    wipe_every_layers: CountOrNone | None = None
    wipe_s: NotNegative | None = None
    wipe_binder_ml: NotNegative | None = None
    purge_every_s: NotNegative | None = None
    purge_s: NotNegative | None = None
    purge_binder_ml: NotNegative | None = None
    refill_every_layers: CountOrNone | None = None
    refill_s: NotNegative | None = None
    warm_up_s: NotNegative | None = None
    box_change_s: NotNegative | None = None
    power_printing_kw: NotNegative | None = None
    power_standby_kw: NotNegative | None = None
    box_tare_kg: NotNegative | None = None
    platform_load_kg: Positive | None = None
    conveyor_load_kg: Positive | None = None
    truck_load_kg: Positive | None = None
    image_jet_value: Literal[0, 1] | None = None
    image_origin: Literal["left front", "left back", "right front", "right back"] | None = None
    """Corner of the box, seen from above, at which the image's first pixel lies."""
    image_rows: Literal["along travel", "across travel"] | None = None
    image_canvas: Literal["full box", "printed extent"] | None = None
    image_first_number: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    image_blank_layers: bool | None = None
    """Whether a layer without print (base and cover layers) has an image too."""
    first_stroke: Literal["from low end", "from high end"] | None = None
    """End of the travel at which each layer's first stroke begins."""


class OvenProfile(Profile):
    """The curing oven."""

    kind: Literal["corestow.profile.oven"] = "corestow.profile.oven"
    heating: Literal["microwave", "convection"] | None = None
    inner_mm: Size_mm | None = None
    power_kw: Positive | None = None
    """Electric power drawn while curing."""
    efficiency_pct: SharePct | None = None
    rated_load_kg: Positive | None = None
    start_c: Temperature_c | None = None
    cure_c: Temperature_c | None = None
    """Temperature that the bed has to reach."""
    evaporated_pct: Percent | None = None
    """Share of the binder's water that the cure drives off."""
    loose_sand_heated_pct: Percent | None = None
    """Share of the loose sand that heats along, between the two bounds of the heat balance."""
    box_heat_capacity_kj_k: NotNegative | None = None
    kg_an_hour: Positive | None = None
    """The shop's own rule for how much filled box an hour of oven cures."""
    drying_table: Annotated[tuple[DryingRow, ...], Field(min_length=2, max_length=100)] | None = None
    """The shop's own curing times by the water to drive off."""
    drying_half_time_s: Positive | None = None
    """Time at cure temperature in which half of the water that is left leaves (first-order drying)."""
    hold_s: NotNegative | None = None
    load_s: NotNegative | None = None
    cool_h: NotNegative | None = None
    """Stated time until the box is down to `unpack_at_c`."""
    unpack_at_c: Temperature_c | None = None
    hall_c: Temperature_c | None = None
    """Air where boxes cool and cores are kept."""
    bed_conductivity_w_m_k: Annotated[float, Field(gt=0.01, le=10)] | None = None
    """Thermal conductivity of the cured bed, for the cooling estimate."""

    @model_validator(mode="after")
    def _drying_table_is_a_function(self) -> Self:
        refuse_repeats("drying_table", [row.water_kg for row in self.drying_table or ()])
        return self


class ProcessProfile(Profile):
    """Set points and proven limits of the printing process."""

    kind: Literal["corestow.profile.process"] = "corestow.profile.process"
    layer_thickness_mm: LayerThickness_mm | None = None
    binder_on_sand_pct: Annotated[float, Field(gt=0, le=20)] | None = None
    """Liquid binder, parts by mass per 100 parts of sand."""
    gap_mm: Distance_mm | None = None
    scale_error_xy_pct: ScaleError_pct | None = None
    """How much longer a print comes out than its printed outline."""
    scale_error_z_pct: ScaleError_pct | None = None
    bleed_xy_mm: Annotated[float, Field(ge=-2, le=5)] | None = None
    bleed_z_mm: Annotated[float, Field(ge=0, le=5)] | None = None
    bleed_table: Annotated[tuple[BleedRow, ...], Field(min_length=1, max_length=100)] | None = None
    """Bleed over dose and hours from print to cure, every dose with every wait; goes before both values."""
    tolerance_mm: Annotated[float, Field(gt=0, le=10)] | None = None
    """Accuracy wanted, plus or minus."""
    least_wall_mm: Length_mm | None = None
    clean_out_diameter_mm: Length_mm | None = None
    binder_least_g_m2: Positive | None = None
    """Areal dose of one layer under which layers don't bond (starved)."""
    binder_most_g_m2: Positive | None = None
    """Areal dose of one layer over which binder runs (flooded)."""
    lifted_by_hand_kg: Positive | None = None
    """Mass from which a lift by hand is flagged."""
    bending_strength_unpack_mpa: Positive | None = None
    """Bending strength as unpacked, still warm."""
    bending_strength_1h_mpa: Positive | None = None
    """Bending strength after an hour of storage at `storage_humidity_pct`."""
    bending_strength_24h_mpa: Positive | None = None
    """Bending strength after 24 hours of storage at `storage_humidity_pct`."""
    storage_humidity_pct: Percent | None = None
    """Relative humidity at which the strengths after storage were measured."""
    handling_safety_factor: Annotated[float, Field(ge=1, le=20)] | None = None
    """How many times a core's own weight its strength has to bear when a person lifts it."""
    strength_on_dose: Annotated[tuple[StrengthRow, ...], Field(min_length=2, max_length=100)] | None = None
    """Bending strength of witness bars against the dose."""
    print_to_cure_h: Positive | None = None
    """Longest time from the printing of a box's first layer to its cure."""
    cured_use_by_h: Positive | None = None
    """Longest storage of cured cores before they are poured (silicate takes up moisture)."""
    pouring_c: Temperature_c | None = None
    """Temperature of the metal as it is poured."""
    melt_density_g_cm3: Density_g_cm3 | None = None
    wetted_pct: Percent | None = None
    """Share of a core's volume that the melt surrounds; the rest lies in prints."""
    print_pressure_kpa: Positive | None = None
    """Most load on a core print's seat that the mould bears."""

    @model_validator(mode="after")
    def _strength_is_a_function_of_dose(self) -> Self:
        refuse_repeats("strength_on_dose", [row.binder_on_sand_pct for row in self.strength_on_dose or ()])
        rows = [(row.binder_on_sand_pct, row.hours_until_cure) for row in self.bleed_table or ()]
        doses, waits = {dose for dose, _ in rows}, {wait for _, wait in rows}
        if len(rows) != len(set(rows)) or len(rows) != len(doses) * len(waits):
            raise ValueError("bleed_table needs every dose with every wait, once each")
        return self


class RatesProfile(Profile):
    """Rates and shares that turn quantities and times into money (in the job's currency)."""

    kind: Literal["corestow.profile.rates"] = "corestow.profile.rates"
    machine_per_h: AboveNothing | None = None
    oven_per_h: AboveNothing | None = None
    labour_per_h: AboveNothing | None = None
    energy_per_kwh: AboveNothing | None = None
    sand_per_kg: AboveNothing | None = None
    additive_per_kg: Money | None = None
    binder_per_kg: AboveNothing | None = None
    disposal_per_kg: Money | None = None
    data_preparation_h: NotNegative | None = None
    """Labour once a job."""
    box_set_up_h: NotNegative | None = None
    """Labour once a box: filling, set-up, box change, oven loading."""
    attended_pct: Percent | None = None
    """Share of the printing time that a person attends."""
    unpack_min_per_core: NotNegative | None = None
    unpack_min_per_litre: NotNegative | None = None
    """Unpacking labour for each litre of a core, beside the minutes per core."""
    unpack_min_per_passage: NotNegative | None = None
    """Unpacking labour for each inner passage that has to be emptied."""
    finish_min_per_core: NotNegative | None = None
    core_yield_pct: SharePct | None = None
    """Good cores of 100 printed."""
    overhead_pct: Annotated[float, Field(ge=0, le=500)] | None = None
    margin_pct: Annotated[float, Field(ge=0, lt=100)] | None = None
    """Margin on the price."""
    machine_purchase: AboveNothing | None = None
    """Price of the machine: with life, hours and so on the hour rate, where `machine_per_h` isn't stated."""
    machine_replacement: AboveNothing | None = None
    """What the machine would cost today: depreciated. None: the purchase price."""
    machine_scrap: Money | None = None
    machine_life_a: Annotated[float, Field(gt=0, le=100)] | None = None
    machine_use_h: Annotated[float, Field(gt=0, le=8784)] | None = None
    """Hours a year that the machine runs for jobs."""
    interest_pct: Percent | None = None
    interest_base: Literal["half purchase", "half replacement"] | None = None
    machine_area_m2: NotNegative | None = None
    area_per_m2_a: Money | None = None
    """Floor space, a square metre and year."""
    machine_upkeep_per_a: Money | None = None
    """Upkeep, service contract and insurance, a year."""
    standing_kw: NotNegative | None = None
    """Extraction, climate and air while the machine builds."""
    head_modules: CountOrNone | None = None
    head_module_price: Money | None = None
    head_life_l: Positive | None = None
    """Litres of binder through the whole head until all its modules are replaced."""
    head_life_months: Positive | None = None
    cleaning_per_box_l: NotNegative | None = None
    """Cleaning fluid for one box."""
    cleaning_per_l: Money | None = None
    alkaline_waste_per_l: Money | None = None
    """Disposal of purged binder and used cleaning fluid."""
    inspection_min_per_core: NotNegative | None = None
    packing_min_per_core: NotNegative | None = None
    packing_per_core: Money | None = None
    """Packing material."""
    box_yield_pct: SharePct | None = None
    """Boxes of 100 that are not lost as a whole, apart from single lost cores."""
    risk_pct: Annotated[float, Field(ge=0, le=500)] | None = None
    """Put on the full cost for what can go wrong."""
    usual_fill_pct: SharePct | None = None
    """Share of the filled bed that is core in the shop's usual boxes."""


class ShopProfile(Profile):
    """Stations and working hours: what the lead time comes from."""

    kind: Literal["corestow.profile.shop"] = "corestow.profile.shop"
    printers: Annotated[int, Field(ge=1, le=100)] | None = None
    ovens: Annotated[int, Field(ge=1, le=100)] | None = None
    carriers: Annotated[int, Field(ge=1, le=1000)] | None = None
    """Build boxes: one is taken from the start of printing to the end of unpacking."""
    unpackers: Annotated[int, Field(ge=1, le=1000)] | None = None
    """People who unpack and finish at once, each at one box."""
    shifts: Shifts | None = None
    closed_days: Annotated[tuple[DateText, ...], Field(max_length=1000)] | None = None
    prints_unattended: bool | None = None
    """Printing goes on outside the shifts."""
    cures_unattended: bool | None = None
    """A loaded oven goes on outside the shifts."""


PROFILE_KINDS: dict[str, type[Profile]] = {
    "process": ProcessProfile,
    "machine": MachineProfile,
    "head": HeadProfile,
    "sand": SandProfile,
    "additive": AdditiveProfile,
    "binder": BinderProfile,
    "oven": OvenProfile,
    "rates": RatesProfile,
    "shop": ShopProfile,
}


class ProfileNames(Frozen):
    """Which profile a job takes of each kind."""

    process: Identifier
    machine: Identifier
    head: Identifier
    sand: Identifier
    additive: Identifier
    binder: Identifier
    oven: Identifier
    rates: Identifier
    shop: Identifier = "demo-shop"


class Overridden(Frozen):
    """One profile value that the job states otherwise."""

    field: str
    """As `sand.bulk_density_g_cm3`."""
    profile_value: Any
    job_value: Any


class OperatingPoint(Frozen):
    """All profiles as a job uses them: its overrides applied and listed."""

    process: ProcessProfile
    machine: MachineProfile
    head: HeadProfile
    sand: SandProfile
    additive: AdditiveProfile
    binder: BinderProfile
    oven: OvenProfile
    rates: RatesProfile
    shop: ShopProfile
    overridden: tuple[Overridden, ...] = ()
