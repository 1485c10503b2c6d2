"""What a shop's own measurements say: drop volume, bed density, efficiency, times, unpacking minutes.

Pure formulas from readings to values; the forms that ask for the readings are in `corelib.job.measuring`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import nnls


def drop_volume_from_purge_m3(purged_kg: float, drops: float, binder_density_kg_m3: float) -> float:
    """Return the mean drop volume [m³] from the mass of a counted number of drops.

    v = m / (N ρ_l). Exact; evaporation while weighing makes it too small.

    >>> round(drop_volume_from_purge_m3(1.29e-3 * 80, 1.28e9, 1290.0) * 1e15, 6)
    62.5
    """
    return purged_kg / (drops * binder_density_kg_m3)


def efficiency_from_meter(heat_j: float, metered_j: float) -> float:
    """Return an oven's efficiency from plug to load [-]: heat taken up over electric energy metered.

    η = E / E_el. The heat is that of the heat balance, so η carries what the balance leaves out.

    >>> efficiency_from_meter(6.0, 10.0)
    0.6
    """
    return heat_j / metered_j


def unpacking_minutes(
    cores: Sequence[float], litres: Sequence[float], passages: Sequence[float], minutes: Sequence[float]
) -> tuple[float, float, float]:
    """Return the minutes per core, per litre and per passage that fit timed unpackings best, none negative.

    min ‖a cores + b litres + c passages − minutes‖, a, b, c ≥ 0. Source: non-negative least squares, Lawson &
    Hanson, Solving Least Squares Problems, 1974 (as in scipy.optimize.nnls).

    >>> tuple(round(each, 6) for each in unpacking_minutes([1, 2, 4], [0, 1, 8], [0, 3, 1], [4, 11.5, 21]))
    (4.0, 0.5, 1.0)
    """
    matrix = np.column_stack([cores, litres, passages]).astype(np.float64)
    found, _ = nnls(matrix, np.asarray(minutes, dtype=np.float64))
    return float(found[0]), float(found[1]), float(found[2])


def open_time_s(idle_s: Sequence[float], missing: Sequence[float]) -> float | None:
    """Return the longest idle time [s] up to which no nozzle went missing, None if the shortest lost one.

    Idle times past the first loss don't count, even if they happened to go well.

    >>> open_time_s([30, 60, 90, 120], [0, 0, 2, 0])
    60.0
    """
    longest: float | None = None
    for idle, lost in sorted(zip(idle_s, missing, strict=True)):
        if lost > 0:
            break
        longest = float(idle)
    return longest
