"""Time of a box: every layer's seconds, and the phases from warm-up to finished cores.

A layer takes recoat + strokes · (travel/speed + ramps + turn) + platform + dwell, and the wipe, purge or
refill that falls on it. Strokes come from the layer's images where those were made, else from its printed
extent; bare layers have none where the machine skips empty strokes, else the head runs over the whole box in
every layer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from corelib import units
from corelib.errors import InputError
from corelib.estimate.lines import Input, Line, LineGroup, total
from corelib.estimate.stated import number, stated
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.layers.model import BoxLayers, Series
from corelib.physics.motion import firing_speed_m_s, run_up_m, strip_count, strips_touched, travel_s

Counts = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class LayerTimes:
    """Strokes, services and seconds of every layer of a box; arrays of one length."""

    strokes: Counts
    """Moves of the head over the bed, returns without printing included."""
    travel_mm: Series
    """Travel of one such move, leads at both ends included."""
    speed_mm_s: float
    wipes: Counts
    purges: Counts
    refills: Counts
    strokes_s: Series
    time_s: Series


@dataclass(frozen=True)
class UnpackedCores:
    """What is unpacked from a box: core copies, their solid volume and their through passages together."""

    count: int
    volume_mm3: float
    passages: int = 0


@dataclass(frozen=True)
class BoxTime(LineGroup):
    """Seconds of each phase of one box, or summed over boxes."""

    warm_up_s: Line
    recoat_s: Line
    strokes_s: Line
    platform_s: Line
    dwell_s: Line
    wipe_s: Line
    purge_s: Line
    refill_s: Line
    box_change_s: Line
    oven_load_s: Line
    cure_s: Line
    cool_s: Line
    unpack_s: Line
    finish_s: Line

    @property
    def printing_s(self) -> Line:
        """Sum of all layers: recoat, strokes, platform, dwell and services."""
        parts = (self.recoat_s, self.strokes_s, self.platform_s, self.dwell_s)
        return total("printing_s", "s", (*parts, self.wipe_s, self.purge_s, self.refill_s))

    @property
    def build_s(self) -> Line:
        """Time that the printer is busy building: warm-up and all layers with their services."""
        return total("build_s", "s", (self.warm_up_s, self.printing_s))

    @property
    def end_to_end_s(self) -> Line:
        """All phases one after another, without waiting: the shortest way of the box through the shop."""
        return total("end_to_end_s", "s", self.lines)


class PrintedStroke(Protocol):
    """One printing move of the head, as the layers' stroke list holds it."""

    @property
    def printed_mm(self) -> float:
        """Length from the first printed pixel to the last."""
        ...


@dataclass(frozen=True, eq=False)
class StrokeSums:
    """Strokes of every layer as its images give them: how many, and their printed lengths together."""

    strokes: Counts
    printed_mm: Series

    @classmethod
    def of(cls, strokes: Sequence[Sequence[PrintedStroke]]) -> StrokeSums:
        """Return the sums of a stroke list by layer."""
        counts = np.array([len(layer) for layer in strokes], dtype=np.int64)
        lengths = [math.fsum(stroke.printed_mm for stroke in layer) for layer in strokes]
        return cls(counts, np.array(lengths, dtype=np.float64))


def layer_times(
    layers: BoxLayers,
    point: OperatingPoint,
    inner_mm: tuple[float, float, float],
    given: StrokeSums | None = None,
) -> LayerTimes:
    """Return strokes, services and seconds of every layer.

    Strokes are those of the layers' images where they are given, else those of the printed extent.
    """
    strokes, travel_mm = _strokes(layers, point, inner_mm) if given is None else _given_strokes(given, point)
    speed_mm_s = head_speed_mm_s(point)
    move_s = travel_s(
        travel_mm * units.M_PER_MM,
        speed_mm_s * units.M_PER_MM,
        number(point, "machine.head_acceleration_mm_s2") * units.M_PER_MM,
    ) + number(point, "machine.turn_s")
    strokes_s = strokes * move_s
    still_s = sum(number(point, f"machine.{name}") for name in ("recoat_s", "platform_s", "dwell_s"))
    every = np.arange(1, layers.count + 1)
    wipes = _every(every, required(point, "machine.wipe_every_layers"))
    refills = _every(every, required(point, "machine.refill_every_layers"))
    time_s = still_s + strokes_s + wipes * _service_s(point, "wipe") + refills * _service_s(point, "refill")
    purges = _purges(time_s, number(point, "machine.purge_every_s"))
    time_s = time_s + purges * _service_s(point, "purge")
    return LayerTimes(strokes, travel_mm, speed_mm_s, wipes, purges, refills, strokes_s, time_s)


