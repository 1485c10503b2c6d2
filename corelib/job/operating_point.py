"""Profiles read from disk, and the operating point: a job's profiles, its overrides applied and listed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from corelib.errors import InputError
from corelib.files import read_document
from corelib.job.fields import Evidence
from corelib.job.files import invalid
from corelib.job.models import Job
from corelib.job.profiles import (
    PROFILE_KINDS,
    PROFILE_SCHEMA_VERSION,
    OperatingPoint,
    Overridden,
    Profile,
    ProfileNames,
)
from corelib.physics.sand import bed_density_pores_filled_kg_m3, bed_density_side_by_side_kg_m3
from corelib.reference import shared_folder
from corelib.units import SUFFIXES, suffix_of

DEFAULT_PROFILES = ProfileNames(
    process="inorganic-printing",
    machine="demo-printer",
    head="demo-head",
    sand="quartz-sand",
    additive="powder-additive",
    binder="alkali-silicate",
    oven="microwave-oven",
    rates="demo-rates",
)
"""The shipped demo profiles that a new job starts from."""

MODELLED = "modelled"
"""How the source of a bed density begins that nobody stated."""

_SIGNS = {"gt": ">", "ge": "≥", "lt": "<", "le": "≤"}


def profile_ids(kind: str, beside: Path | None = None) -> tuple[str, ...]:
    """Return the ids of the profiles of a kind, shipped ones and those in the folder `beside`, sorted."""
    _require_kind(kind)
    folders = [folder / kind for folder in _folders(beside)]
    return tuple(
        sorted({path.stem for folder in folders if folder.is_dir() for path in folder.glob("*.json")})
    )


def read_profile(kind: str, profile_id: str, beside: Path | None = None) -> Profile:
    """Return a profile by kind and id; one beside the job comes before a shipped one.

    `beside` is the job's folder (with profiles/KIND/ID.json or KIND/ID.json in it), or a folder of profiles.
    Raises InputError for an unknown profile (and lists those that exist) or a refused value.
    """
    known = profile_ids(kind, beside)
    if profile_id not in known:
        raise InputError("profile.unknown", kind=kind, id=profile_id, known=list(known))
    path = next(
        path for folder in _folders(beside) if (path := folder / kind / f"{profile_id}.json").is_file()
    )
    return profile_from_file(kind, path)


def profile_from_file(kind: str, path: Path) -> Profile:
    """Return the profile of a kind in a file; raises FileError or InputError with the field that is wrong."""
    _require_kind(kind)
    document = read_document(path, f"corestow.profile.{kind}", PROFILE_SCHEMA_VERSION)
    try:
        profile = PROFILE_KINDS[kind].model_validate(document)
    except ValidationError as error:
        raise invalid(error, str(path), document) from error
    if profile.id != path.stem:
        raise InputError("profile.id_is_not_the_file", path=str(path), id=profile.id)
    return profile


def operating_point(job: Job, beside: Path | None = None) -> OperatingPoint:
    """Return the job's profiles with its overrides applied and listed.

    Raises InputError for an unknown profile, an unknown field, or a value out of its range.
    """
    profiles = {kind: read_profile(kind, getattr(job.profiles, kind), beside) for kind in PROFILE_KINDS}
    return with_modelled_bed(overridden(OperatingPoint.model_validate(profiles), job.overrides))


def profiles_point(names: ProfileNames, beside: Path | None = None) -> OperatingPoint:
    """Return the operating point of these profiles without any override."""
    return OperatingPoint.model_validate(
        {kind: read_profile(kind, getattr(names, kind), beside) for kind in PROFILE_KINDS}
    )


def with_modelled_bed(point: OperatingPoint) -> OperatingPoint:
    """Return the operating point with a bed density from sand and additive where none is stated.

    It is the middle between additive in the sand's pores and additive beside the sand, marked as modelled; a
    measured value always wins. Without the two bulk densities the bed density stays unknown.
    """
    alone, beside = point.sand.sand_only_density_g_cm3, point.additive.bulk_density_g_cm3
    share_pct = point.additive.additive_on_sand_pct
    if point.sand.bulk_density_g_cm3 is not None or alone is None or share_pct is None:
        return point
    if share_pct > 0 and beside is None:
        return point
    share = share_pct / 100
    most = bed_density_pores_filled_kg_m3(alone, share)
    least = most if beside is None else bed_density_side_by_side_kg_m3(alone, beside, share)
    source = f"{MODELLED} from sand and additive, between {least:.3g} and {most:.3g} g/cm³"
    document = point.sand.model_dump(mode="python")
    document["bulk_density_g_cm3"] = (least + most) / 2
    document["sources"]["bulk_density_g_cm3"] = Evidence(evidence="guess", source=source)
    return point.model_copy(update={"sand": type(point.sand).model_validate(document)})


def overridden(point: OperatingPoint, overrides: Mapping[str, Any]) -> OperatingPoint:
    """Return the operating point with values replaced (`{"sand.moisture_pct": 0.1}`) and listed as such."""
    profiles: dict[str, Profile] = {kind: getattr(point, kind) for kind in PROFILE_KINDS}
    listed = {entry.field: entry for entry in point.overridden}
    for field, value in sorted(overrides.items()):
        kind, name = _split(field)
        before = getattr(profiles[kind], name)
        profiles[kind] = _replaced(profiles[kind], kind, name, value)
        first = listed[field].profile_value if field in listed else before
        after = getattr(profiles[kind], name)
        listed[field] = Overridden(field=field, profile_value=_plain(first), job_value=_plain(after))
    entries = tuple(listed[field] for field in sorted(listed))
    return OperatingPoint.model_validate({**profiles, "overridden": entries})


def required(point: OperatingPoint, field: str) -> Any:
    """Return a value of the operating point; raises InputError that asks for it where it isn't known."""
    kind, name = _split(field)
    profile = getattr(point, kind)
    value = getattr(profile, name)
    if value is None:
        raise InputError(
            "profile.value_missing",
            field=field,
            profile=profile.id,
            unit=unit_of(name),
            allowed=allowed(kind, name),
        )
    return value


