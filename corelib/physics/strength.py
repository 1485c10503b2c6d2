"""Strength of a core that a person lifts: bending under its own weight. Screening figures."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Series = NDArray[np.float64]
Lift = Literal["at both ends", "at one end"]

GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall (CGPM 1901)."""


def own_weight_moments_n_m(places_m: Series, load_n_m: Series, lift: Lift) -> Series:
    """Return the bending moment [N·m] at each place of a straight body under its own weight.

    `load_n_m` is the weight per length [N/m] at `places_m`, in between linear. Held at both ends: simply
    supported at the first and last place. Held at one end: built in at the first place; the caller turns the
    body for the other end. Double integration by the trapezoidal rule, exact for the shear of a linear load.
    Source: beam theory, e.g. Gere and Goodno, Mechanics of Materials, chapter 4 (from memory): q L²/8 in the
    middle of a simple beam, q L²/2 at the root of a cantilever.

    >>> places = np.linspace(0.0, 2.0, 2001)
    >>> load = np.full(2001, 3.0)
    >>> round(float(own_weight_moments_n_m(places, load, "at both ends").max()), 6)
    1.5
    >>> round(float(own_weight_moments_n_m(places, load, "at one end").max()), 5)
    6.0
    """
    steps = np.diff(places_m)
    shares = 0.5 * steps * (load_n_m[1:] + load_n_m[:-1])
    weight = np.concatenate([[0.0], np.cumsum(shares)])
    lever = np.concatenate([[0.0], np.cumsum(0.5 * steps * (weight[1:] + weight[:-1]))])
    along = places_m - places_m[0]
    if lift == "at both ends":
        reaction = lever[-1] / along[-1]
        moments: Series = reaction * along - lever
        return moments
    return _cantilever(along, weight)


def _cantilever(along_m: Series, weight_n: Series) -> Series:
    """Return the moment of all weight beyond each place, about that place."""
    beyond = weight_n[-1] - weight_n
    pieces = 0.5 * np.diff(along_m) * (beyond[1:] + beyond[:-1])
    moments: Series = np.concatenate([np.cumsum(pieces[::-1])[::-1], [0.0]])
    return moments


def bending_stress_pa(moment_n_m: float, section_modulus_m3: float) -> float:
    """Return the bending stress [Pa]: M/W.

    Bar 22.4 × 22.4 mm at 150 mm span under 1 N in the middle: 1.5 F L/(b h²) (VDG P 72, from memory).

    >>> force, span, width, height = 1.0, 0.150, 0.0224, 0.0224
    >>> from_formula = 1.5 * force * span / (width * height**2)
    >>> abs(bending_stress_pa(force * span / 4, width * height**2 / 6) / from_formula - 1) < 1e-12
    True
    """
    return moment_n_m / section_modulus_m3


def rod_stress_pa(density_kg_m3: float, span_m: float, diameter_m: float) -> float:
    """Return the bending stress [Pa] of a round rod under its own weight between two ends: ρ g L²/d.

    Own derivation from q L²/8 and W = π d³/32; a regression value for 870 kg/m³, 200 mm, 30 mm: 11.3757 kPa.

    >>> round(rod_stress_pa(870.0, 0.200, 0.030), 1)
    11375.7
    """
    return density_kg_m3 * GRAVITY_M_S2 * span_m**2 / diameter_m


def use_of_strength(stress_pa: float, strength_pa: float, safety_factor: float) -> float:
    """Return the share of the allowable stress that is used [-]: σ · factor / strength.

    >>> use_of_strength(0.5e6, 2.0e6, 2.0)
    0.5
    """
    return stress_pa * safety_factor / strength_pa if strength_pa > 0 else math.inf
