"""The dose solver: six quantities tied by one equation, any one of them from the rest, exactly.

d_mix ρ_bed t p_x p_y = k v_d ρ_l, with d_mix the liquid binder per mass of dry mix, ρ_bed and ρ_l the
densities of bed and binder, t the layer thickness, p_x p_y the drop pitches, v_d the drop volume, k the mean
drops on a pixel (grey level).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from corelib.physics import binder

DoseQuantity = Literal[
    "binder_on_mix", "drop_volume_m3", "pitch_travel_m", "pitch_across_m", "grey_level", "thickness_m"
]
DOSE_QUANTITIES: tuple[DoseQuantity, ...] = (
    "binder_on_mix",
    "drop_volume_m3",
    "pitch_travel_m",
    "pitch_across_m",
    "grey_level",
    "thickness_m",
)


@dataclass(frozen=True)
class DoseSetting:
    """One complete setting of the dose, stated twice over: it may contradict itself."""

    binder_on_mix: float
    drop_volume_m3: float
    pitch_travel_m: float
    pitch_across_m: float
    grey_level: float
    thickness_m: float
    binder_density_kg_m3: float
    bed_density_kg_m3: float

    @property
    def by_drops(self) -> float:
        """Return binder_on_mix [-] that the drops bring."""
        return binder.dose_from_drops(
            self.drop_volume_m3,
            self.binder_density_kg_m3,
            self.pitch_travel_m,
            self.pitch_across_m,
            self.grey_level,
            self.thickness_m,
            self.bed_density_kg_m3,
        )

    @property
    def disagreement(self) -> float:
        """Return by how much the drops bring more than the stated dose asks for [-], relative to the dose."""
        return self.by_drops / self.binder_on_mix - 1


def solve_dose(setting: DoseSetting, wanted: DoseQuantity) -> DoseSetting:
    """Return the setting with one quantity replaced by what the other five demand; it then agrees.

    >>> stated = DoseSetting(0.02, 80e-15, 1e-4, 1e-4, 1.0, 3e-4, 1300.0, 1450.0)
    >>> round(solve_dose(stated, "drop_volume_m3").drop_volume_m3 * 1e15, 3)
    66.923
    >>> abs(solve_dose(stated, "pitch_across_m").disagreement) < 1e-15
    True
    """
    if wanted == "binder_on_mix":
        return replace(setting, binder_on_mix=setting.by_drops)
    if wanted == "drop_volume_m3":
        needed = binder.drop_volume_from_dose_m3(
            setting.binder_on_mix,
            setting.binder_density_kg_m3,
            setting.pitch_travel_m,
            setting.pitch_across_m,
            setting.grey_level,
            setting.thickness_m,
            setting.bed_density_kg_m3,
        )
        return replace(setting, drop_volume_m3=needed)
    if wanted == "grey_level":
        needed = binder.grey_level_from_dose(
            setting.binder_on_mix,
            setting.drop_volume_m3,
            setting.binder_density_kg_m3,
            setting.pitch_travel_m,
            setting.pitch_across_m,
            setting.thickness_m,
            setting.bed_density_kg_m3,
        )
        return replace(setting, grey_level=needed)
    if wanted == "thickness_m":
        needed = binder.thickness_from_dose_m(
            setting.binder_on_mix,
            setting.drop_volume_m3,
            setting.binder_density_kg_m3,
            setting.pitch_travel_m,
            setting.pitch_across_m,
            setting.grey_level,
            setting.bed_density_kg_m3,
        )
        return replace(setting, thickness_m=needed)
    return _solve_pitch(setting, wanted)


def _solve_pitch(setting: DoseSetting, wanted: Literal["pitch_travel_m", "pitch_across_m"]) -> DoseSetting:
    other = setting.pitch_across_m if wanted == "pitch_travel_m" else setting.pitch_travel_m
    needed = binder.pitch_from_dose_m(
        setting.binder_on_mix,
        setting.drop_volume_m3,
        setting.binder_density_kg_m3,
        other,
        setting.grey_level,
        setting.thickness_m,
        setting.bed_density_kg_m3,
    )
    if wanted == "pitch_travel_m":
        return replace(setting, pitch_travel_m=needed)
    return replace(setting, pitch_across_m=needed)
