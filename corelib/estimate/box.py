"""The estimate of one box and of a whole job: quantities, time and energy, each figure with its inputs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from corelib.estimate.energy import BoxEnergy, CureLines, box_energy, cure_lines, cure_time
from corelib.estimate.lines import Line, summed
from corelib.estimate.quantities import (
    BedQuantities,
    BinderSides,
    PrintedQuantities,
    bed_quantities,
    binder_by_layer_ml,
    binder_sides,
    core_mass,
    printed_quantities,
)
from corelib.estimate.time import (
    BoxTime,
    LayerTimes,
    StrokeSums,
    UnpackedCores,
    box_time,
    firing_limit_mm_s,
    layer_times,
)
from corelib.findings import Finding, in_order
from corelib.job.profiles import OperatingPoint
from corelib.layers.model import BoxLayers, Series

MOST_DISAGREEMENT_PCT = 5.0
"""Dose and drops may differ by this much before it is a finding."""
LOOSE = ""
"""Key of the copies in `copies_by_set` that belong to no casting set: loose ones and spares."""


@dataclass(frozen=True, eq=False)
class CoreInBox:
    """All copies of one core in one box.

    Volumes are of one copy; `denied_volume_mm3` is the bed that it keeps from others (None: its bounding
    volume). `printed_area_mm2` is all copies' printed area by layer of this box, where it is
    known by core: then machine time is shared by it. `copies_by_set` counts the copies by casting set,
    `passages` the through passages of one copy that are emptied of sand.
    """

    core_id: str
    copies: int
    core_volume_mm3: float
    bounding_volume_mm3: float
    printed_area_mm2: Series | None = None
    copies_by_set: Mapping[str, int] = field(default_factory=dict)
    denied_volume_mm3: float | None = None
    passages: int = 0


@dataclass(frozen=True, eq=False)
class BoxEstimate:
    """Everything estimated for one box."""

    box: int
    inner_mm: tuple[float, float, float]
    filled_mm: tuple[float, float]
    """Footprint that is filled: the inner one, less what filler walls take up."""
    height_mm: float
    """Height of the filled bed."""
    cores: tuple[CoreInBox, ...]
    printed: PrintedQuantities
    bed: BedQuantities
    binder: BinderSides
    time: BoxTime
    cure: CureLines
    energy: BoxEnergy
    layer_times: LayerTimes
    binder_ml: Series
    """Binder in the cores, by layer."""
    core_kg: Mapping[str, Line]
    """Mass of one copy of each core as printed."""
    findings: tuple[Finding, ...]

    @property
    def time_s(self) -> Series:
        """Seconds of every layer, services included."""
        return self.layer_times.time_s

    @property
    def bed_volume_mm3(self) -> float:
        """Volume of the filled bed."""
        return self.filled_mm[0] * self.filled_mm[1] * self.height_mm

    @property
    def core_count(self) -> int:
        """Core copies in the box."""
        return sum(core.copies for core in self.cores)

    @property
    def lines(self) -> tuple[Line, ...]:
        """All figures of the box."""
        return _lines(self) + tuple(
            line
            for line in (self.binder.by_dose_l, self.binder.by_drops_l, self.binder.disagreement_pct)
            if line
        )


@dataclass(frozen=True, eq=False)
class JobEstimate:
    """The estimates of all boxes, and their sums."""

    boxes: tuple[BoxEstimate, ...]
    printed: PrintedQuantities
    bed: BedQuantities
    time: BoxTime
    cure: CureLines
    energy: BoxEnergy
    findings: tuple[Finding, ...]

    @property
    def build_time_s(self) -> float:
        """Printer time: warm-up and all layers with their services, summed over the boxes.

        Box change, cure, cooling, unpacking and finishing are not in it.
        """
        return self.time.build_s.value

    @property
    def lines(self) -> tuple[Line, ...]:
        """All figures of the job: each the sum of its boxes'."""
        return _lines(self)


