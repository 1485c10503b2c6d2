"""The plan's way through the shop: given where the shop is stated, a finding where a step fits no shift."""

from corelib.cost.sheet import missing_rates
from corelib.estimate.box import estimate_job
from corelib.job.models import Job
from corelib.plan.build import way_through_shop
from tests.estimate.made import block_estimate, point
from tests.journeys.test_quote import JOB

ESTIMATE = estimate_job([block_estimate()])


def test_schedule_of_a_stated_shop_starts_on_the_stated_day():
    schedule, findings = way_through_shop(Job.model_validate(JOB), point(), ESTIMATE)
    assert schedule is not None
    assert schedule.document()["start_day"] == "2026-11-30"
    assert schedule.lead_time_days >= 1
    assert findings == schedule.findings


def test_no_schedule_where_the_shop_or_a_rate_is_not_stated():
    job = Job.model_validate(JOB)
    assert way_through_shop(job, point(shop__ovens=None), ESTIMATE) == (None, ())
    without = point(rates__labour_per_h=None)
    assert missing_rates(without)
    assert way_through_shop(job, without, ESTIMATE) == (None, ())


def test_a_step_longer_than_any_shift_is_a_finding():
    shifts = [{"days": ["mon"], "start": "06:00", "end": "06:30"}]
    attended = point(shop__prints_unattended=False, shop__shifts=shifts)
    schedule, findings = way_through_shop(Job.model_validate(JOB), attended, ESTIMATE)
    assert schedule is None
    assert [finding.code for finding in findings] == ["estimate.longer_than_any_shift"]
