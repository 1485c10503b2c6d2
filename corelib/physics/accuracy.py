"""Accuracy: scale error and bleed from coupons, tolerance budgets, process capability."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

Matrix = NDArray[np.float64]

LEAST_SAMPLES_FOR_CAPABILITY = 10


@dataclass(frozen=True)
class LinearFit:
    """A least-squares fit of two coefficients: their values, covariance, residuals and degrees of freedom."""

    first: float
    second: float
    covariance: tuple[tuple[float, float], tuple[float, float]]
    residuals: tuple[float, ...]
    degrees_of_freedom: int

    @property
    def residual_deviation(self) -> float:
        """Standard deviation of one measurement about the fit: √(Σ r²/(n − 2))."""
        return math.sqrt(sum(value * value for value in self.residuals) / self.degrees_of_freedom)

    @property
    def standard_errors(self) -> tuple[float, float]:
        """Standard uncertainties of the two coefficients."""
        return math.sqrt(self.covariance[0][0]), math.sqrt(self.covariance[1][1])

    @property
    def correlation(self) -> float:
        """Correlation of the two coefficients, −1 to 1."""
        first, second = self.standard_errors
        return self.covariance[0][1] / (first * second) if first and second else 0.0

    def half_width(self, coefficient: int, confidence: float = 0.95) -> float:
        """Half width of a coefficient's confidence interval (Student's t)."""
        return student_t(confidence, self.degrees_of_freedom) * self.standard_errors[coefficient]


def student_t(confidence: float, degrees_of_freedom: float) -> float:
    """Return Student's two-sided coverage factor [-].

    Source: JCGM 100:2008, table G.2; the doctest's value k = 2.92 for 99 % and 16 degrees of freedom stands
    in its example H.1 (from memory).

    >>> round(student_t(0.99, 16), 2)
    2.92
    """
    return float(special.stdtrit(degrees_of_freedom, 0.5 * (1.0 + confidence)))


def fit_scale_and_bleed(
    printed_m: Sequence[float], measured_m: Sequence[float], bleed_times: Sequence[float]
) -> LinearFit:
    """Return scale error [-] and bleed a side [m] with their covariance, from coupons.

    Model: measured − printed = s·printed + k·b, k = +2 for an outside length, −2 for an inside one (+1 and
    −1 where only one of the two faces bleeds, as upright). Ordinary least squares with equal weights; needs
    three lengths or more and, to separate s from b, sizes or sides that differ. Raises ValueError where the
    two can't be told apart at all. Source: JCGM 100:2008, H.3 (straight line by least squares).

    A noisy line made up for this check, with o = 2b; the same figures came from scipy's linregress:

    >>> fit = fit_scale_and_bleed([20, 50, 100, 200], [20.31, 50.18, 100.07, 199.74], [2, 2, 2, 2])
    >>> round(1 + fit.first, 8), round(2 * fit.second, 8)
    (0.99691834, 0.36005355)
    >>> round(fit.standard_errors[0], 8), round(2 * fit.standard_errors[1], 7)
    (0.00017551, 0.0201832)
    """
    printed, measured = np.asarray(printed_m, float), np.asarray(measured_m, float)
    design = np.column_stack([printed, np.asarray(bleed_times, float)])
    wanted = measured - printed
    freedom = len(printed) - 2
    if freedom < 1:
        raise ValueError("three lengths or more are needed")
    size = np.abs(design).max(axis=0)
    if not (size > 0).all() or np.linalg.cond(design / size) > 1e8:
        raise ValueError("scale and bleed can't be told apart")
    normal = np.linalg.inv((design / size).T @ (design / size)) / np.outer(size, size)
    solution = np.linalg.lstsq(design / size, wanted, rcond=None)[0] / size
    residuals = wanted - design @ solution
    covariance = normal * float(residuals @ residuals) / freedom
    rows = tuple((float(a), float(b)) for a, b in covariance)
    return LinearFit(
        float(solution[0]), float(solution[1]), (rows[0], rows[1]), tuple(residuals.tolist()), freedom
    )


def quantisation_deviation_m(step_m: float) -> float:
    """Return the standard deviation [m] of a rounding to steps of `step_m`: step/√12.

    Uniform over the step. Source: JCGM 100:2008, 4.3.7. A micrometer's resolution of 1 µm gives 0.28868 µm:

    >>> round(quantisation_deviation_m(0.001), 8)
    0.00028868
    """
    return step_m / math.sqrt(12.0)


def root_sum_of_squares(terms: Sequence[float]) -> float:
    """Return √Σ u² of independent, centred terms (any one unit).

    Source: JCGM 100:2008, 5.1.2 with sensitivity 1. Terms 0.20, 0.10, 0.15 give 0.269 (a stack-up example of
    the trade); the end-gauge of its example H.1 gives 31.7 nm to first order (numbers from memory):

    >>> round(root_sum_of_squares([0.20, 0.10, 0.15]), 5)
    0.26926
    >>> round(root_sum_of_squares([25.0, 9.7, 2.9, 16.6]), 1)
    31.7
    """
    return math.sqrt(math.fsum(term * term for term in terms))


def expanded_m(deviations_m: Sequence[float], biases_m: Sequence[float], coverage: float = 2.0) -> float:
    """Return the half width [m] within which results lie: k·√Σ u² + |Σ bias|.

    Known bias that is not corrected is added linearly. Source: JCGM 100:2008, F.2.4.5 (common form).

    >>> round(expanded_m([3e-4, 4e-4], [1e-4, -2e-4]), 7)
    0.0011
    """
    return coverage * root_sum_of_squares(deviations_m) + abs(math.fsum(biases_m))


@dataclass(frozen=True)
class Capability:
    """Process capability with its 95 % confidence interval."""

    n: int
    cp: float
    cpk: float
    cp_interval: tuple[float, float]
    cpk_interval: tuple[float, float]


def capability_cp(low_m: float, high_m: float, deviation_m: float) -> float:
    """Return Cp [-] = (upper − lower limit)/6s.

    Source: ISO 22514-2 (from memory). Rods 1.000 ± 0.010, s 0.003 (published exercise):

    >>> round(capability_cp(0.990, 1.010, 0.003), 2)
    1.11
    """
    return (high_m - low_m) / (6.0 * deviation_m)


def capability_cpk(low_m: float, high_m: float, mean_m: float, deviation_m: float) -> float:
    """Return Cpk [-] = min(upper − mean, mean − lower)/3s.

    Source: ISO 22514-2; NIST/SEMATECH e-Handbook 7.1.6 (limits 8 and 20, mean 16, s 2: Cpk 0.6667; from
    memory).

    >>> round(capability_cpk(8, 20, 16, 2), 4)
    0.6667
    """
    return min(high_m - mean_m, mean_m - low_m) / (3.0 * deviation_m)


def capability(samples_m: Sequence[float], low_m: float, high_m: float) -> Capability | None:
    """Return Cp and Cpk of samples with 95 % intervals; None under 10 samples or without scatter.

    Interval of Cp from chi-square, of Cpk by Bissell's approximation (Appl. Statist. 39, 1990; from memory).

    >>> capability([0.0] * 9, -1, 1) is None
    True
    """
    n = len(samples_m)
    if n < LEAST_SAMPLES_FOR_CAPABILITY:
        return None
    mean = math.fsum(samples_m) / n
    deviation = math.sqrt(math.fsum((value - mean) ** 2 for value in samples_m) / (n - 1))
    if deviation == 0.0:
        return None
    cp, cpk = capability_cp(low_m, high_m, deviation), capability_cpk(low_m, high_m, mean, deviation)
    low, high = (float(2 * special.gammaincinv(0.5 * (n - 1), share)) for share in (0.025, 0.975))
    cp_interval = (cp * math.sqrt(low / (n - 1)), cp * math.sqrt(high / (n - 1)))
    half = float(special.ndtri(0.975)) * math.sqrt(1.0 / (9 * n) + cpk * cpk / (2 * (n - 1)))
    return Capability(n, cp, cpk, cp_interval, (cpk - half, cpk + half))


def share_outside(cp: float) -> float:
    """Return the share [-] of a centred normal process outside its limits: 2 Φ(−3 Cp).

    >>> round(share_outside(1.0) * 1e6, 3), round(share_outside(4 / 3) * 1e6, 3)
    (2699.796, 63.342)
    """
    return float(2.0 * special.ndtr(-3.0 * cp))


def cusp_height_m(layer_m: float, normal_z: float) -> float:
    """Return how far a step stands off a sloped face [m]: layer thickness × |n_z|, 0 for a level face.

    The step's corner to the face through its neighbours. Source: Dolenc and Mäkelä, Comput.-Aided Des. 26
    (1994) 119 (from memory): cusp height C = t·|n_z|.

    >>> round(cusp_height_m(0.3e-3, 0.5) * 1e3, 3)
    0.15
    """
    slope = abs(normal_z)
    return layer_m * slope if slope < 1.0 - 1e-9 else 0.0
