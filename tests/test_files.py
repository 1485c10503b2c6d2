"""Canonical bytes, atomic writes under injected faults, folders built aside, document versions."""

import json
import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib import files
from corelib.errors import FileError

finite = st.floats(allow_nan=False, allow_infinity=False, width=64)
documents = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | finite | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=20,
)


@given(documents)
def test_canonical_json_is_stable_under_reading_and_writing(document):
    first = files.canonical_json(document)
    assert files.canonical_json(json.loads(first)) == first


def test_canonical_json_sorts_keys_and_rounds_to_twelve_digits():
    content = files.canonical_json({"b": 0.1 + 0.2, "a": -0.0}, indent=None)
    assert content == b'{"a": 0.0, "b": 0.3}\n'


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_canonical_json_refuses_what_is_no_number(value):
    with pytest.raises(ValueError, match="document"):
        files.canonical_json({"a": value})


WRITING_CALLS = [
    (tempfile, "mkstemp"),
    (os, "fdopen"),
    (os, "fsync"),
    (Path, "chmod"),
    (Path, "replace"),
    (os, "open"),
]


@pytest.mark.parametrize(("module", "name"), WRITING_CALLS)
@pytest.mark.parametrize("call", [1, 2])
def test_a_failing_write_leaves_old_or_new_content_and_no_temporary_file(
    tmp_path, monkeypatch, module, name, call
):
    target = tmp_path / "plan.json"
    files.write_atomic(target, b"old")
    original, calls = getattr(module, name), [0]

    def failing(*args, **kwargs):
        calls[0] += 1
        if calls[0] == call:
            raise OSError(28, "No space left on device")
        return original(*args, **kwargs)

    monkeypatch.setattr(module, name, failing)
    try:
        files.write_atomic(target, b"new")
        failed = False
    except FileError as error:
        failed = True
        assert error.code == "file.not_writable"
        assert "No space left" in error.facts["reason"]
    monkeypatch.undo()
    assert target.read_bytes() == (b"old" if failed and not _replaced(name, call) else b"new")
    assert [path.name for path in tmp_path.iterdir()] == ["plan.json"]


def _replaced(name: str, call: int) -> bool:
    """Only what comes after the replace (opening and syncing the folder) fails with new content."""
    return (name, call) in {("open", 2), ("fsync", 2)}


def test_a_folder_built_aside_replaces_an_earlier_output(tmp_path):
    target = tmp_path / "job.plan"
    for text in ("first", "second"):
        with files.folder_aside(target) as folder:
            (folder / "plan.json").write_text(text)
    assert (target / "plan.json").read_text(encoding="utf-8") == "second"
    assert [path.name for path in tmp_path.iterdir()] == ["job.plan"]


def test_a_folder_that_fails_half_way_leaves_the_earlier_output(tmp_path):
    target = tmp_path / "job.plan"
    with files.folder_aside(target) as folder:
        (folder / "plan.json").write_text("first")
    with pytest.raises(RuntimeError), files.folder_aside(target) as folder:
        (folder / "plan.json").write_text("half")
        raise RuntimeError
    assert (target / "plan.json").read_text(encoding="utf-8") == "first"
    assert [path.name for path in tmp_path.iterdir()] == ["job.plan"]


def test_a_folder_with_somebodys_files_is_refused(tmp_path):
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / "dear.txt").write_text("dear")
    with pytest.raises(FileError) as caught, files.folder_aside(tmp_path / "letters"):
        pass
    assert caught.value.code == "file.folder_in_use"
    assert (tmp_path / "letters" / "dear.txt").read_text(encoding="utf-8") == "dear"


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "file.not_json"),
        (b"\xff\xfe", "file.not_json"),
        (b"[1]", "file.wrong_kind"),
        (b'{"kind": "other", "schema_version": 1}', "file.wrong_kind"),
        (b'{"kind": "k"}', "file.no_version"),
        (b'{"kind": "k", "schema_version": true}', "file.no_version"),
        (b'{"kind": "k", "schema_version": 3}', "file.newer_version"),
        (b'{"kind": "k", "schema_version": 2, "a": NaN}', "file.not_json"),
        (b"[" * 100_000, "file.not_json"),
    ],
)
def test_documents_that_cannot_be_used_say_why_and_stay_untouched(tmp_path, content, code):
    path = tmp_path / "d.json"
    path.write_bytes(content)
    with pytest.raises(FileError) as caught:
        files.read_document(path, "k", 2, {1: lambda document: document})
    assert caught.value.code == code
    assert path.read_bytes() == content


def test_an_older_document_is_migrated_in_memory_one_step_at_a_time(tmp_path):
    path = tmp_path / "d.json"
    path.write_bytes(b'{"kind": "k", "schema_version": 1}')
    steps = {1: lambda d: {**d, "one": True}, 2: lambda d: {**d, "two": True}}
    document = files.read_document(path, "k", 3, steps)
    assert document == {"kind": "k", "schema_version": 3, "one": True, "two": True}
    assert path.read_bytes() == b'{"kind": "k", "schema_version": 1}'


def test_a_missing_document_is_said_in_one_sentence(tmp_path):
    with pytest.raises(FileError) as caught:
        files.read_document(tmp_path / "none.json", "k", 1)
    assert caught.value.code == "file.missing"
