"""Damaged files of every format, seeded: each ends in one sentence or a checked mesh; nothing hangs.

`CORESTOW_MUTATIONS=1500 pytest tests/faults/test_mesh_mutations.py` runs the long form and writes what the
files ended in to tests/results/mesh_mutations.json.
"""

import os
import re
import time
from pathlib import Path

import numpy as np
import pytest
import trimesh

from corelib.errors import InputError
from corelib.files import canonical_json
from corelib.mesh.inspect import inspect_mesh
from corelib.mesh.load import _welded, box_mesh
from corelib.mesh.parsing import ParserPool
from corelib.mesh.raw import ReadLimits
from corelib.wording import error_sentence
from tests.mesh.shapes import ascii_stl, box_corners, mesh_xml, model_xml, stl_bytes, write_3mf

COUNT = int(os.environ.get("CORESTOW_MUTATIONS", "24"))
LIMIT_S = 10.0
RESULTS = Path(__file__).parents[1] / "results" / "mesh_mutations.json"
STEP = Path(__file__).parents[1] / "data" / "step" / "two_boxes.step"


@pytest.fixture(scope="module")
def pool():
    with ParserPool(2, ReadLimits(seconds=LIMIT_S)) as made:
        yield made


@pytest.fixture(scope="module")
def endings():
    """Count what the files end in; the long form leaves the counts as a file."""
    counts: dict[str, dict[str, int]] = {}
    yield counts
    if "CORESTOW_MUTATIONS" in os.environ:
        document = {"files_a_format": COUNT, "ended_in": counts}
        RESULTS.write_bytes(canonical_json(document))


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


def ended_in(path, answer):
    """Return the error's code, or what was found on the mesh; a sentence must name the file and all facts."""
    error = answer
    if not isinstance(answer, InputError):
        try:
            found = inspect_mesh(*_welded(answer, 1.0), "mm")
        except InputError as caught:
            error = caught
        else:
            if found.fatal is not None:
                return found.fatal.code
            assert found.volume_mm3 > 0
            return "a checked mesh"
    sentence = error_sentence(error)
    assert path.name in sentence
    assert "Traceback" not in sentence
    assert not re.search(r"\(\w+\?\)", sentence)  # a fact that the wording names and nobody gave
    return error.code


@pytest.mark.parametrize("ending", ["stl", "ascii.stl", "3mf", "obj", "ply", "off", "step"])
def test_damaged_files_end_in_a_sentence_or_a_checked_mesh(tmp_path, pool, endings, ending):
    rng = np.random.default_rng(20261125)
    content = sound_file(tmp_path, ending)
    paths = []
    for number in range(COUNT):
        path = tmp_path / f"core-{number}.{ending}"
        path.write_bytes(mutated(content, rng))
        paths.append(path)
    started_s = time.monotonic()
    counts = endings.setdefault(ending, {})
    for path, answer in zip(paths, pool.read(paths), strict=True):
        code = ended_in(path, answer)
        counts[code] = counts.get(code, 0) + 1
    assert time.monotonic() - started_s < LIMIT_S * (1 + COUNT / 4)
