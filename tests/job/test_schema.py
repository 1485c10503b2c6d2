"""The published schemas are current, and accept the shipped files as an independent validator reads them."""

import json
from pathlib import Path

import jsonschema
import pytest

from corelib.files import canonical_json
from corelib.job.schema import schemas
from corelib.reference import shared_folder

ROOT = Path(__file__).parent.parent.parent
PROFILES = sorted((shared_folder() / "profiles").glob("*/*.json"))
JOBS = sorted((ROOT / "sample_jobs").glob("*.json"))


def test_published_schemas_are_current():
    folder = shared_folder() / "schema"
    made = {name: canonical_json(schema) for name, schema in schemas().items()}
    published = {path.name: path.read_bytes() for path in folder.glob("*.json")}
    assert {name for name in made if published.get(name) != made[name]} == set(), (
        "run: python -m corelib.job.schema"
    )


@pytest.mark.parametrize("path", PROFILES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_shipped_profiles_fit_their_published_schema(path):
    schema = schemas()[f"profile.{path.parent.name}.schema.json"]
    jsonschema.Draft202012Validator(schema).validate(json.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_sample_jobs_fit_the_published_schema(path):
    jsonschema.Draft202012Validator(schemas()["job.schema.json"]).validate(
        json.loads(path.read_text(encoding="utf-8"))
    )


def test_the_schema_refuses_what_the_models_refuse():
    document = json.loads(JOBS[0].read_text(encoding="utf-8"))
    document["gap_mm"] = -1
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schemas()["job.schema.json"]).validate(document)
