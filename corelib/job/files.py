"""Job files: read, checked, written atomically, and their published schema."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from corelib.errors import FileError, InputError
from corelib.files import Migration, canonical_json, read_document, write_atomic
from corelib.job.models import JOB_KIND, JOB_SCHEMA_VERSION, Job

MIGRATIONS: dict[int, Migration] = {}
"""`MIGRATIONS[n]` takes a job document of schema version n to n + 1; version 1 is the first."""

_RANGE_SIGNS = {"gt": ">", "ge": "≥", "lt": "<", "le": "≤"}

_WRONG_KINDS = (
    ("float", "job.not_a_number"),
    ("decimal", "job.not_a_number"),
    ("int", "job.not_a_whole_number"),
    ("string", "job.not_a_text"),
    ("bool", "job.not_yes_or_no"),
    ("tuple", "job.not_a_list"),
    ("list", "job.not_a_list"),
    ("dict", "job.not_an_object"),
    ("model", "job.not_an_object"),
    ("dataclass", "job.not_an_object"),
)
"""Starts of pydantic's error types for values of the wrong kind, and the code that names the kind wanted."""


def read_job(path: Path) -> Job:
    """Return the job in a file; raises FileError or InputError with the field that is wrong."""
    return job_from_document(read_document(path, JOB_KIND, JOB_SCHEMA_VERSION, MIGRATIONS), str(path))


def job_from_document(document: Mapping[str, Any], where: str) -> Job:
    """Return the job in a document read from `where`; raises InputError."""
    try:
        return Job.model_validate(document)
    except ValidationError as error:
        raise invalid(error, where, document) from error


def job_document(job: Job) -> dict[str, Any]:
    """Return the job as a document, without the fields that were left at None."""
    return job.model_dump(mode="json", by_alias=True, exclude_none=True)


def write_job(job: Job, path: Path) -> None:
    """Write a job file atomically; raises FileError."""
    if not path.parent.is_dir():
        raise FileError("file.no_folder", path=str(path.parent))
    write_atomic(path, canonical_json(job_document(job)))


def changed(job: Job, **fields: Any) -> Job:
    """Return the job with fields changed and the whole checked again; raises InputError."""
    document = {**job.model_dump(mode="python", by_alias=True), **fields}
    try:
        return Job.model_validate(document)
    except ValidationError as error:
        raise invalid(error, job.name, document) from error


def invalid(error: ValidationError, where: str, document: Mapping[str, Any]) -> InputError:
    """Return the InputError that says which field of a document is wrong, and what is allowed."""
    first = error.errors(include_url=False)[0]
    facts: dict[str, Any] = {
        "where": where,
        "field": _field_path(first["loc"], document),
        "value": _short(first.get("input")),
    }
    code, more = _code_and_facts(first["type"], first.get("ctx", {}), first["msg"])
    return InputError(code, **facts, **more)


def _code_and_facts(kind: str, context: Mapping[str, Any], message: str) -> tuple[str, dict[str, Any]]:
    """Return our code and its facts for one of pydantic's error types (or one of our own)."""
    if "." in kind:
        return kind, dict(context)
    if kind == "missing":
        return "job.value_missing", {}
    if kind == "extra_forbidden":
        return "job.field_unknown", {}
    if kind.endswith(("too_short", "too_long")):
        limits = (("≥", context.get("min_length")), ("≤", context.get("max_length")))
        allowed = [f"{sign} {limit}" for sign, limit in limits if limit is not None]
        return "job.length_range", {"allowed": ", ".join(allowed)}
    for limit, sign in _RANGE_SIGNS.items():
        if limit in context:
            return "job.value_range", {"allowed": f"{sign} {context[limit]:g}"}
    if "expected" in context:
        return "job.value_range", {"allowed": str(context["expected"]).replace(" or ", ", ")}
    if "pattern" in context:
        return "job.value_form", {"form": context["pattern"]}
    for start, code in _WRONG_KINDS:
        if kind.startswith(start):
            return code, {}
    if kind == "finite_number":
        return "job.not_a_number", {}
    return "job.value_kind", {"problem": message}


def _field_path(location: tuple[int | str, ...], document: Any) -> str:
    """Return a location as people read it, without the names of union branches that are in no file."""
    path, place = "", document
    for part in location:
        if isinstance(part, int):
            path += f"[{part}]"
            place = place[part] if isinstance(place, (list, tuple)) and part < len(place) else None
        elif isinstance(place, Mapping) or place is document or place is None or isinstance(place, BaseModel):
            path += f".{part}" if path else part
            place = place.get(part) if isinstance(place, Mapping) else None
    return path or "the whole file"


def _short(value: Any) -> str:
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."
