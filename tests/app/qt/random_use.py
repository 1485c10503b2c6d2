"""Uses the window at random, seeded: clicks, drags, wheel and keys; faults, stalls and memory are reported.

    QT_QPA_PLATFORM=offscreen python -m tests.app.qt.random_use JOB.json --minutes 30 --seed 1 [--keep]

`--keep` writes the result beside those of other seeds to tests/results/random_use.json. Exit status 1 if
anything failed. Nothing is imported here that children don't need: they import this module again.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

RESULT = Path(__file__).parents[2] / "results" / "random_use.json"
MOST_GROWTH_PCT = 10.0


def main() -> int:
    """Run and report; returns the exit status."""
    from corelib.files import canonical_json, write_atomic
    from tests.app.qt.random_user import use_at_random

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("job", type=Path)
    parser.add_argument("--minutes", type=float, default=30.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", action="store_true")
    asked = parser.parse_args()
    result = use_at_random(asked.job, asked.minutes, asked.seed)
    sys.stdout.write(canonical_json(result).decode("utf-8") + "\n")
    if asked.keep:
        kept = json.loads(RESULT.read_bytes()) if RESULT.exists() else {}
        write_atomic(RESULT, canonical_json({**kept, f"seed {asked.seed}": result}))
    has_grown = abs(float(str(result["window_growth_pct"]))) > MOST_GROWTH_PCT
    return 1 if result["fault_count"] or has_grown else 0


if __name__ == "__main__":
    sys.exit(main())
