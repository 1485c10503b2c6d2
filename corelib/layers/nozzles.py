"""The life of every nozzle: drops by layer, idle spells against the open time, service intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel

Series = NDArray[np.float64]
Longs = NDArray[np.int64]

_DROPS = "Array(int32, 2, 'C', True)"
_SERIES = "Array(float64, 1, 'C', True)"


@dataclass(frozen=True, eq=False)
class NozzleTimes:
    """When nozzles can jet and when they are served, in seconds from the start of the first layer.

    `jets_s` is when a layer's strokes begin, `layer_end_s` when it ends; `served` tells after which layers
    all nozzles are wiped or spit. All nozzles are fresh at the start.
    """

    jets_s: Series
    layer_end_s: Series
    served: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class IdleNozzles:
    """Longest idle spell of each nozzle before a drop, and the layers where nozzles may have dried.

    A spell runs from the strokes of the layer of a nozzle's last drop (or the end of the service since, or
    the start) to the strokes of the layer of its next drop; it is known to the duration of one layer's
    strokes. `from_layer` is -1 where the spell begins with a service or the start. Nozzles that never jet
    have no spell. `late_nozzles` counts, for each layer, those that jet there after more than the open time.
    """

    open_time_s: float
    longest_s: Series
    from_layer: Longs
    to_layer: Longs
    late_nozzles: Longs

    @property
    def at_risk(self) -> Longs:
        """Nozzles whose longest spell passes the open time."""
        return np.flatnonzero(self.longest_s > self.open_time_s)

    @property
    def layers_at_risk(self) -> Longs:
        """Layers in which a nozzle jets after more than the open time."""
        return np.flatnonzero(self.late_nozzles)


@kernel(
    f"void({_DROPS}, {_SERIES}, {_SERIES}, Array(boolean, 1, 'C', True), float64, float64[::1], int64[::1], "
    "int64[::1], int64[::1], float32[:, ::1])"
)
def follow_nozzles(
    drops: NDArray[np.int32],
    jets_s: Series,
    layer_end_s: Series,
    served: NDArray[np.bool_],
    open_time_s: float,
    longest_s: Series,
    from_layer: Longs,
    to_layer: Longs,
    late_nozzles: Longs,
    spells_s: NDArray[np.float32],
) -> None:
    """Go through the layers once; write each nozzle's longest spell, and the spell before each drop.

    `spells_s` (layers, nozzles) is filled where it has rows; NaN where the nozzle doesn't jet.
    """
    layers, nozzles = drops.shape
    last_s = np.zeros(nozzles)
    last_layer = np.full(nozzles, -1, dtype=np.int64)
    served_s = 0.0
    for layer in range(layers):
        for n in range(nozzles):
            if spells_s.shape[0]:
                spells_s[layer, n] = np.nan
            if drops[layer, n] == 0:
                continue
            fresh = served_s >= last_s[n]
            spell = jets_s[layer] - (served_s if fresh else last_s[n])
            if spells_s.shape[0]:
                spells_s[layer, n] = spell
            if spell > longest_s[n]:
                longest_s[n] = spell
                from_layer[n] = -1 if fresh else last_layer[n]
                to_layer[n] = layer
            if spell > open_time_s:
                late_nozzles[layer] += 1
            last_s[n] = jets_s[layer]
            last_layer[n] = layer
        if served[layer]:
            served_s = layer_end_s[layer]


def idle_nozzles(drops: NDArray[np.int32], times: NozzleTimes, open_time_s: float) -> IdleNozzles:
    """Return idle spells from the drops (layers, nozzles) and the times."""
    return _followed(drops, times, open_time_s, np.empty((0, 0), dtype=np.float32))


def idle_map(drops: NDArray[np.int32], times: NozzleTimes) -> NDArray[np.float32]:
    """Return, layer by nozzle, how long each nozzle stood idle before its drop (s); NaN without a drop."""
    spells = np.empty(drops.shape, dtype=np.float32)
    _followed(drops, times, np.inf, spells)
    return spells


def _followed(
    drops: NDArray[np.int32], times: NozzleTimes, open_time_s: float, spells: NDArray[np.float32]
) -> IdleNozzles:
    layers, nozzles = drops.shape
    found = IdleNozzles(
        open_time_s,
        np.zeros(nozzles),
        np.full(nozzles, -1, dtype=np.int64),
        np.full(nozzles, -1, dtype=np.int64),
        np.zeros(layers, dtype=np.int64),
    )
    follow_nozzles(
        drops,
        times.jets_s,
        times.layer_end_s,
        times.served,
        open_time_s,
        found.longest_s,
        found.from_layer,
        found.to_layer,
        found.late_nozzles,
        spells,
    )
    return found


@dataclass(frozen=True)
class ServiceInterval:
    """A service (wipe or spit) after every so many layers that keeps all spells within the open time."""

    every_layers: int
    services: int
    added_s: float
    added_binder_ml: float


def service_interval(
    drops: NDArray[np.int32],
    times: NozzleTimes,
    open_time_s: float,
    service_s: float,
    service_binder_ml: float,
) -> ServiceInterval | None:
    """Return the longest service interval, in layers, that leaves no nozzle idle past the open time.

    None if not even a service after every layer is enough. The services' own time is counted in. Cost is
    that of all services in the interval; what the present ones cost is not taken off.
    """
    layers = len(times.jets_s)
    own_s = np.diff(times.layer_end_s, prepend=0.0)
    lead_s = times.jets_s - np.concatenate([[0.0], times.layer_end_s[:-1]])

    def holds(every: int) -> bool:
        served = np.arange(1, layers + 1) % every == 0
        end_s = np.cumsum(own_s + service_s * served)
        jets_s = np.concatenate([[0.0], end_s[:-1]]) + lead_s
        return not len(idle_nozzles(drops, NozzleTimes(jets_s, end_s, served), open_time_s).at_risk)

    if not layers or not holds(1):
        return None
    good, bad = 1, layers + 1
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (middle, bad) if holds(middle) else (good, middle)
    services = layers // good
    return ServiceInterval(good, services, services * service_s, services * service_binder_ml)


@dataclass(frozen=True)
class DeadNozzleHit:
    """What dead nozzles leave out of one core copy: pixels, drops' share, layers, and where (box, mm)."""

    core_id: str
    copy_number: int
    pixels: int
    share_pct: float
    first_layer: int
    last_layer: int
    low_mm: float
    high_mm: float