def head_speed_mm_s(point: OperatingPoint) -> float:
    """Return the head's speed: as stated, or as fast as its nozzles can fire on every pixel."""
    speed_mm_s = number(point, "machine.head_speed_mm_s")
    limit_mm_s = firing_limit_mm_s(point)
    return speed_mm_s if limit_mm_s is None else min(speed_mm_s, limit_mm_s)


def firing_limit_mm_s(point: OperatingPoint) -> float | None:
    """Return the speed that firing rate and pitch along travel allow; None where the rate isn't stated."""
    if point.head.firing_khz is None or point.machine.pitch_travel_mm is None:
        return None
    firing_hz = point.head.firing_khz * units.HZ_PER_KHZ
    return firing_speed_m_s(firing_hz, point.machine.pitch_travel_mm * units.M_PER_MM) / units.M_PER_MM


def _strokes(
    layers: BoxLayers, point: OperatingPoint, inner_mm: tuple[float, float, float]
) -> tuple[Counts, Series]:
    """Return strokes and travel from the printed extent of each layer, strips counted from the box's edge."""
    along = 0 if required(point, "machine.travel_axis") == "x" else 1
    bed_mm, low_mm, high_mm = inner_mm[1 - along], layers.extent_mm[:, :2], layers.extent_mm[:, 2:]
    head_mm, overlap_mm = head_width_mm(point), point.head.overlap_mm or 0.0
    if required(point, "machine.skips_empty_strokes"):
        printed_mm = np.nan_to_num(high_mm[:, along] - low_mm[:, along])
        across = low_mm[:, 1 - along], high_mm[:, 1 - along]
        strips = strips_touched(*across, bed_mm, head_mm, overlap_mm)
    else:
        printed_mm = np.full(layers.count, inner_mm[along])
        strips = np.full(layers.count, strip_count(bed_mm, head_mm, overlap_mm))
    moves = strips * required(point, "machine.passes") * _moves_a_stroke(point)
    return moves, printed_mm + 2.0 * lead_mm(point)


def _given_strokes(given: StrokeSums, point: OperatingPoint) -> tuple[Counts, Series]:
    """Return moves and their mean travel from the strokes of the layers' own images."""
    each_mm = np.divide(
        given.printed_mm, given.strokes, out=np.zeros_like(given.printed_mm), where=given.strokes > 0
    )
    return given.strokes * _moves_a_stroke(point), each_mm + 2.0 * lead_mm(point)


def _moves_a_stroke(point: OperatingPoint) -> int:
    """Return 1 for a head that prints both ways, 2 for one that returns without printing."""
    return 1 if required(point, "machine.prints_both_ways") else 2


def head_width_mm(point: OperatingPoint) -> float:
    """Return the width that the head prints in one stroke: nozzles × their pitch across travel."""
    width_mm = number(point, "head.nozzle_count") * number(point, "head.nozzle_pitch_mm")
    overlap_mm = point.head.overlap_mm or 0.0
    if overlap_mm >= width_mm:
        raise InputError("estimate.overlap_over_head", overlap_mm=overlap_mm, head_width_mm=width_mm)
    return width_mm


def lead_mm(point: OperatingPoint) -> float:
    """Return the travel beyond the printed extent at each end: stated overrun, or run-up if longer."""
    speed_m_s = head_speed_mm_s(point) * units.M_PER_MM
    acceleration_m_s2 = number(point, "machine.head_acceleration_mm_s2") * units.M_PER_MM
    run_up_mm = run_up_m(speed_m_s, acceleration_m_s2) / units.M_PER_MM
    return max(number(point, "machine.stroke_overrun_mm"), run_up_mm)


def _service_s(point: OperatingPoint, service: str) -> float:
    every = "machine.purge_every_s" if service == "purge" else f"machine.{service}_every_layers"
    return number(point, f"machine.{service}_s") if required(point, every) else 0.0


def _every(numbers: Counts, every: int) -> Counts:
    return (numbers % every == 0).astype(np.int64) if every else np.zeros_like(numbers)


def _purges(time_s: Series, every_s: float) -> Counts:
    """Return the purges after each layer: as often as the running time passes a multiple of `every_s`."""
    if not every_s:
        return np.zeros(len(time_s), dtype=np.int64)
    passed = np.floor(np.cumsum(time_s) / every_s).astype(np.int64)
    return np.diff(passed, prepend=0)


