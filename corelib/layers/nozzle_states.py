"""What every nozzle does in every layer: prints, prints late, rests, or rests past its open time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.layers.nozzles import NozzleTimes

NEVER, RESTS, DRIES, PRINTS, LATE = range(5)
"""Doesn't print in this box · rests within the open time · rests past it · prints · prints after drying."""


@dataclass(frozen=True, eq=False)
class NozzleStates:
    """States and idle times by layer and nozzle.

    `state` (layers, nozzles) uint8 holds NEVER, RESTS, DRIES, PRINTS or LATE; `idle_s` (layers, nozzles)
    float32 is how long a nozzle has stood idle when the layer's strokes begin, since its last drop, the last
    service or the start. `longest_s` is each layer's longest idle spell before a drop (0 without any).
    """

    state: NDArray[np.uint8]
    idle_s: NDArray[np.float32]
    longest_s: NDArray[np.float64]

    @property
    def late(self) -> NDArray[np.int64]:
        """Nozzles of each layer that print there after more than the open time."""
        counted: NDArray[np.int64] = (self.state == LATE).sum(axis=1)
        return counted


def nozzle_states(drops: NDArray[np.int32], times: NozzleTimes, open_time_s: float | None) -> NozzleStates:
    """Return the states from the drops (layers, nozzles) and the times; no nozzle dries without an open time.

    Spells are counted as in `corelib.layers.nozzles.IdleNozzles`.
    """
    layers, nozzles = drops.shape
    limit_s = np.inf if open_time_s is None else open_time_s
    state = np.empty((layers, nozzles), dtype=np.uint8)
    idle_s = np.empty((layers, nozzles), dtype=np.float32)
    longest_s = np.zeros(layers)
    never = ~(drops > 0).any(axis=0)
    since_s = np.zeros(nozzles)
    for layer in range(layers):
        prints = drops[layer] > 0
        idle = times.jets_s[layer] - since_s
        dried = idle > limit_s
        state[layer] = np.where(prints, np.where(dried, LATE, PRINTS), np.where(dried, DRIES, RESTS))
        state[layer, never] = NEVER
        idle_s[layer] = idle
        longest_s[layer] = idle[prints].max(initial=0.0)
        since_s[prints] = times.jets_s[layer]
        if times.served[layer]:
            since_s = np.maximum(since_s, times.layer_end_s[layer])
    return NozzleStates(state, idle_s, longest_s)