def _lines(estimate: BoxEstimate | JobEstimate) -> tuple[Line, ...]:
    time, energy = estimate.time, estimate.energy
    sums = (time.printing_s, time.build_s, energy.energy_kwh, energy.energy_least_kwh, energy.energy_most_kwh)
    groups = (estimate.printed, estimate.bed, time, estimate.cure, energy)
    lines = (*(line for group in groups for line in group.lines), *sums)
    return tuple({line.code: line for line in lines}.values())


def estimate_box(
    layers: BoxLayers,
    point: OperatingPoint,
    inner_mm: tuple[float, float, float],
    cores: Sequence[CoreInBox],
    strokes: StrokeSums | None = None,
    filled_mm: tuple[float, float] | None = None,
) -> BoxEstimate:
    """Return quantities, time and energy of one box; raises InputError for a value that isn't stated.

    `strokes` are those of the layers' images, where they were made; else the printed extent gives them.
    `filled_mm` is the footprint that is filled with sand, the inner one if not said.
    """
    filled = inner_mm[:2] if filled_mm is None else filled_mm
    times = layer_times(layers, point, inner_mm, strokes)
    sides = binder_sides(layers, point)
    core_volume_mm3 = sum(core.copies * core.core_volume_mm3 for core in cores)
    printed = printed_quantities(layers, point, sides, times, core_volume_mm3)
    bed = bed_quantities(layers, point, filled, printed)
    cure = cure_lines(point, printed, bed)
    cure_s = cure_time(point, cure, bed.gross_box_kg)
    passages = sum(core.copies * core.passages for core in cores)
    unpacked = UnpackedCores(sum(core.copies for core in cores), core_volume_mm3, passages)
    time = box_time(layers, times, point, cure_s, unpacked)
    masses = {
        core.core_id: core_mass(
            "core_kg", core.core_volume_mm3, point, printed.binder_kg.value, printed.printed_mix_kg.value
        )
        for core in cores
    }
    return BoxEstimate(
        box=layers.box,
        inner_mm=inner_mm,
        filled_mm=filled,
        height_mm=layers.height_mm,
        cores=tuple(cores),
        printed=printed,
        bed=bed,
        binder=sides,
        time=time,
        cure=cure,
        energy=box_energy(point, time, cure),
        layer_times=times,
        binder_ml=binder_by_layer_ml(layers, sides),
        core_kg=masses,
        findings=in_order(_findings(layers.box, point, sides)),
    )


def _findings(box: int, point: OperatingPoint, sides: BinderSides) -> list[Finding]:
    found: list[Finding] = []
    off = sides.disagreement_pct
    if off is not None and abs(off.value) > MOST_DISAGREEMENT_PCT:
        assert sides.by_dose_l is not None and sides.by_drops_l is not None
        facts = {
            "dose_l": sides.by_dose_l.value,
            "drops_l": sides.by_drops_l.value,
            "disagreement_pct": off.value,
            "most_pct": MOST_DISAGREEMENT_PCT,
        }
        found.append(Finding("estimate.dose_and_drops_disagree", "check", facts, box=box))
    limit, speed = firing_limit_mm_s(point), point.machine.head_speed_mm_s
    if limit is not None and speed is not None and speed > limit * (1.0 + 1e-9):
        facts = {"head_speed_mm_s": speed, "limit_mm_s": limit}
        found.append(Finding("estimate.head_faster_than_nozzles", "check", facts))
    return found


def estimate_job(boxes: Sequence[BoxEstimate]) -> JobEstimate:
    """Return the job's estimate: the boxes and their sums (one box at least)."""
    return JobEstimate(
        boxes=tuple(boxes),
        printed=summed([box.printed for box in boxes]),
        bed=summed([box.bed for box in boxes]),
        time=summed([box.time for box in boxes]),
        cure=summed([box.cure for box in boxes]),
        energy=summed([box.energy for box in boxes]),
        findings=in_order(finding for box in boxes for finding in box.findings),
    )