def box_time(
    layers: BoxLayers, times: LayerTimes, point: OperatingPoint, cure_s: Line, unpacked: UnpackedCores
) -> BoxTime:
    """Return the phases of one box; `cure_s` is the oven's time from the heat balance."""
    layer_count = float(layers.count)
    return BoxTime(
        warm_up_s=stated("warm_up_s", "s", point, "machine.warm_up_s"),
        recoat_s=_each("recoat_s", "layer_count", layer_count, point, "machine.recoat_s"),
        strokes_s=_strokes_line(times, point),
        platform_s=_each("platform_s", "layer_count", layer_count, point, "machine.platform_s"),
        dwell_s=_each("dwell_s", "layer_count", layer_count, point, "machine.dwell_s"),
        wipe_s=_service("wipe_s", "wipes", times.wipes, point),
        purge_s=_service("purge_s", "purges", times.purges, point),
        refill_s=_service("refill_s", "refills", times.refills, point),
        box_change_s=stated("box_change_s", "s", point, "machine.box_change_s"),
        oven_load_s=stated("oven_load_s", "s", point, "oven.load_s"),
        cure_s=cure_s,
        cool_s=_cool(point),
        unpack_s=_unpack(point, unpacked),
        finish_s=_finish(point, unpacked),
    )


def _each(code: str, count_name: str, count: float, point: OperatingPoint, path: str) -> Line:
    seconds = number(point, path)
    return Line(code, count * seconds, "s", f"{count_name} × {path}", {count_name: count, path: seconds})


def _service(code: str, count_name: str, counts: Counts, point: OperatingPoint) -> Line:
    count = int(counts.sum())
    if not count:
        return Line(code, 0.0, "s", count_name, {count_name: 0.0})
    return _each(code, count_name, float(count), point, f"machine.{code}")


def _cool(point: OperatingPoint) -> Line:
    hours = number(point, "oven.cool_h")
    return Line("cool_s", hours * units.S_PER_H, "s", "oven.cool_h × 3600", {"oven.cool_h": hours})


def _unpack(point: OperatingPoint, unpacked: UnpackedCores) -> Line:
    """Return the unpacking labour: by core, and by litre and passage where the shop states minutes for it."""
    by_core = number(point, "rates.unpack_min_per_core")
    inputs: dict[str, Input] = {"cores": unpacked.count, "rates.unpack_min_per_core": by_core}
    minutes, formula = unpacked.count * by_core, "cores × rates.unpack_min_per_core"
    by_litre = point.rates.unpack_min_per_litre
    if by_litre is not None:
        inputs |= {"core_volume_mm3": unpacked.volume_mm3, "rates.unpack_min_per_litre": by_litre}
        minutes += unpacked.volume_mm3 * units.L_PER_MM3 * by_litre
        formula = f"({formula} + core_volume_mm3 × 1e-6 × rates.unpack_min_per_litre)"
    by_passage = point.rates.unpack_min_per_passage
    if by_passage is not None:
        inputs |= {"passages": unpacked.passages, "rates.unpack_min_per_passage": by_passage}
        minutes += unpacked.passages * by_passage
        formula = f"({formula} + passages × rates.unpack_min_per_passage)"
    return Line("unpack_s", minutes * units.S_PER_MIN, "s", f"{formula} × 60", inputs)


def _finish(point: OperatingPoint, unpacked: UnpackedCores) -> Line:
    by_core = number(point, "rates.finish_min_per_core")
    inputs: dict[str, Input] = {"cores": unpacked.count, "rates.finish_min_per_core": by_core}
    seconds = unpacked.count * by_core * units.S_PER_MIN
    return Line("finish_s", seconds, "s", "cores × rates.finish_min_per_core × 60", inputs)


def _strokes_line(times: LayerTimes, point: OperatingPoint) -> Line:
    acceleration = number(point, "machine.head_acceleration_mm_s2")
    inputs: dict[str, Input] = {
        "strokes": int(times.strokes.sum()),
        "strokes_travel_mm": math.fsum(times.strokes * times.travel_mm),
        "speed_mm_s": times.speed_mm_s,
        "machine.head_acceleration_mm_s2": acceleration,
        "machine.turn_s": number(point, "machine.turn_s"),
    }
    formula = (
        "strokes_travel_mm ÷ speed_mm_s + strokes × "
        "(speed_mm_s ÷ machine.head_acceleration_mm_s2 + machine.turn_s)"
    )
    return Line("strokes_s", math.fsum(times.strokes_s), "s", formula, inputs)
