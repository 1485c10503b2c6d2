"""What all commands share: exit status, progress on standard error, numbers in arguments."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

from corelib.progress import Progress

OK, HAS_STOP, BAD_INPUT, OWN_FAULT, CANCELLED = 0, 1, 2, 3, 130


def say(sentence: str) -> None:
    """Print a sentence to standard error."""
    print(sentence, file=sys.stderr)


def progress(step_names: Callable[[str], str] = str) -> Progress:
    """Return a progress that shows one line on a terminal, and nothing where standard error is a file."""
    if not sys.stderr.isatty():
        return Progress()

    def report(share: float, step: str, _facts: dict[str, Any]) -> bool:
        end = "\n" if share >= 1.0 else ""
        print(f"\r\x1b[K{share:4.0%} {step_names(step)}", end=end, file=sys.stderr, flush=True)
        return False

    return Progress(report)


def read_meshes_soon() -> None:
    """Start the readers of meshes, which get ready while the rest is imported; called before that import."""
    from corelib.usecases.warming import start_readers

    start_readers()


def whole_numbers(option: str, text: str | None) -> list[int]:
    """Return the whole numbers in 12,13,400; none for no text. Raises InputError naming the option."""
    from corelib.errors import InputError

    try:
        return [int(part) for part in text.split(",")] if text else []
    except ValueError as error:
        raise InputError(
            "job.value_form", where=option, field=option, value=text, form="12,13,400"
        ) from error


def three_numbers(option: str, text: str) -> tuple[float, float, float]:
    """Return the three numbers in X,Y,Z; raises InputError naming the option."""
    from corelib.errors import InputError

    try:
        x, y, z = (float(part) for part in text.split(","))
    except ValueError as error:
        raise InputError("job.value_form", where=option, field=option, value=text, form="X,Y,Z") from error
    return x, y, z
