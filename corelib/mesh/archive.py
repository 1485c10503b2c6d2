"""Guard for 3MF archives: what must be true of the zip and its XML before any parser may unpack it.

Names that climb out, bombs, encrypted or repeated parts, entities, other encodings, and object graphs that
would expand without end are refused. Standard library only.
"""

from __future__ import annotations

import re
import zipfile
import zlib
from pathlib import Path

from corelib.errors import MeshError
from corelib.mesh.raw import MIB, ReadLimits

_MODEL_ENDING = ".model"
_LEAST_SUSPECT_BYTES = MIB
_CHUNK_BYTES = MIB
_BANNED = re.compile(rb"<!\s*(?:DOCTYPE|ENTITY)", re.IGNORECASE)
_ATTRIBUTES = rb"(?:[^>\"']|\"[^\"]*\"|'[^']*')*"
_ELEMENT = re.compile(
    rb"<(?:[\w.\-]+:)?(?:(object|component|item)\b(" + _ATTRIBUTES + rb")>|(triangle|vertex)\b)"
)
_ID = re.compile(rb"(?<![\w:])(?:\w+:)?(id|objectid)\s*=\s*[\"']\s*(\d+)\s*[\"']")
_PATH = re.compile(rb":path\s*=\s*[\"']([^\"']*)[\"']")
_ENCODING = re.compile(rb"^<\?xml[^>]*encoding\s*=\s*[\"']([^\"']+)[\"']")

Key = tuple[bytes, int]
"""An object: the part that holds it and its id there."""


def guarded_parts(path: Path, limits: ReadLimits) -> dict[str, bytes]:
    """Return the model parts of a 3MF archive by name, all checks passed. Raises MeshError."""
    try:
        with zipfile.ZipFile(path) as archive:
            entries = archive.infolist()
            _check_entries(path.name, entries, limits)
            return {entry.filename: _unpack(path.name, archive, entry, limits) for entry in _models(entries)}
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, ValueError, OSError) as error:
        reason = str(error)[:200] or type(error).__name__
        raise MeshError("mesh.archive_broken", file=path.name, reason=reason) from error


def _models(entries: list[zipfile.ZipInfo]) -> list[zipfile.ZipInfo]:
    return [entry for entry in entries if entry.filename.lower().endswith((_MODEL_ENDING, ".rels", ".xml"))]


