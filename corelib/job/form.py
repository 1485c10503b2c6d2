"""How a profile's value is entered: as a number, a count, a choice, a text, or as a table of these."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from corelib.job.profiles import PROFILE_KINDS

AXES = ("x", "y", "z")
ITEM = "item"
"""The one column of a list of plain values."""


@dataclass(frozen=True)
class EntryForm:
    """The kind of entry, its limits (closed or open alike: the model decides at the limit) and choices.

    A table has `columns` (name and form of each). `shape` says what one is made of: `records` by name in
    rows, one `record`, `items` (plain values in rows) or one `triple` of them. `words` are texts with commas
    between, each of them one of the choices.
    """

    kind: Literal["number", "count", "choice", "text", "words", "table"]
    low: float = -math.inf
    high: float = math.inf
    choices: tuple[Any, ...] = ()
    columns: tuple[tuple[str, EntryForm], ...] = ()
    shape: Literal["", "records", "record", "items", "triple"] = ""

    @property
    def is_one_row(self) -> bool:
        """True for a table that has one row and no more."""
        return self.shape in ("record", "triple")


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
        return _form(kinds[0], metadata)
    if origin is Literal:
        return EntryForm("choice", choices=get_args(annotation))
    if annotation is bool:
        return EntryForm("choice", choices=(True, False))
    if annotation in (int, float, Decimal):
        low, high = _limits(metadata)
        return EntryForm("count" if annotation is int else "number", low, high)
    if origin is tuple:
        return _tuple_form(get_args(annotation))
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return EntryForm("table", columns=_columns(annotation), shape="record")
    assert annotation is str, annotation
    return EntryForm("text")


def _tuple_form(parts: tuple[Any, ...]) -> EntryForm:
    first = _form(parts[0], ())
    if parts[-1] is not Ellipsis:
        forms = (_form(part, ()) for part in parts)
        return EntryForm("table", columns=tuple(zip(AXES, forms, strict=True)), shape="triple")
    if first.shape == "record":
        return EntryForm("table", columns=first.columns, shape="records")
    if first.kind == "choice":
        return EntryForm("words", choices=first.choices)
    return EntryForm("table", columns=((ITEM, first),), shape="items")


def _columns(model: type[BaseModel]) -> tuple[tuple[str, EntryForm], ...]:
    return tuple((name, _form(info.annotation, info.metadata)) for name, info in model.model_fields.items())


def rows_of(form: EntryForm, value: Any) -> list[list[Any]]:
    """Return the rows of a table's value; none where it is not known."""
    names = [name for name, _ in form.columns]
    if value is None:
        return [[None] * len(names)] if form.is_one_row else []
    if form.shape == "triple":
        return [list(value)]
    if form.shape == "items":
        return [[item] for item in value]
    records = [value] if form.shape == "record" else value
    return [[_cell(record, name) for name in names] for record in records]


def _cell(record: Any, name: str) -> Any:
    cell = record[name] if isinstance(record, dict) else getattr(record, name)
    return list(cell) if isinstance(cell, tuple) else cell


def value_of(form: EntryForm, rows: Sequence[Sequence[Any]]) -> Any:
    """Return the value of a table's rows as a job states it, the way back of `rows_of`; None without rows."""
    if not rows:
        return None
    if form.shape == "triple":
        return list(rows[0])
    if form.shape == "items":
        return [row[0] for row in rows]
    records = [dict(zip((name for name, _ in form.columns), row, strict=True)) for row in rows]
    return records[0] if form.shape == "record" else records


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
