"""Motion of head and recoater: travel, strokes and firing speed (SI units).

Every function takes numbers or NumPy arrays of them and gives the same.
"""

from __future__ import annotations

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

Quantity = TypeVar("Quantity", float, NDArray[np.float64])


def run_up_m(speed_m_s: float, acceleration_m_s2: float) -> float:
    """Return the distance from rest to `speed_m_s` [m] at constant acceleration: v²/(2a).

    Source: kinematics of uniform acceleration, v² = 2 a s (any mechanics text).

    >>> run_up_m(0.5, 5.0)
    0.025
    """
    return speed_m_s**2 / (2.0 * acceleration_m_s2)


def travel_s(distance_m: Any, speed_m_s: float, acceleration_m_s2: float) -> Any:
    """Return the time of a move from rest to rest [s] with a trapezoidal speed profile.

    d/v + v/a where the move is long enough to reach v (d ≥ v²/a), else the triangle 2·√(d/a).
    Range: d ≥ 0, v > 0, a > 0. Source: uniform acceleration; the two forms meet at d = v²/a.

    >>> travel_s(1.0, 0.5, 5.0)
    2.1
    >>> travel_s(0.05, 0.5, 5.0) == 2 * (0.05 / 5.0) ** 0.5
    True
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    reaches = distance >= speed_m_s**2 / acceleration_m_s2
    long = distance / speed_m_s + speed_m_s / acceleration_m_s2
    time = np.where(reaches, long, 2.0 * np.sqrt(distance / acceleration_m_s2))
    return time if time.ndim else float(time)


def stroke_travel_m(
    printed_m: Quantity, overrun_m: float, speed_m_s: float, acceleration_m_s2: float
) -> Quantity:
    """Return the travel of one stroke [m]: the printed length and a lead at each end.

    The head prints at constant speed, so the lead is the stated overrun or the run-up v²/(2a), whichever
    is longer.

    >>> stroke_travel_m(0.95, 0.01, 0.5, 5.0)
    1.0
    >>> stroke_travel_m(0.9, 0.05, 0.5, 5.0)
    1.0
    """
    return printed_m + 2.0 * max(overrun_m, run_up_m(speed_m_s, acceleration_m_s2))


def strip_count(extent_m: Any, head_width_m: float, overlap_m: float = 0.0) -> Any:
    """Return how many strips of the head's width cover an extent, neighbours overlapping by `overlap_m`.

    0 for no extent, 1 up to the head's width, then 1 + ⌈(w − W)/(W − o)⌉. Range: W > o ≥ 0.
    A rest below a billionth of a strip is float noise and opens no strip.

    >>> strip_count(0.4, 0.5), strip_count(1.0, 0.5), strip_count(1.0, 0.5, 0.01), strip_count(0.0, 0.5)
    (1, 2, 3, 0)
    """
    extent = np.asarray(extent_m, dtype=np.float64)
    beyond = np.maximum(0.0, extent - head_width_m) / (head_width_m - overlap_m)
    strips = np.where(extent > 0.0, 1 + np.ceil(beyond - 1e-9), 0).astype(np.int64)
    return strips if strips.ndim else int(strips)


def strips_touched(low_m: Any, high_m: Any, bed_m: float, head_width_m: float, overlap_m: float = 0.0) -> Any:
    """Return how many strips of the head an extent from `low_m` to `high_m` touches, 0 where it has no width.

    The first strip stands at the bed's edge, the next ones each W − o further; an overlap belongs to both
    neighbours up to its middle. NaN for either end is no extent. Range: W > o ≥ 0.

    >>> strips_touched(0.4, 0.6, 1.0, 0.5), strips_touched(0.0, 0.5, 1.0, 0.5)
    (2, 1)
    """
    low, high = np.asarray(low_m, dtype=np.float64), np.asarray(high_m, dtype=np.float64)
    advance_m = head_width_m - overlap_m
    last = strip_count(bed_m, head_width_m, overlap_m) - 1
    printed = high > low
    at = np.where(printed, low, 0.0), np.where(printed, high, 0.0)
    first = np.clip(np.floor((at[0] - overlap_m / 2) / advance_m + 1e-9), 0, last)
    final = np.clip(np.ceil((at[1] - overlap_m / 2) / advance_m - 1e-9) - 1, 0, last)
    strips = np.where(printed, final - first + 1, 0).astype(np.int64)
    return strips if strips.ndim else int(strips)


def firing_speed_m_s(firing_hz: float, pitch_m: float) -> float:
    """Return the highest head speed [m/s] at which every pixel can get a drop: f · pitch along travel.

    Source: published print table, 2505 Hz × 59.9 µm, printed as 150 mm/s (Additive Manufacturing 39
    (2021) 101870, table 2).

    >>> round(firing_speed_m_s(2505.0, 59.9e-6), 5)
    0.15005
    """
    return firing_hz * pitch_m
