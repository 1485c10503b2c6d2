"""What can stop a plan: one tree of errors, each with a code and facts, never a sentence.

`corelib.wording` makes the sentence from code and facts, the same for window, command line and sheets.
An error means that the job can't be planned. What the reader of an existing plan must know is a finding
(`corelib.findings`).
"""

from __future__ import annotations

from typing import Any


class CorestowError(Exception):
    """Base of every error that a user can meet; carries `code` and `facts`."""

    def __init__(self, code: str, **facts: Any) -> None:
        super().__init__(code, facts)
        self.code = code
        self.facts = facts

    def __reduce__(self) -> tuple[Any, ...]:
        return _rebuild, (type(self), self.code, self.facts)

    def __str__(self) -> str:
        return f"{self.code} {self.facts}" if self.facts else self.code


def _rebuild(kind: type[CorestowError], code: str, facts: dict[str, Any]) -> CorestowError:
    return kind(code, **facts)


class InputError(CorestowError):
    """Something the user stated or gave can't be used: a file, a value, a combination."""


class MeshError(InputError):
    """A mesh file from which no honest volume can be had."""


class FileError(InputError):
    """A file or folder that can't be read or written."""


class Cancelled(CorestowError):
    """The user ended the work."""

    def __init__(self, code: str = "work.cancelled", **facts: Any) -> None:
        super().__init__(code, **facts)


class ChildError(CorestowError):
    """A child process died, ran out of its time or memory, or answered with garbage."""
