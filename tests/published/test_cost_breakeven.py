"""Break-even against published examples. Sureness: R read inputs and output in the source."""

import pytest

from corelib.cost.breakeven import crossing_quantity


@pytest.mark.parametrize(
    ("f_free", "c_free", "f_tool", "c_tool", "quantity"),
    [
        (150_000, 90, 350_000, 50, 5000),  # R: Spartan Casting (studymode): 350 000/50 against 150 000/90
        (0, 200, 80_000, 75, 640),  # R: R. Lembke, break-even slides: 80 000 + 75 q = 200 q
        (80_000, 75, 200_000, 15, 2000),  # R: the same slides: 80 000 + 75 q = 200 000 + 15 q
        # R: i-mstime, assignment 17.3: 7500 against 600, set-ups of 100 and 60 in batches of 500, units of
        # 3.40 and 0.80: 2574.63, printed as 2575
        (600, 3.40 + 100 / 500, 7500, 0.80 + 60 / 500, 2575),
    ],
)
def test_textbook_crossings(f_free, c_free, f_tool, c_tool, quantity):
    assert crossing_quantity(f_free, c_free, f_tool, c_tool) == quantity
