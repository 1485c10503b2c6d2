"""How a profile's value is entered: as a number, a count, a choice, or not in one field at all."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from corelib.job.profiles import PROFILE_KINDS


@dataclass(frozen=True)
class EntryForm:
    """The kind of entry, its limits (closed or open alike: the model decides at the limit) and choices."""

    kind: Literal["number", "count", "choice", "text", "other"]
    low: float = -math.inf
    high: float = math.inf
    choices: tuple[Any, ...] = ()


def entry_form(profile_kind: str, name: str) -> EntryForm:
    """Return how the field `name` of a kind of profile is entered."""
    info = PROFILE_KINDS[profile_kind].model_fields[name]
    return _form(info.annotation, info.metadata)


def _form(annotation: Any, metadata: Iterable[Any]) -> EntryForm:
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *more = get_args(annotation)
        return _form(inner, [*metadata, *_plain(more)])
    if origin in (Union, UnionType):
        kinds = [kind for kind in get_args(annotation) if kind is not NoneType]
        return _form(kinds[0], metadata) if len(kinds) == 1 else EntryForm("other")
    if origin is Literal:
        return EntryForm("choice", choices=get_args(annotation))
    if annotation is bool:
        return EntryForm("choice", choices=(True, False))
    if annotation in (int, float, Decimal):
        low, high = _limits(metadata)
        return EntryForm("count" if annotation is int else "number", low, high)
    return EntryForm("text" if annotation is str else "other")


def _plain(metadata: Iterable[Any]) -> list[Any]:
    return [item for meta in metadata for item in (meta.metadata if isinstance(meta, FieldInfo) else [meta])]


def _limits(metadata: Iterable[Any]) -> tuple[float, float]:
    low, high = -math.inf, math.inf
    for item in metadata:
        for name in ("gt", "ge"):
            if getattr(item, name, None) is not None:
                low = max(low, float(getattr(item, name)))
        for name in ("lt", "le"):
            if getattr(item, name, None) is not None:
                high = min(high, float(getattr(item, name)))
    return low, high
