"""The published JSON schemas of jobs and profiles, made from the models.

    python -m corelib.job.schema

writes them into `shared/schema/` of a checkout; a test holds them current.
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from corelib.files import canonical_json, write_atomic
from corelib.job.models import Job
from corelib.job.profiles import PROFILE_KINDS
from corelib.reference import shared_folder

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schemas() -> dict[str, dict[str, Any]]:
    """Return each schema by its file name."""
    models: dict[str, type[BaseModel]] = {
        "job": Job,
        **{f"profile.{kind}": model for kind, model in PROFILE_KINDS.items()},
    }
    return {
        f"{name}.schema.json": {"$schema": DIALECT, **model.model_json_schema(by_alias=True)}
        for name, model in models.items()
    }


if __name__ == "__main__":
    for file_name, schema in schemas().items():
        write_atomic(shared_folder() / "schema" / file_name, canonical_json(schema))
