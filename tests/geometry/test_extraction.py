"""Ways up on voxels: who is in whose way."""

import numpy as np
import pytest

from corelib.geometry.extraction import blocking, columns_of, lifts_clear
from corelib.mesh.core import CoreMesh
from tests.nesting.bodies import block, joined


def columns(mesh, at=(0, 0, 0), pitch=1.0, tilt=(0.0, 0.0)):
    return columns_of(mesh.vertices_mm + np.array(at, dtype=float), mesh.faces, pitch, tilt)


def test_the_lower_one_is_blocked_by_the_one_above():
    low, high = columns(block(10, 10, 5)), columns(block(10, 10, 5), (5, 5, 20))
    assert blocking(low, high)[0] == 1
    assert blocking(high, low)[0] == 2
    place = blocking(low, high)[1][0]
    assert place[2] == 20
    assert not lifts_clear(low, [high])
    assert lifts_clear(high, [low])


def test_beside_is_in_nobodys_way_at_any_height():
    one, two = columns(block(10, 10, 5)), columns(block(10, 10, 5), (10, 0, 3))
    assert blocking(one, two)[0] == 0


def test_a_hook_around_a_bar_interlocks():
    hook = joined(block(30, 5, 5), block(5, 5, 30, (0, 0, 0)), block(30, 5, 5, (0, 0, 25)))
    bar = block(10, 20, 5)
    assert blocking(columns(hook), columns(bar, (10, -8, 12)))[0] == 3
    assert blocking(columns(hook), columns(bar, (40, -8, 12)))[0] == 0


def test_a_tilted_way_passes_beside():
    low, high = block(10, 10, 5), block(10, 10, 5)
    assert not lifts_clear(columns(low), [columns(high, (6, 0, 10))])
    tilt = (-1.0, 0.0)
    assert lifts_clear(columns(low, tilt=tilt), [columns(high, (6, 0, 10), tilt=tilt)])


@pytest.mark.parametrize("seed", range(8))
def test_ways_agree_with_lifting_solid_cells_step_by_step(seed):
    rng = np.random.default_rng(seed)
    one = joined(*(block(*rng.integers(1, 6, 3), at=rng.integers(0, 8, 3)) for _ in range(3)))
    two = joined(*(block(*rng.integers(1, 6, 3), at=rng.integers((0, 0, 10), (8, 8, 18))) for _ in range(3)))
    found, _ = blocking(columns(one), columns(two))
    assert bool(found & 1) == meets_on_the_way_up(one, two)
    assert bool(found & 2) == meets_on_the_way_up(two, one)


def meets_on_the_way_up(moving: CoreMesh, fixed: CoreMesh) -> bool:
    """Lift cell by cell and look for a common cell; bodies are made of whole unit cells."""
    own, other = cells_of(moving), cells_of(fixed)
    return any({(x, y, z + lift) for x, y, z in own} & other for lift in range(1, 40))


def cells_of(mesh):
    cells = set()
    for start in range(0, len(mesh.vertices_mm), 8):
        corners = mesh.vertices_mm[start : start + 8].astype(int)
        low, high = corners.min(axis=0), corners.max(axis=0)
        cells |= {tuple(low + step) for step in np.ndindex(*(high - low))}
    return cells