def evidence_of(point: OperatingPoint, field: str) -> Evidence | None:
    """Return how well a value of the operating point is known; None where the value isn't known."""
    kind, name = _split(field)
    sources: dict[str, Evidence] = getattr(point, kind).sources
    return sources.get(name)


def unit_of(name: str) -> str:
    """Return the unit in which a field is given, from the end of its name; "-" for a plain number."""
    return SUFFIXES.get(suffix_of(name), "-")


def allowed(kind: str, name: str) -> str:
    """Return the range or the choices of a field, as "> 0.05, ≤ 25" or "microwave, convection"."""
    info = PROFILE_KINDS[kind].model_fields[name]
    return _allowed(info) or "any"


def _allowed(info: FieldInfo | Any) -> str:
    if isinstance(info, FieldInfo):
        limits = _limits(info.metadata)
        return ", ".join(text for text in (_allowed(info.annotation), limits) if text)
    origin = get_origin(info)
    if origin is Literal:
        return ", ".join(str(choice) for choice in get_args(info))
    if origin is Annotated:
        inner, *metadata = get_args(info)
        parts = [
            item for meta in metadata for item in (meta.metadata if isinstance(meta, FieldInfo) else [meta])
        ]
        return ", ".join(text for text in (_allowed(inner), _limits(parts)) if text)
    if origin in (Union, UnionType):
        return ", ".join(text for kind in get_args(info) if kind is not NoneType and (text := _allowed(kind)))
    if origin is tuple:
        kinds = [kind for kind in get_args(info) if kind is not Ellipsis]
        return _allowed(kinds[0]) if kinds else ""
    return {bool: "true, false"}.get(info, "")


def _limits(metadata: list[Any]) -> str:
    texts = []
    for item in metadata:
        for name, sign in _SIGNS.items():
            limit = getattr(item, name, None)
            if limit is not None:
                texts.append(f"{sign} {float(limit):g}")
    return ", ".join(texts)


def _folders(beside: Path | None) -> tuple[Path, ...]:
    shipped = shared_folder() / "profiles"
    return (shipped,) if beside is None else (beside / "profiles", beside, shipped)


def _require_kind(kind: str) -> None:
    if kind not in PROFILE_KINDS:
        raise InputError("profile.unknown_kind", kind=kind, known=sorted(PROFILE_KINDS))


def _split(field: str) -> tuple[str, str]:
    kind, _, name = field.partition(".")
    _require_kind(kind)
    model = PROFILE_KINDS[kind]
    if name not in model.model_fields or name in model.ABOUT:
        known = sorted(set(model.model_fields) - model.ABOUT)
        raise InputError("profile.unknown_field", field=field, kind=kind, known=known)
    return kind, name


def _replaced(profile: Profile, kind: str, name: str, value: Any) -> Profile:
    document = profile.model_dump(mode="python")
    document[name] = value
    if value is None:
        document["sources"].pop(name, None)
    else:
        document["sources"][name] = Evidence(evidence="stated", source="stated in the job")
    try:
        return type(profile).model_validate(document)
    except ValidationError as error:
        if "." in error.errors(include_url=False)[0]["type"]:  # a contradiction of our own, with its sentence
            raise invalid(error, f"{kind}.{name}", document) from error
        raise InputError(
            "profile.value_refused",
            field=f"{kind}.{name}",
            value=str(value)[:80],
            unit=unit_of(name),
            allowed=allowed(kind, name),
        ) from error


def _plain(value: Any) -> Any:
    """Return a value as JSON holds it, so that overrides can be listed in a plan."""
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if hasattr(value, "model_dump"):
        return value.model_dump(mode="json")
    return value if isinstance(value, (bool, int, float, str, NoneType)) else str(value)
