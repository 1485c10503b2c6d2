"""Speed of quotations as ratios in one run, in processor time: draws at once, full boxes repeated."""

from corelib.cost.draws import draws_of
from corelib.cost.uncertainty import modelled, uncertain_inputs, uncertainty
from corelib.estimate.box import estimate_job
from corelib.job.models import Job
from corelib.layers.cache import LayerCache
from corelib.plan.quoting import quote_job
from tests.estimate.made import block_estimate, point
from tests.journeys.test_quote import JOB
from tests.pace import least_s


def say(what, ratio):
    print(f"{what}: {ratio:.1f}")  # pytest -s shows it


def test_draws_at_once_against_one_by_one():
    estimate = estimate_job([block_estimate(box=number) for number in range(2)])
    drawn = draws_of(uncertain_inputs(estimate, point(), {}), 50, 0)
    rows = [{name: float(values[row]) for name, values in drawn.items()} for row in range(50)]

    def one_by_one():
        for row in rows:
            modelled(estimate, point(), "EUR", row)

    fifty_s, all_s = least_s(one_by_one, lambda: uncertainty(estimate, point(), "EUR", draws=10_000), runs=5)
    each_s, at_once_s = fifty_s / 50, all_s / 10_000
    say("10 000 draws at once, times faster a draw", each_s / at_once_s)
    assert each_s > 50 * at_once_s


def test_hundreds_of_sets_cost_little_more_than_a_dozen(tmp_path):
    job = Job.model_validate(JOB)
    cache = LayerCache(tmp_path)
    quote_job(job, tmp_path, [1], cache=cache)  # kernels and sections are there
    dozen_s, hundreds_s = least_s(
        lambda: quote_job(job, tmp_path, [12], cache=cache),
        lambda: quote_job(job, tmp_path, [300], cache=cache),
    )
    say("300 sets against 12 sets", hundreds_s / dozen_s)
    assert hundreds_s < 8 * dozen_s
