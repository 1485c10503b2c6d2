"""The program's entry: no arguments open the window, everything else is the command line."""

from __future__ import annotations

import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Return the exit status: 0 well, 1 a stop finding, 2 input, 3 fault of our own, 130 cancelled."""
    from corelib.child import freeze_support

    freeze_support()
    from app.cli import run
    from app.window import open_window

    return run(list(sys.argv[1:] if arguments is None else arguments), open_window)


if __name__ == "__main__":
    sys.exit(main())
