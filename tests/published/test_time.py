"""Times against published forms and tables.

Sureness: R read in the source, O own arithmetic on a published form, M from memory.
"""

import numpy as np
import pytest

from corelib.estimate.time import firing_limit_mm_s, layer_times
from corelib.physics.motion import firing_speed_m_s
from tests.estimate.made import INNER_MM, block_layers, point


def test_jetting_speed_of_a_published_printer():
    # R: Additive Manufacturing 39 (2021) 101870, table 2: 2505 Hz, 59.9 µm between drops, 150 mm/s.
    assert firing_speed_m_s(2505.0, 59.9e-6) * 1000 == pytest.approx(150.0, abs=0.1)
    demo = point(head__firing_khz=2.505, machine__pitch_travel_mm=0.0599)
    assert firing_limit_mm_s(demo) == pytest.approx(150.0495)


def test_full_width_head_layer_time():
    # O on the published form T_layer = t_recoat + passes × (swath ÷ v + turn) + dwell, head as wide as the
    # box: 1000 layers × (18 + 4 × 6.5) s = 12.2222 h. 6.5 s = 3.0 m ÷ 0.5 m/s + 0.5 m/s ÷ 2 m/s² + 0.25 s.
    machine = point(
        machine__recoat_s=18.0,
        machine__platform_s=0.0,
        machine__passes=4,
        machine__head_speed_mm_s=500.0,
        machine__head_acceleration_mm_s2=2000.0,
        machine__stroke_overrun_mm=62.5,
        machine__turn_s=0.25,
        machine__wipe_every_layers=0,
        machine__refill_every_layers=0,
        machine__purge_every_s=0.0,
    )
    layers = block_layers(size_mm=(2875.0, 400.0, 300.0), base=0, cover=0)
    times = layer_times(layers, machine, (3200.0, 500.0, 400.0))
    assert len(times.time_s) == 1000
    assert set(times.strokes) == {4}
    assert times.time_s.sum() / 3600 == pytest.approx(12.2222, abs=5e-5)


def test_build_time_form_of_gibson_rosen_stucker():
    # R for the form: T_b = T_s + T_t + T_e, T_t = L_s T_ts + L_p T_tp (Gibson, Rosen, Stucker, Additive
    # Manufacturing Technologies, eq. 16.7 and 16.8): bare and printed layers have their own time each.
    layers = block_layers(base=7, cover=4)
    quiet = point(machine__wipe_every_layers=0, machine__refill_every_layers=0, machine__purge_every_s=0.0)
    times = layer_times(layers, quiet, INNER_MM)
    bare, printed = times.time_s[0], times.time_s[8]
    assert times.time_s.sum() == pytest.approx(11 * bare + 200 * printed)
    assert bare == 9.0 + 1.0  # recoat and platform of the demo machine
    assert np.ptp(times.time_s[7:207]) == 0.0
