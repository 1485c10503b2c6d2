"""Shares a job's cost among its cores and casting sets by a stated rule, to the last cent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

import numpy as np

from corelib.cost.lines import CostLine
from corelib.cost.money import EXACT, allocate, rounded
from corelib.cost.sheet import WITH_THE_BOX, CostSheet
from corelib.estimate.box import LOOSE, BoxEstimate, CoreInBox, JobEstimate
from corelib.findings import Finding

SharingRule = Literal["printed area", "solid volume", "bounding volume"]
SHARING_RULES: tuple[SharingRule, ...] = ("printed area", "solid volume", "bounding volume")
BY_TIME = frozenset({"machine", "labour_printing", "standing"})
BY_DENIED_BED = WITH_THE_BOX - BY_TIME
BY_COPY = frozenset({"labour_unpack", "labour_finish", "inspection", "labour_packing", "packing_material"})
ShareKey = tuple[str, str]
"""Core id and casting set id (`LOOSE` for copies in no set)."""


@dataclass(frozen=True)
class CostShare:
    """What falls on a number of copies: of one core, or of one casting set."""

    name: str
    count: int
    cost: Decimal
    price: Decimal
    cost_each: Decimal
    """Rounded for reading; `cost` is exact."""
    price_each: Decimal


@dataclass(frozen=True)
class Sharing:
    """The whole cost and price, shared by one rule: by core, and by casting set."""

    rule: SharingRule
    cores: tuple[CostShare, ...]
    sets: tuple[CostShare, ...]
    loose: CostShare | None
    """Loose cores and spares together: with the sets they make the whole."""
    findings: tuple[Finding, ...]


def share_cost(
    sheet: CostSheet,
    estimate: JobEstimate,
    set_counts: Mapping[str, int],
    rule: SharingRule = "printed area",
) -> Sharing:
    """Return the cost shared among cores and casting sets.

    `printed area`: machine, attendance and standing loads by each layer's seconds × the core's share of that
    layer's printed area (bare layers in proportion to the rest); sand, oven, energy and what else comes with
    the bed by the bed volume that the core denies to others; work on cores by copies; binder and head wear by
    solid volume.
    `solid volume`, `bounding volume`: everything by that volume. Lines once a job, surcharges and margin
    follow the direct cost.
    """
    keys = sorted({key for box in estimate.boxes for key in _copies(box)})
    direct = dict.fromkeys(keys, Decimal(0))
    for box, cost in zip(estimate.boxes, sheet.boxes, strict=True):
        for line in cost.lines:
            for key, amount in allocate(line.amount, _weights(box, line, rule), sheet.currency).items():
                direct[key] += amount
    weights = {key: float(amount) for key, amount in direct.items()}
    price = dict(direct)
    for line in (*sheet.job_lines, *sheet.surcharges):
        for key, amount in allocate(line.amount, weights, sheet.currency).items():
            price[key] += amount
    cost_by_key = dict(price)
    for key, amount in allocate(sheet.margin.amount, weights, sheet.currency).items():
        price[key] += amount
    copies = dict.fromkeys(keys, 0)
    for box in estimate.boxes:
        for key, count in _copies(box).items():
            copies[key] += count
    return _grouped(rule, sheet.currency, copies, cost_by_key, price, set_counts, _findings(estimate, rule))


def _grouped(
    rule: SharingRule,
    currency: str,
    copies: Mapping[ShareKey, int],
    cost: Mapping[ShareKey, Decimal],
    price: Mapping[ShareKey, Decimal],
    set_counts: Mapping[str, int],
    findings: tuple[Finding, ...],
) -> Sharing:
    def share(name: str, keys: list[ShareKey], count: int | None = None) -> CostShare:
        count = sum(copies[key] for key in keys) if count is None else count
        cost_sum = sum((cost[key] for key in keys), Decimal(0))
        price_sum = sum((price[key] for key in keys), Decimal(0))
        each = [rounded(EXACT.divide(amount, Decimal(count)), currency) for amount in (cost_sum, price_sum)]
        return CostShare(name, count, cost_sum, price_sum, *each)

    def keys_of(place: int, name: str) -> list[ShareKey]:
        return [key for key in cost if key[place] == name]

    cores = tuple(share(name, keys_of(0, name)) for name in sorted({core_id for core_id, _ in cost}))
    set_ids = sorted({set_id for _, set_id in cost} - {LOOSE})
    sets = tuple(share(name, keys_of(1, name), set_counts[name]) for name in set_ids)
    loose = keys_of(1, LOOSE)
    return Sharing(rule, cores, sets, share(LOOSE, loose) if loose else None, findings)


def _copies(box: BoxEstimate) -> dict[ShareKey, int]:
    copies: dict[ShareKey, int] = {}
    for core in sorted(box.cores, key=lambda core: core.core_id):
        for set_id, count in sorted((core.copies_by_set or {LOOSE: core.copies}).items()):
            copies[core.core_id, set_id] = count
    return copies


def _weights(box: BoxEstimate, line: CostLine, rule: SharingRule) -> dict[ShareKey, float]:
    by_core = {core.core_id: _weight(core, box, line, rule) for core in box.cores}
    totals = {core.core_id: core.copies for core in box.cores}
    return {key: by_core[key[0]] * count / totals[key[0]] for key, count in _copies(box).items()}


def _weight(core: CoreInBox, box: BoxEstimate, line: CostLine, rule: SharingRule) -> float:
    """Return the weight of all copies of a core in a box for one line of its cost."""
    if rule == "bounding volume":
        return core.copies * core.bounding_volume_mm3
    if rule == "printed area" and line.code in BY_COPY:
        return float(core.copies)
    if rule == "printed area" and line.code in BY_TIME and _areas_known(box):
        return _layer_seconds(core, box)
    if rule == "printed area" and line.code in BY_DENIED_BED:
        denied_mm3 = core.denied_volume_mm3
        return core.copies * (core.bounding_volume_mm3 if denied_mm3 is None else denied_mm3)
    return core.copies * core.core_volume_mm3


def _layer_seconds(core: CoreInBox, box: BoxEstimate) -> float:
    """Return the core's seconds: of each layer's, its share of that layer's printed area."""
    areas = {
        other.core_id: other.printed_area_mm2 for other in box.cores if other.printed_area_mm2 is not None
    }
    whole = np.sum(list(areas.values()), axis=0)
    share = np.divide(areas[core.core_id], whole, out=np.zeros_like(whole), where=whole > 0)
    return float(np.sum(box.time_s * share))


def _areas_known(box: BoxEstimate) -> bool:
    return all(core.printed_area_mm2 is not None for core in box.cores)


def _findings(estimate: JobEstimate, rule: SharingRule) -> tuple[Finding, ...]:
    if rule != "printed area" or all(_areas_known(box) for box in estimate.boxes):
        return ()
    return (Finding("cost.shared_by_volume", "note"),)
