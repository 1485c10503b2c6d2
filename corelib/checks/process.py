"""Findings on an operating point: sand, binder, droplets, head, curing and heat as one model."""

from __future__ import annotations

from collections.abc import Sequence

from corelib.checks.process_accuracy import check_accuracy
from corelib.checks.process_casting import (
    check_casting,
    check_lifts,
    check_print_to_cure,
    cores_in_melt,
)
from corelib.checks.process_cure import check_box_in_oven, check_cure
from corelib.checks.process_dose import check_dose, check_dose_twice_stated, check_head_speed
from corelib.checks.process_droplets import check_droplets
from corelib.checks.process_sand import check_sand
from corelib.findings import Finding, in_order
from corelib.job.profiles import OperatingPoint
from corelib.mesh.core import LoadedCore


def check_process(point: OperatingPoint) -> tuple[Finding, ...]:
    """Return the findings on an operating point that a plan shows beside those of its own stations."""
    return in_order(
        [
            *check_dose(point),
            *check_droplets(point),
            *check_sand(point),
            *check_cure(point),
            *check_casting(point),
            *check_accuracy(point),
        ]
    )


def check_process_of_job(
    point: OperatingPoint, cores: Sequence[LoadedCore], printing_s: Sequence[float]
) -> tuple[Finding, ...]:
    """Return the findings on a plan's process: the operating point, its cores in the melt, each box's wait.

    `printing_s` holds the seconds from first to last layer of each box, in box order.
    """
    return in_order(
        [
            *check_process(point),
            *check_lifts(point, cores_in_melt(cores)),
            *check_print_to_cure(point, printing_s),
        ]
    )


def check_process_alone(point: OperatingPoint) -> tuple[Finding, ...]:
    """Return all findings on an operating point without a packing: a full box stands for those of a plan."""
    return in_order(
        [
            *check_process(point),
            *check_dose_twice_stated(point),
            *check_head_speed(point),
            *check_box_in_oven(point),
        ]
    )
