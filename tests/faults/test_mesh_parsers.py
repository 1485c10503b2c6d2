"""A parser that crashes, hangs or eats memory takes only its child; the file's name is in the sentence."""

import os
import time
from pathlib import Path

import pytest

from corelib.errors import Cancelled, MeshError
from corelib.mesh.parsing import ParserPool, parse_request
from corelib.mesh.raw import ReadLimits
from corelib.progress import Progress
from corelib.wording import error_sentence
from tests.mesh.shapes import box_corners, stl_bytes
from tests.pace import answered_s

LONG_S, SHORT_S = 40.0, 3.0


def entry(request, progress):
    """Parse, but crash, hang, fill the memory or fail on files named so."""
    name = Path(request["path"]).name
    if name.startswith("crash"):
        os.abort()
    if name.startswith("hang"):
        time.sleep(60)
    if name.startswith("eat"):
        bytearray(2**40)
    if name.startswith("fail"):
        raise KeyError("planted")
    return parse_request(request, progress)


@pytest.fixture(scope="module")
def pool():
    with ParserPool(2, ReadLimits(seconds=LONG_S), entry) as made:
        yield made


@pytest.fixture
def files(tmp_path):
    for name in ("crash", "hang", "eat", "fail", "good", "good2"):
        (tmp_path / f"{name}.stl").write_bytes(stl_bytes(box_corners((50, 50, 50))))
    return tmp_path


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("crash", "mesh.reader_crashed"),
        ("hang", "mesh.reader_too_slow"),
        ("eat", "mesh.reader_out_of_memory"),
        ("fail", "mesh.reader_failed"),
    ],
)
def test_the_other_files_are_read_all_the_same(pool, files, name, code, monkeypatch):
    if name == "hang":  # the limit holds for a child's start too: it is short once they are up
        pool.read([files / "good.stl", files / "good2.stl"])
        monkeypatch.setattr(pool, "limits", ReadLimits(seconds=SHORT_S))
    bad, good, good2 = pool.read([files / f"{name}.stl", files / "good.stl", files / "good2.stl"])
    assert isinstance(bad, MeshError)
    assert bad.code == code
    assert f"{name}.stl" in error_sentence(bad)
    assert "Traceback" not in error_sentence(bad)
    assert len(good.raw.corners) == len(good2.raw.corners) == 12


def test_cancel_answers_though_a_parser_hangs(files):
    with ParserPool(2, ReadLimits(seconds=LONG_S), entry) as pool:
        pool.read([files / "good.stl", files / "good2.stl"])  # children are up
        asked = time.monotonic() + 0.3
        with pytest.raises(Cancelled):
            pool.read([files / "hang.stl"] * 2, Progress(lambda *_: time.monotonic() > asked))
        assert time.monotonic() - asked < answered_s(LONG_S)
        (again,) = pool.read([files / "good.stl"])
        assert len(again.raw.corners) == 12