@dataclass(frozen=True, eq=False)
class RowPixels:
    """Pixels of one core copy by row of the grid, summed over its layers, and its first and last layer."""

    core_id: str
    copy_number: int
    pixels: Longs
    first_layer: int
    last_layer: int


def dead_rows(row_nozzle: NDArray[np.int32], dead: tuple[int, ...]) -> NDArray[np.bool_]:
    """Return which rows have a dead nozzle."""
    return np.isin(row_nozzle, np.array(dead, dtype=np.int32))


def dead_nozzle_hits(
    copies: tuple[RowPixels, ...], rows: NDArray[np.bool_], pitch_across_mm: float
) -> tuple[DeadNozzleHit, ...]:
    """Return which copies lose pixels on the dead rows, in the order given."""
    hits = []
    for copy in copies:
        lost = np.where(rows, copy.pixels, 0)
        hit = np.flatnonzero(lost)
        if len(hit):
            hits.append(
                DeadNozzleHit(
                    copy.core_id,
                    copy.copy_number,
                    int(lost.sum()),
                    100.0 * float(lost.sum()) / float(copy.pixels.sum()),
                    copy.first_layer,
                    copy.last_layer,
                    float(hit[0] * pitch_across_mm),
                    float((hit[-1] + 1) * pitch_across_mm),
                )
            )
    return tuple(hits)


@dataclass(frozen=True)
class SparingShift:
    """How far to move the box's contents across the travel, and the pixels lost before and after."""

    nozzles: int
    shift_mm: float
    lost_before: int
    lost_after: int


def sparing_shift(
    copies: tuple[RowPixels, ...],
    dead: NDArray[np.bool_],
    critical: frozenset[str],
    least: int,
    most: int,
    interlace: int,
    pitch_across_mm: float,
) -> SparingShift:
    """Return the shift of `least` to `most` nozzles that spares the critical cores most, then all cores.

    Of equal ones the smallest is taken. No critical core named means that all are.
    """
    count = len(dead)
    all_pixels, critical_pixels = _row_sums(copies, critical, count)
    places = np.flatnonzero(dead)

    def lost(pixels: Longs, nozzles: int) -> int:
        sources = places - nozzles * interlace
        return int(pixels[sources[(sources >= 0) & (sources < count)]].sum())

    ranked = min(
        (lost(critical_pixels, nozzles), lost(all_pixels, nozzles), abs(nozzles), nozzles)
        for nozzles in range(least, most + 1)
    )
    nozzles = ranked[3]
    return SparingShift(nozzles, nozzles * interlace * pitch_across_mm, lost(critical_pixels, 0), ranked[0])


def _row_sums(copies: tuple[RowPixels, ...], critical: frozenset[str], rows: int) -> tuple[Longs, Longs]:
    """Return the pixels of each row: of all copies, and of the critical cores (all if none is named)."""
    all_pixels = np.zeros(rows, dtype=np.int64)
    critical_pixels = np.zeros(rows, dtype=np.int64)
    for copy in copies:
        all_pixels += copy.pixels
        if not critical or copy.core_id in critical:
            critical_pixels += copy.pixels
    return all_pixels, critical_pixels


@dataclass(frozen=True)
class SparingOffset:
    """How many nozzles further in the head its strips may begin, and the pixels lost before and after."""

    nozzles: int
    lost_before: int
    lost_after: int


def sparing_offset(
    copies: tuple[RowPixels, ...], dead_by_offset: Sequence[NDArray[np.bool_]], critical: frozenset[str]
) -> SparingOffset:
    """Return the strip offset, in nozzles, that spares the critical cores most, then all cores.

    `dead_by_offset` are the dead rows for an offset of 0, 1, 2 … nozzles.
    """
    all_pixels, critical_pixels = _row_sums(copies, critical, len(dead_by_offset[0]))
    ranked = min(
        (int(critical_pixels[dead].sum()), int(all_pixels[dead].sum()), nozzles)
        for nozzles, dead in enumerate(dead_by_offset)
    )
    return SparingOffset(ranked[2], int(critical_pixels[dead_by_offset[0]].sum()), ranked[0])
