"""Seeded draws of uncertain inputs: ranges as distributions, each input with its own stream of numbers."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from corelib.job.quotation import Range

Draws = NDArray[np.float64]


class Uncertain(NamedTuple):
    """An input: its stated value, its spread, and the bounds that no draw passes."""

    value: float
    spread: Range
    least: float = -np.inf
    most: float = np.inf


class Percentiles(NamedTuple):
    """What a spread shows: one draw of ten is below p10, one above p90."""

    p10: float
    p50: float
    p90: float


def draws_of(inputs: Mapping[str, Uncertain], count: int, seed: int) -> dict[str, Draws]:
    """Return `count` draws of each input; an input's draws depend on the seed and its own name alone."""
    return {name: _draw(name, uncertain, count, seed) for name, uncertain in sorted(inputs.items())}


def _draw(name: str, uncertain: Uncertain, count: int, seed: int) -> Draws:
    stream = np.random.default_rng([seed, zlib.crc32(name.encode("utf-8"))])
    spread = uncertain.spread
    if spread.shape == "normal":
        drawn = uncertain.value + (spread.sd or 0.0) * stream.standard_normal(count)
    else:
        low = uncertain.value if spread.low is None else spread.low
        high = uncertain.value if spread.high is None else spread.high
        if spread.shape == "uniform":
            drawn = stream.uniform(low, high, count)
        else:
            likely = uncertain.value if spread.likely is None else spread.likely
            drawn = stream.triangular(low, min(max(likely, low), high), high, count)
    return np.clip(drawn, uncertain.least, uncertain.most)


def percentiles(draws: Draws) -> Percentiles:
    """Return P10, P50 and P90 of draws."""
    return Percentiles(*np.percentile(draws, (10.0, 50.0, 90.0)).tolist())


class Cause(NamedTuple):
    """How much of a result's spread comes from one input."""

    name: str
    share: float
    """Squared correlation with the result, as a part of all causes' together."""
    swing: float
    """Change of the result from the input's P10 to its P90, the others as they fall."""


def ranked_causes(inputs: Mapping[str, Draws], result: Draws) -> tuple[Cause, ...]:
    """Return the inputs by their part in the result's spread, largest first; without those that have none.

    Squared correlation is the part of the variance that a straight line in the input explains: for
    independent inputs of a nearly linear sum, parts add to one.
    """
    centred = result - result.mean()
    variance = float(centred @ centred)
    if variance == 0.0:
        return ()
    raw: list[tuple[str, float, float]] = []
    for name, draws in sorted(inputs.items()):
        own = draws - draws.mean()
        own_variance = float(own @ own)
        if own_variance == 0.0:
            continue
        slope = float(own @ centred) / own_variance
        low, _, high = percentiles(draws)
        raw.append((name, slope**2 * own_variance / variance, slope * (high - low)))
    # chance correlation of unrelated draws is about 1/n: below a few of it there is no cause
    known = [entry for entry in raw if entry[1] > 9.0 / len(result)]
    whole = sum(share for _, share, _ in known)
    causes = [Cause(name, share / whole, swing) for name, share, swing in known]
    return tuple(sorted(causes, key=lambda cause: (-cause.share, cause.name)))
