"""What a plan says about its process: cores in the melt in casting position, waits, the operating point."""

import pytest

from corelib.job.models import Block, CoreItem, InMould, Job, LooseCores
from corelib.job.operating_point import DEFAULT_PROFILES
from corelib.layers.cache import LayerCache
from corelib.plan.build import build_plan


def findings(tmp_path, in_mould=None, **overrides):
    core = CoreItem(
        id="bar",
        name="Bar",
        block=Block(size_mm=(120.0, 60.0, 45.0), volume_mm3=250_000.0),
        in_mould=in_mould or InMould(),
    )
    job = Job(
        name="bars",
        currency="EUR",
        cores=(core,),
        loose=(LooseCores(core_id="bar", count=2),),
        profiles=DEFAULT_PROFILES.model_copy(update={"binder": "alkali-silicate-characterised"}),
        overrides={field.replace("__", "."): value for field, value in overrides.items()},
    )
    plan = build_plan(job, tmp_path, cache=LayerCache(tmp_path / "sections"))
    return {finding.code: finding for finding in plan.findings}


def test_seats_that_bear_too_much_in_casting_position(tmp_path):
    """250 cm³, all wetted: (2370 − 1472) g V = 2.20 N on 20 mm² is 110 kPa; 3.61 N on 100 mm² is 36 kPa."""
    mould = InMould(wetted_pct=100.0, seat_above_mm2=20.0, seat_below_mm2=100.0)
    found = findings(tmp_path, mould, process__print_pressure_kpa=60.0)
    above = found["casting.seat_above_overloaded"]
    assert above.core == "bar"
    assert above.facts["load_n"] == pytest.approx(2.20, abs=0.01)
    assert above.facts["pressure_kpa"] == pytest.approx(110.1, abs=0.3)
    assert "casting.seat_below_overloaded" not in found
    wide = InMould(wetted_pct=100.0, seat_above_mm2=40.0, seat_below_mm2=100.0)
    assert not [code for code in findings(tmp_path, wide, process__print_pressure_kpa=60.0) if "seat" in code]


def test_printing_longer_than_layers_may_wait(tmp_path):
    assert "casting.waits_too_long" not in findings(tmp_path)
    found = findings(tmp_path, process__print_to_cure_h=0.2)["casting.waits_too_long"]
    assert found.box == 0 and found.facts["print_h"] > 0.2


def test_a_cold_nozzle_shows_in_the_plan(tmp_path):
    assert "droplets.z_low_until" not in findings(tmp_path)
    assert "droplets.z_low_until" in findings(tmp_path, head__nozzle_temperature_c=12.0)
