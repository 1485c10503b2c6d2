"""Idle spells, service intervals, dead nozzles."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.layers.nozzles import (
    NozzleTimes,
    RowPixels,
    dead_nozzle_hits,
    dead_rows,
    idle_map,
    idle_nozzles,
    service_interval,
    sparing_offset,
    sparing_shift,
)


def times(layers, layer_s=20.0, lead_s=8.0, served_every=0):
    end = layer_s * np.arange(1, layers + 1)
    served = np.arange(1, layers + 1) % served_every == 0 if served_every else np.zeros(layers, dtype=bool)
    return NozzleTimes(end - layer_s + lead_s, end, served)


def drops_of(layers, *nozzles):
    """Drops of nozzles that jet in the layers listed."""
    made = np.zeros((layers, len(nozzles)), dtype=np.int32)
    for number, jetting in enumerate(nozzles):
        made[list(jetting), number] = 5
    return made


def test_spells_run_from_drop_to_drop():
    drops = drops_of(50, range(50), (0, 9, 10, 40), (), (49,))
    found = idle_nozzles(drops, times(50), open_time_s=300.0)
    assert found.longest_s.tolist() == [20.0, 600.0, 0.0, 988.0]
    assert found.from_layer.tolist() == [0, 10, -1, -1]
    assert found.to_layer.tolist() == [1, 40, -1, 49]
    assert found.at_risk.tolist() == [1, 3]
    assert found.layers_at_risk.tolist() == [40, 49]


def test_a_service_begins_the_spell_anew():
    drops = drops_of(50, (0, 40))
    plain = idle_nozzles(drops, times(50), 300.0)
    served = idle_nozzles(drops, times(50, served_every=10), 300.0)
    assert plain.longest_s.tolist() == [800.0]
    assert served.longest_s.tolist() == [8.0]  # served after layer 39, 8 s before the strokes of 40
    off = idle_nozzles(drops, times(50, served_every=15), 300.0)
    assert off.longest_s.tolist() == [8.0 + 20.0 * 10]
    assert len(off.at_risk) == 0


def test_the_map_has_a_spell_for_each_drop():
    spells = idle_map(drops_of(20, (3, 5), (19,)), times(20))
    assert np.isnan(spells).sum() == 40 - 3
    assert spells[5, 0] == 40.0
    assert spells[19, 1] == pytest.approx(388.0)


def spells_by_hand(drops, when, nozzle):
    """The oracle: all events of one nozzle in the order of time."""
    last, longest = 0.0, 0.0
    for layer in range(len(drops)):
        if drops[layer, nozzle]:
            longest = max(longest, when.jets_s[layer] - last)
            last = max(last, when.jets_s[layer])
        if when.served[layer]:
            last = max(last, when.layer_end_s[layer])
    return longest


@settings(max_examples=60)
@given(
    seed=st.integers(0, 10**6),
    layers=st.integers(1, 60),
    every=st.integers(0, 20),
    density=st.floats(0.01, 0.9),
)
def test_spells_are_those_counted_by_hand(seed, layers, every, density):
    rng = np.random.default_rng(seed)
    drops = (rng.random((layers, 7)) < density).astype(np.int32)
    end = np.cumsum(rng.uniform(5, 60, layers))
    start = np.concatenate([[0.0], end[:-1]])
    served = np.arange(1, layers + 1) % every == 0 if every else np.zeros(layers, dtype=bool)
    when = NozzleTimes(start + 0.3 * (end - start), end, served)
    found = idle_nozzles(drops, when, 100.0)
    assert found.longest_s == pytest.approx([spells_by_hand(drops, when, n) for n in range(7)])
    assert found.late_nozzles.sum() >= len(found.at_risk)


def test_the_service_interval_is_the_longest_that_removes_the_risk():
    drops = drops_of(200, (0, 100, 199), (50,))
    when = times(200)
    found = service_interval(drops, when, 300.0, 10.0, 4.0)
    assert found is not None
    assert found.services == 200 // found.every_layers
    assert found.added_s == found.services * 10.0
    assert found.added_binder_ml == found.services * 4.0

    def at_risk(every):
        served = np.arange(1, 201) % every == 0
        end = np.cumsum(20.0 + 10.0 * served)
        jets = np.concatenate([[0.0], end[:-1]]) + 8.0
        return len(idle_nozzles(drops, NozzleTimes(jets, end, served), 300.0).at_risk)

    assert at_risk(found.every_layers) == 0
    assert at_risk(found.every_layers + 1) > 0


def test_no_interval_helps_where_a_layer_outlasts_the_open_time():
    assert (
        service_interval(drops_of(20, (19,)), times(20, layer_s=500.0, lead_s=400.0), 300.0, 1.0, 1.0) is None
    )


def rows(core_id, number, places, count=100):
    pixels = np.zeros(count, dtype=np.int64)
    pixels[list(places)] = 1000
    return RowPixels(core_id, number, pixels, 3, 40)


def test_dead_nozzles_name_the_copies_they_hit():
    row_nozzle = np.repeat(np.arange(50), 2).astype(np.int32)
    dead = dead_rows(row_nozzle, (10, 30))
    assert np.flatnonzero(dead).tolist() == [20, 21, 60, 61]
    copies = (rows("a", 0, range(10, 30)), rows("b", 0, range(40, 50)))
    (hit,) = dead_nozzle_hits(copies, dead, 0.1)
    assert (hit.core_id, hit.pixels, hit.share_pct) == ("a", 2000, 10.0)
    assert (hit.low_mm, hit.high_mm) == (pytest.approx(2.0), pytest.approx(2.2))
    assert (hit.first_layer, hit.last_layer) == (3, 40)


def test_the_contents_move_to_spare_the_critical_core_first():
    row_nozzle = np.repeat(np.arange(50), 2).astype(np.int32)
    dead = dead_rows(row_nozzle, (10,))
    copies = (rows("a", 0, range(10, 30)), rows("b", 0, range(40, 60)))
    free = sparing_shift(copies, dead, frozenset(), -20, 20, 2, 0.1)
    assert (free.nozzles, free.lost_before, free.lost_after) == (-5, 2000, 0)
    assert free.shift_mm == pytest.approx(-1.0)
    tight = sparing_shift(copies, dead, frozenset({"b"}), -2, 2, 2, 0.1)
    assert (tight.nozzles, tight.lost_after) == (0, 0)
    stuck = sparing_shift(copies, dead, frozenset({"a"}), -1, 1, 2, 0.1)
    assert (stuck.nozzles, stuck.lost_after) == (0, 2000)


def test_another_start_of_the_strips_can_spare_a_core():
    row_nozzle = np.repeat(np.arange(60), 2)[:100].astype(np.int32)
    by_offset = [dead_rows(row_nozzle + offset, (10,)) for offset in range(9)]
    copies = (rows("a", 0, range(10, 30)), rows("b", 0, range(2, 10)))
    found = sparing_offset(copies, by_offset, frozenset())
    assert (found.nozzles, found.lost_before, found.lost_after) == (0, 2000, 2000)
    spared = sparing_offset((rows("a", 0, range(14, 30)),), by_offset, frozenset({"a"}))
    assert (spared.nozzles, spared.lost_before, spared.lost_after) == (4, 2000, 0)
