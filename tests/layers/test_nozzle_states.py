"""States of nozzles against the idle spells of the kernel that judges them, which was written apart."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from corelib.layers.nozzle_states import DRIES, LATE, NEVER, PRINTS, RESTS, nozzle_states
from corelib.layers.nozzles import NozzleTimes, idle_map, idle_nozzles


def times_of(layers: int, served: list[bool]) -> NozzleTimes:
    """Return layers of 10 s, their strokes beginning after 4 s."""
    end_s = 10.0 * np.arange(1, layers + 1)
    return NozzleTimes(end_s - 6.0, end_s, np.array(served, dtype=np.bool_))


@given(st.data())
def test_states_tell_the_same_as_the_idle_spells(data: st.DataObject) -> None:
    layers, nozzles = data.draw(st.integers(1, 12)), data.draw(st.integers(1, 6))
    flags = st.lists(st.booleans(), min_size=layers * nozzles, max_size=layers * nozzles)
    drops = np.array(data.draw(flags), dtype=np.int32).reshape(layers, nozzles)
    times = times_of(layers, data.draw(st.lists(st.booleans(), min_size=layers, max_size=layers)))
    open_time_s = data.draw(st.floats(1.0, 80.0))
    found = nozzle_states(drops, times, open_time_s)
    spells = idle_map(drops, times)
    prints = drops > 0
    assert np.array_equal(prints, ~np.isnan(spells))
    assert np.array_equal(found.idle_s[prints], spells[prints])
    judged = idle_nozzles(drops, times, open_time_s)
    assert np.array_equal(found.late, judged.late_nozzles)
    assert found.longest_s.max() == judged.longest_s.max()
    assert np.isin(found.state[prints], (PRINTS, LATE)).all()
    assert np.isin(found.state[~prints], (NEVER, RESTS, DRIES)).all()
    assert np.array_equal((found.state == NEVER).all(axis=0), ~prints.any(axis=0))


def test_a_nozzle_dries_and_then_prints_late() -> None:
    drops = np.array([[1, 0], [0, 0], [0, 0], [1, 0]], dtype=np.int32)
    found = nozzle_states(drops, times_of(4, [False] * 4), 15.0)
    assert found.state[:, 0].tolist() == [PRINTS, RESTS, DRIES, LATE]
    assert found.state[:, 1].tolist() == [NEVER] * 4
    assert found.longest_s.tolist() == [4.0, 0.0, 0.0, 30.0]
    assert nozzle_states(drops, times_of(4, [False] * 4), None).late.tolist() == [0, 0, 0, 0]
