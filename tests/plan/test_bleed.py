"""A bleed draws the printed outline in: a plan holds the areas of the drawn-in outlines, exactly."""

import pytest

from corelib.job.files import job_from_document
from corelib.job.operating_point import DEFAULT_PROFILES
from corelib.layers.cache import LayerCache
from corelib.plan.build import build_plan

LONG_MM, WIDE_MM, HIGH_MM, BLEED_MM = 120.0, 80.0, 60.0, 0.15


def plan(bleed_xy_mm, scale_pct=0.0):
    block = {"size_mm": [LONG_MM, WIDE_MM, HIGH_MM], "volume_mm3": LONG_MM * WIDE_MM * HIGH_MM}
    job = job_from_document(
        {
            "kind": "corestow.job",
            "schema_version": 1,
            "name": "Block",
            "currency": "EUR",
            "cores": [{"id": "a", "name": "A", "block": block, "orientations": {"rule": "fixed"}}],
            "loose": [{"core_id": "a", "count": 1}],
            "profiles": DEFAULT_PROFILES.model_dump(),
            "overrides": {"process.bleed_xy_mm": bleed_xy_mm, "process.scale_error_xy_pct": scale_pct},
        },
        "job",
    )
    return build_plan(job, None, cache=LayerCache())


def test_without_bleed_printed_and_nominal_areas_are_the_same():
    layers = plan(0.0).layers[0]
    assert layers.printed_area_mm2.max() == pytest.approx(LONG_MM * WIDE_MM, rel=1e-12)
    assert layers.area_error_mm2.max() == 0


@pytest.mark.parametrize("scale_pct", [0.0, -0.2, 0.3])
def test_the_printed_outline_is_nominal_less_bleed_then_scaled(scale_pct):
    """(nominal - 2 b) / (1 + s) in each direction: own derivation of the print model, exact for a block."""
    layers = plan(BLEED_MM, scale_pct).layers[0]
    factor = 1 + scale_pct / 100
    wanted = (LONG_MM - 2 * BLEED_MM) / factor * (WIDE_MM - 2 * BLEED_MM) / factor
    assert layers.printed_area_mm2.max() == pytest.approx(wanted, rel=1e-9)
    assert layers.nominal_area_mm2.max() == pytest.approx(LONG_MM * WIDE_MM, rel=1e-12)
    assert layers.area_error_mm2.max() == 0


def test_binder_follows_the_printed_area():
    dry, drawn_in = plan(0.0), plan(BLEED_MM)
    ratio = drawn_in.estimate.printed.binder_l.value / dry.estimate.printed.binder_l.value
    assert ratio == pytest.approx((LONG_MM - 2 * BLEED_MM) * (WIDE_MM - 2 * BLEED_MM) / (LONG_MM * WIDE_MM))
