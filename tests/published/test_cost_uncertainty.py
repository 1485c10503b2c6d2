"""Monte Carlo against closed forms and the worked examples of JCGM 100 and 101.

Sureness: P a reference package returned it, M from memory (document not read here), O own arithmetic.
"""

import numpy as np
import pytest

from corelib.cost.draws import Uncertain, draws_of, percentiles
from corelib.estimate.formula import evaluate
from corelib.job.quotation import Range

MANY = 200_000


def normal(value: float, sd: float) -> Uncertain:
    return Uncertain(value, Range(shape="normal", sd=sd))


def rectangular(low: float, high: float) -> Uncertain:
    return Uncertain((low + high) / 2, Range(shape="uniform", low=low, high=high))


def spread_of(formula: str, inputs: dict[str, Uncertain], seed: int = 1) -> np.ndarray:
    return evaluate(formula, draws_of(inputs, MANY, seed))


def test_linear_case():
    # closed form: mean 3·10 − 2·4, variance 9·2² + 4·0.5²
    result = spread_of("3 × a − 2 × b", {"a": normal(10.0, 2.0), "b": normal(4.0, 0.5)})
    assert result.mean() == pytest.approx(22.0, abs=0.05)
    assert result.std() == pytest.approx(np.sqrt(9 * 4 + 4 * 0.25), rel=0.01)
    low, middle, high = percentiles(result)
    assert middle == pytest.approx(22.0, abs=0.05)
    assert high - low == pytest.approx(2 * 1.281552 * np.sqrt(37.0), rel=0.01)


def test_product_case():
    # closed form for independent factors: var = m_a² s_b² + m_b² s_a² + s_a² s_b²
    result = spread_of("a × b", {"a": normal(20.0, 2.0), "b": normal(5.0, 1.0)})
    assert result.mean() == pytest.approx(100.0, rel=0.005)
    assert result.var() == pytest.approx(20**2 * 1**2 + 5**2 * 2**2 + 2**2 * 1**2, rel=0.02)


def test_triangular_range():
    # closed form: mean (a + b + c)/3, variance (a² + b² + c² − ab − ac − bc)/18
    drawn = draws_of({"a": Uncertain(2.0, Range(low=1.0, likely=2.0, high=6.0))}, MANY, 1)["a"]
    assert drawn.mean() == pytest.approx(3.0, rel=0.005)
    assert drawn.var() == pytest.approx((1 + 4 + 36 - 2 - 6 - 12) / 18, rel=0.02)


def test_four_normal_inputs_of_the_additive_model():
    # M: JCGM 101:2008, 9.2.2: Y = X1 + X2 + X3 + X4, each N(0, 1): u = 2.00, 95 % interval [−3.92, 3.92]
    result = spread_of("a + b + c + d", {name: normal(0.0, 1.0) for name in "abcd"})
    assert result.std() == pytest.approx(2.00, abs=0.02)
    assert np.percentile(result, (2.5, 97.5)) == pytest.approx([-3.92, 3.92], abs=0.05)


def test_four_rectangular_inputs_of_the_additive_model():
    # M: JCGM 101:2008, 9.2.3: four rectangular inputs of mean 0 and standard deviation 1: u = 2.00,
    # 95 % interval [−3.88, 3.88]
    half = np.sqrt(3.0)
    result = spread_of("a + b + c + d", {name: rectangular(-half, half) for name in "abcd"})
    assert result.std() == pytest.approx(2.00, abs=0.02)
    assert np.percentile(result, (2.5, 97.5)) == pytest.approx([-3.88, 3.88], abs=0.05)


def test_one_dominant_rectangular_input():
    # M: JCGM 101:2008, 9.2.4: as above, one standard deviation 10: u = 10.1, 95 % interval [−17.0, 17.0]
    half = np.sqrt(3.0)
    inputs = {name: rectangular(-half, half) for name in "abc"} | {"d": rectangular(-10 * half, 10 * half)}
    result = spread_of("a + b + c + d", inputs)
    assert result.std() == pytest.approx(10.1, abs=0.1)
    assert np.percentile(result, (2.5, 97.5)) == pytest.approx([-17.0, 17.0], abs=0.15)


def test_end_gauge_of_the_guide():
    # Numbers M (JCGM 100:2008, H.1), structure R in package documentation: l = ls + d − ls (da·th + as·dt).
    # P: first order 31.66 nm (uncertainties, metrolopy, suncal), printed as 32; Monte Carlo 33.88 nm
    # (suncal), since th has a mean near 0 and the product of second order counts. Lengths in nm.
    inputs = {
        "ls": normal(50_000_623.0, 25.0),
        "d": normal(215.0, 9.68),
        "da": normal(0.0, 0.58e-6),
        "th": normal(-0.1, 0.41),
        "as_": normal(11.5e-6, 1.2e-6),
        "dt": normal(0.0, 0.05 / np.sqrt(3)),
    }
    result = spread_of("ls + d − ls × (da × th + as_ × dt)", inputs)
    assert result.mean() == pytest.approx(50_000_838.0, abs=0.5)
    assert result.std() == pytest.approx(33.9, abs=0.3)
    ls = 5.0000623e7
    linear = 25.0**2 + 9.68**2 + (ls * 0.1 * 0.58e-6) ** 2 + (ls * 11.5e-6 * 0.05) ** 2 / 3
    assert np.sqrt(linear) == pytest.approx(31.66, abs=0.01)