def _check_entries(name: str, entries: list[zipfile.ZipInfo], limits: ReadLimits) -> None:
    if len(entries) > limits.archive_parts:
        raise MeshError("mesh.archive_parts", file=name, found=len(entries), most=limits.archive_parts)
    seen: set[str] = set()
    for entry in entries:
        _check_entry(name, entry, limits)
        if entry.filename.lower() in seen:
            raise MeshError("mesh.archive_repeats", file=name, part=entry.filename)
        seen.add(entry.filename.lower())
    total = sum(entry.file_size for entry in entries)
    if total > limits.part_mb * MIB:
        raise MeshError("mesh.archive_bomb", file=name, unpacked_mb=total // MIB, most_mb=limits.part_mb)


def _check_entry(name: str, entry: zipfile.ZipInfo, limits: ReadLimits) -> None:
    part = entry.filename
    climbs = part.startswith("/") or ".." in part.split("/") or "\\" in part or re.match(r"^[A-Za-z]:", part)
    if climbs or "\0" in entry.orig_filename:
        raise MeshError("mesh.archive_climbs", file=name, part=part)
    if entry.flag_bits & 0x1:
        raise MeshError("mesh.archive_encrypted", file=name, part=part)
    ratio = entry.file_size / max(1, entry.compress_size)
    if entry.file_size > _LEAST_SUSPECT_BYTES and ratio > limits.expansion:
        size = entry.file_size // MIB
        raise MeshError("mesh.archive_bomb", file=name, unpacked_mb=size, most_mb=limits.part_mb)


def _unpack(name: str, archive: zipfile.ZipFile, entry: zipfile.ZipInfo, limits: ReadLimits) -> bytes:
    """Return a part's bytes, stopping at its declared size, with no entities and in UTF-8."""
    chunks: list[bytes] = []
    size = 0
    with archive.open(entry) as stream:
        while chunk := stream.read(_CHUNK_BYTES):
            size += len(chunk)
            if size > entry.file_size or size > limits.part_mb * MIB:
                raise MeshError(
                    "mesh.archive_bomb", file=name, unpacked_mb=size // MIB, most_mb=limits.part_mb
                )
            chunks.append(chunk)
    content = b"".join(chunks)
    stated = _ENCODING.match(content.removeprefix(b"\xef\xbb\xbf"))
    if content[:2] in (b"\xff\xfe", b"\xfe\xff") or (stated and stated[1].lower() not in (b"utf-8", b"utf8")):
        raise MeshError("mesh.archive_not_utf8", file=name, part=entry.filename)
    if _BANNED.search(content):
        raise MeshError("mesh.archive_entities", file=name, part=entry.filename)
    return content


def check_expansion(name: str, parts: dict[str, bytes], limits: ReadLimits) -> None:
    """Raise MeshError if the object graph is circular or would expand past the limits.

    Instances and triangles are counted over the graph, not by expanding it.
    """
    graph = _Graph()
    for part, content in parts.items():
        if part.lower().endswith(_MODEL_ENDING):
            graph.read(b"/" + part.encode(), content)
    vertices = graph.vertices
    if vertices > 3 * limits.triangles:
        raise MeshError("mesh.too_many_triangles", file=name, found=vertices // 3, most=limits.triangles)
    instances, triangles = graph.expanded(name)
    if instances > limits.instances:
        raise MeshError("mesh.too_many_instances", file=name, found=instances, most=limits.instances)
    if triangles > limits.triangles:
        raise MeshError("mesh.too_many_triangles", file=name, found=triangles, most=limits.triangles)


class _Graph:
    """Objects, their triangles and the objects they refer to, read from the XML text."""

    def __init__(self) -> None:
        self.triangles: dict[Key, int] = {}
        self.children: dict[Key, list[Key]] = {}
        self.items: list[Key] = []
        self.vertices = 0

    def read(self, part: bytes, content: bytes) -> None:
        current: Key | None = None
        for match in _ELEMENT.finditer(content):
            kind = match[1] or match[3]
            if kind == b"vertex":
                self.vertices += 1
            elif kind == b"triangle":
                if current is not None:
                    self.triangles[current] += 1
            elif kind == b"object":
                current = (part, _identifier(match[2], b"id"))
                self.triangles.setdefault(current, 0)
                self.children.setdefault(current, [])
            else:
                other = _PATH.search(match[2])
                target = (other[1] if other else part, _identifier(match[2], b"objectid"))
                (self.items if kind == b"item" or current is None else self.children[current]).append(target)

    def expanded(self, name: str) -> tuple[int, int]:
        """Return the instances and triangles of all build items, each object counted once."""
        known: dict[Key, tuple[int, int]] = {}
        for item in self.items:
            self._count(name, item, known)
        pairs = [known[item] for item in self.items]
        return sum(pair[0] for pair in pairs), sum(pair[1] for pair in pairs)

    def _count(self, name: str, root: Key, known: dict[Key, tuple[int, int]]) -> None:
        stack, open_keys = [root], set()
        while stack:
            key = stack[-1]
            missing = [child for child in self.children.get(key, ()) if child not in known]
            if key in known or not missing:
                stack.pop()
                open_keys.discard(key)
                if key not in known:
                    below = [known[child] for child in self.children.get(key, ())]
                    instances = 1 + sum(pair[0] for pair in below)
                    triangles = self.triangles.get(key, 0) + sum(pair[1] for pair in below)
                    known[key] = (instances, triangles)
                continue
            if key in open_keys and any(child in open_keys for child in missing):
                raise MeshError("mesh.circular", file=name, object=key[1])
            open_keys.add(key)
            stack.append(missing[0])


def _identifier(attributes: bytes, wanted: bytes) -> int:
    for match in _ID.finditer(attributes):
        if match[1] == wanted:
            return int(match[2][:12])
    return -1
