"""Use case: money and comparison for the window, in a child: what a change moves, prices of quantities.

The requests have `job` (the job file's path) and `document` (the job as it is now, saved or not).
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from corelib.child import Answer, Request
from corelib.cost.quotation import Calculated, parsed_quantities
from corelib.cost.uncertainty import Uncertainty
from corelib.errors import FileError
from corelib.export.quotation_data import cost_sheet_document
from corelib.files import canonical_json, write_atomic
from corelib.job.files import changed, job_from_document
from corelib.job.models import Packing
from corelib.layers.cache import LayerCache
from corelib.plan.build import build_plan
from corelib.plan.document import plan_document
from corelib.plan.quoting import quote_job
from corelib.progress import Progress
from corelib.usecases.comparing import run_comparison
from corelib.usecases.display import run_display
from corelib.usecases.plans import layer_cache


def run_reckoning(request: Request, progress: Progress) -> Answer:
    """Run in a child what `request["work"]` names; `warm` only loads what the others need."""
    if request["work"] == "warm":
        return {}
    runs = {"change": run_change, "quote": run_quote, "display": run_display, "comparison": run_comparison}
    return runs[request["work"]](request, progress)


@lru_cache(maxsize=1)
def _cache() -> LayerCache:
    """Return the cache that this process keeps: the next change finds the layers of the last."""
    return layer_cache()


def run_change(request: Request, progress: Progress) -> Answer:
    """Reckon the job again in the packing `packing` (placements), where it still holds all of its cores.

    Leaves the plan's document in the file `plan` in `folder`; raises a CorestowError.
    """
    path = Path(request["job"])
    job = job_from_document(request["document"], str(path))
    packing = Packing.model_validate({"placements": request["packing"]})
    held = changed(job, packing=packing)
    plan = build_plan(held, path.parent, cache=_cache(), progress=progress)
    target = Path(request["folder"]) / "changed.json"
    document = plan_document(plan, request.get("language", "en"))
    write_atomic(target, canonical_json({**document, "packed_anew": plan.packing is not held.packing}))
    return {"plan": str(target)}


def run_quote(request: Request, progress: Progress) -> Answer:
    """Quote the job for the quantities `sets` (as 1,10,50), each packed.

    Every price is told as the fact `found`, first from a quick packing (its `stage` is `first`), then the one
    that counts (`packed`). The answer has `quotation`: the internal cost sheet's document.
    """
    path = Path(request["job"])
    job = job_from_document(request["document"], str(path))
    if not path.parent.is_dir():
        raise FileError("file.no_folder", path=str(path.parent))
    share = 0.0

    def listen(done: float, step: str, _facts: dict[str, object]) -> bool:
        nonlocal share
        share = done
        progress(done, step)  # raises Cancelled by itself; packings on the way aren't asked for
        return False

    def say(stage: str, reckoned: Calculated, spread: Uncertainty) -> None:
        price = {
            "stage": stage,
            "sets": reckoned.sets,
            "boxes": reckoned.boxes,
            "price": str(reckoned.price),
            "low": spread.price.p10,
            "high": spread.price.p90,
        }
        progress(share, "quote", found=price)

    quotation = quote_job(
        job,
        path.parent,
        parsed_quantities(request["sets"]),
        cache=_cache(),
        progress=Progress(listen),
        first=lambda reckoned, spread: say("first", reckoned, spread),
        shown=lambda reckoned, spread: say("packed", reckoned, spread),
    )
    return {"quotation": cost_sheet_document(quotation, request.get("language", "en"))}
