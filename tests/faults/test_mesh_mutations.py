"""Damaged files of every format, seeded: each ends in one sentence or a checked mesh; nothing hangs.

`CORESTOW_MUTATIONS=500 pytest tests/faults/test_mesh_mutations.py` runs the long form.
"""

import os
import re
import time
from pathlib import Path

import numpy as np
import pytest
import trimesh

from corelib.errors import InputError
from corelib.mesh.inspect import inspect_mesh
from corelib.mesh.load import _welded, box_mesh
from corelib.mesh.parsing import ParserPool
from corelib.mesh.readers import ReadLimits
from corelib.wording import error_sentence
from tests.mesh.shapes import ascii_stl, box_corners, mesh_xml, model_xml, stl_bytes, write_3mf

COUNT = int(os.environ.get("CORESTOW_MUTATIONS", "24"))
LIMIT_S = 10.0
STEP = Path(__file__).parents[1] / "data" / "step" / "two_boxes.step"


@pytest.fixture(scope="module")
def pool():
    with ParserPool(2, ReadLimits(seconds=LIMIT_S)) as made:
        yield made


def sound_file(folder, ending):
    """Return the bytes of a sound file of this format."""
    box = box_mesh((30, 40, 50))
    corners = box_corners((30, 40, 50))
    if ending == "stl":
        return stl_bytes(corners)
    if ending == "ascii.stl":
        return ascii_stl(corners).encode()
    if ending == "3mf":
        resources = f'<object id="1" type="model">{mesh_xml(corners)}</object>'
        return write_3mf(folder / "sound.3mf", model_xml(resources, '<item objectid="1"/>')).read_bytes()
    if ending == "step":
        return STEP.read_bytes()
    content = trimesh.Trimesh(box.vertices_mm, box.faces, process=False).export(file_type=ending)
    return content if isinstance(content, bytes) else content.encode()


def mutated(content, rng):
    """Return the bytes with a cut, flipped bits, a swapped stretch or a doubled stretch."""
    data = bytearray(content)
    kind = rng.integers(4)
    at, other = sorted(rng.integers(0, len(data), 2))
    if kind == 0:
        return bytes(data[:at])
    if kind == 1:
        for place in rng.integers(0, len(data), rng.integers(1, 9)):
            data[place] ^= 1 << rng.integers(8)
        return bytes(data)
    if kind == 2:
        data[at:other] = rng.integers(0, 256, other - at, dtype=np.uint8).tobytes()[: min(40, other - at)]
        return bytes(data)
    return bytes(data[:other] + data[at:])


@pytest.mark.parametrize("ending", ["stl", "ascii.stl", "3mf", "obj", "ply", "off", "step"])
def test_damaged_files_end_in_a_sentence_or_a_checked_mesh(tmp_path, pool, ending):
    rng = np.random.default_rng(20261125)
    content = sound_file(tmp_path, ending)
    paths = []
    for number in range(COUNT):
        path = tmp_path / f"core-{number}.{ending}"
        path.write_bytes(mutated(content, rng))
        paths.append(path)
    started_s = time.monotonic()
    for path, answer in zip(paths, pool.read(paths), strict=True):
        if isinstance(answer, InputError):
            sentence = error_sentence(answer)
            assert path.name in sentence
            assert "Traceback" not in sentence
            assert not re.search(r"\(\w+\?\)", sentence)  # a fact that the wording names and nobody gave
            continue
        try:
            found = inspect_mesh(*_welded(answer, 1.0), "mm")
        except InputError as error:
            assert path.name in error_sentence(error)
        else:
            assert found.fatal is not None or found.volume_mm3 > 0
    assert time.monotonic() - started_s < LIMIT_S * (1 + COUNT / 4)
