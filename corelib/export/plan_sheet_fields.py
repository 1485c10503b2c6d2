"""What the plan sheet shows of the profiles: set points by step, carriers with their rated loads."""

from __future__ import annotations

SET_POINTS: dict[str, tuple[str, ...]] = {
    "step_fill": (
        "sand.bulk_density_g_cm3",
        "sand.mean_grain_mm",
        "sand.moisture_pct",
        "additive.additive_on_sand_pct",
        "binder.density_g_cm3",
        "binder.solids_pct",
    ),
    "step_print": (
        "process.layer_thickness_mm",
        "process.binder_on_sand_pct",
        "process.scale_error_xy_pct",
        "process.scale_error_z_pct",
        "process.bleed_xy_mm",
        "process.bleed_z_mm",
        "head.drop_volume_pl",
        "head.nozzle_temperature_c",
        "machine.pitch_travel_mm",
        "machine.pitch_across_mm",
        "machine.passes",
        "machine.grey_level",
        "machine.head_speed_mm_s",
        "machine.recoat_s",
        "machine.recoater_overfeed_pct",
        "machine.base_layers",
        "machine.cover_layers",
        "machine.wipe_every_layers",
        "machine.purge_every_s",
        "binder.open_time_s",
    ),
    "step_cure": (
        "process.print_to_cure_h",
        "oven.heating",
        "oven.power_kw",
        "oven.cure_c",
        "oven.hold_s",
    ),
    "step_unpack": ("oven.unpack_at_c", "oven.cool_h", "machine.box_opens", "process.lifted_by_hand_kg"),
    "step_cast": ("process.cured_use_by_h", "process.pouring_c"),
}
"""Which profile values a person sets or heeds at each step."""
CARRIERS = (
    ("platform", "machine", "platform_load_kg"),
    ("conveyor", "machine", "conveyor_load_kg"),
    ("oven", "oven", "rated_load_kg"),
    ("truck", "machine", "truck_load_kg"),
)
"""What carries a filled box: its name, and the profile value that is its rated load in kg."""
