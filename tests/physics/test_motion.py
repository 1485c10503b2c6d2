"""Travel, strokes and firing: kinematics by another way, and the properties that times must have."""

import doctest
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from corelib.physics import motion

speeds = st.floats(0.01, 3.0)
accelerations = st.floats(0.1, 50.0)
distances = st.floats(0.0, 5.0)


def integrated_travel_s(distance_m: float, speed_m_s: float, acceleration_m_s2: float) -> float:
    """Return the time of the move as the integral of dx/v, v the fastest that still stops at the end."""

    def slowness_s_m(half_m: float) -> float:
        return 1.0 / min(speed_m_s, math.sqrt(2.0 * acceleration_m_s2 * half_m))

    corner_m = min(distance_m / 2, speed_m_s**2 / (2 * acceleration_m_s2))
    ramp, _ = quad(slowness_s_m, 0.0, corner_m)
    return 2 * (ramp + (distance_m / 2 - corner_m) / speed_m_s)


@pytest.mark.parametrize("distance_m", [0.01, 0.1, 0.2, 1.2])
def test_travel_against_the_integral(distance_m):
    expected = integrated_travel_s(distance_m, 0.55, 2.5)
    assert motion.travel_s(distance_m, 0.55, 2.5) == pytest.approx(expected, rel=1e-8)


@given(distances, speeds, accelerations)
def test_travel_is_never_faster_than_its_speed_or_acceleration(distance_m, speed, acceleration):
    time_s = motion.travel_s(distance_m, speed, acceleration)
    assert time_s >= distance_m / speed
    assert time_s >= 2 * (distance_m / acceleration) ** 0.5 * (1 - 1e-12)


@given(distances, distances, speeds, accelerations)
def test_travel_grows_with_distance(one_m, other_m, speed, acceleration):
    near, far = sorted((one_m, other_m))
    assert motion.travel_s(near, speed, acceleration) <= motion.travel_s(far, speed, acceleration) * (
        1 + 1e-12
    )


@given(speeds, accelerations)
def test_trapezoid_and_triangle_meet(speed, acceleration):
    meet_m = speed**2 / acceleration
    below = motion.travel_s(meet_m * (1 - 1e-9), speed, acceleration)
    assert below == pytest.approx(motion.travel_s(meet_m, speed, acceleration), rel=1e-6)


@given(st.floats(0.001, 3.0), st.floats(0.05, 1.0), st.floats(0.0, 0.02))
def test_strips_cover_the_extent_and_no_strip_is_idle(extent_m, width_m, overlap_m):
    strips = motion.strip_count(extent_m, width_m, overlap_m)
    assert strips * (width_m - overlap_m) + overlap_m >= extent_m * (1 - 1e-9)
    assert (strips - 1) * (width_m - overlap_m) + overlap_m < extent_m or strips == 1


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.1, 1.0), st.floats(0.0, 0.02))
def test_touched_strips_lie_between_the_least_and_all(one_m, other_m, width_m, overlap_m):
    low_m, high_m = sorted((one_m, other_m))
    touched = motion.strips_touched(low_m, high_m, 1.0, width_m, overlap_m)
    if low_m == high_m:
        assert touched == 0
        return
    assert touched <= motion.strip_count(1.0, width_m, overlap_m)
    assert touched >= motion.strip_count(high_m - low_m, width_m, overlap_m)


def test_nothing_printed_touches_no_strip():
    assert motion.strips_touched(float("nan"), float("nan"), 1.0, 0.5) == 0


def test_float_noise_opens_no_strip():
    assert motion.strip_count(0.1 + 0.2, 0.1) == 3


def test_arrays_and_numbers_agree():
    lengths = np.array([0.0, 0.01, 0.4, 1.7])
    assert motion.travel_s(lengths, 0.5, 2.0).tolist() == [motion.travel_s(x, 0.5, 2.0) for x in lengths]
    assert motion.strip_count(lengths, 0.5, 0.01).tolist() == [
        motion.strip_count(x, 0.5, 0.01) for x in lengths
    ]


def test_docstrings():
    assert doctest.testmod(motion).failed == 0
