"""Jobs that share what is the same in them, so that a long history of edits takes little memory."""

from __future__ import annotations

from itertools import zip_longest
from typing import Any, TypeVar

from pydantic import BaseModel

Model = TypeVar("Model", bound=BaseModel)


def sharing(after: Model, before: Model) -> Model:
    """Return `after`, made of `before`'s parts wherever they are written the same, byte for byte.

    Models are frozen, so that nobody can tell it from `after`; only what differs takes memory of its own.
    """
    if after is before or after.model_dump_json() == before.model_dump_json():
        return before
    stated = {name: getattr(after, name) for name in after.model_fields_set}
    return after.model_copy(
        update={name: _part(value, getattr(before, name)) for name, value in stated.items()}
    )


def _part(after: Any, before: Any) -> Any:
    if isinstance(after, BaseModel) and type(after) is type(before):
        return sharing(after, before)
    if isinstance(after, tuple) and isinstance(before, tuple):
        pairs = zip_longest(after, before[: len(after)])
        return tuple(_part(mine, other) for mine, other in pairs)
    return after
