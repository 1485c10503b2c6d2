"""The plan of a job: one packing with all that follows from it."""

from __future__ import annotations

from dataclasses import dataclass

from corelib.allowance.body import PrintedBody
from corelib.cost.sharing import Sharing
from corelib.cost.sheet import CostSheet
from corelib.cost.uncertainty import Uncertainty
from corelib.estimate.box import JobEstimate
from corelib.estimate.schedule import Schedule
from corelib.findings import Finding
from corelib.job.models import Job, Packing
from corelib.job.profiles import OperatingPoint
from corelib.layers.model import BoxLayers
from corelib.mesh.core import LoadedCore
from corelib.nesting.extraction import Extraction
from corelib.nesting.model import NestBox
from corelib.nesting.quality import BoxQuality
from corelib.nesting.wishes import WishMet
from corelib.wording import label


@dataclass(frozen=True, eq=False)
class Plan:
    """Everything about one packing of a job, and the inputs that made it.

    `cores` holds the job's cores in id order, then what rides along. `cost`, `sharing` and `spread` are None
    where a rate isn't stated (a finding says which).
    """

    job: Job
    point: OperatingPoint
    cores: tuple[LoadedCore, ...]
    bodies: tuple[PrintedBody, ...]
    ride_along: dict[str, int]
    box: NestBox
    gap_mm: float
    packing: Packing
    packed_by: str
    layers: tuple[BoxLayers, ...]
    estimate: JobEstimate
    cost: CostSheet | None
    sharing: Sharing | None
    spread: Uncertainty | None
    """Range, causes and evidence of time, cost and price."""
    schedule: Schedule | None
    """The boxes' way through the shop; None where the shop isn't stated."""
    quality: tuple[BoxQuality, ...]
    wishes: tuple[WishMet, ...]
    """How well each box meets each wish that the job states."""
    unpacking: tuple[Extraction, ...]
    findings: tuple[Finding, ...]

    @property
    def core_names(self) -> dict[str, str]:
        """Names by core id, of what rides along too (in English)."""
        return self.names_in("en")

    def names_in(self, language: str) -> dict[str, str]:
        """Return names by core id: the user's own, and what rides along as the language calls it."""
        return {
            core.item.id: label("sheets", core.item.id, language)
            if core.item.id in self.ride_along
            else core.item.name
            for core in self.cores
        }
