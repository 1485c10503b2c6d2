"""A packed box as a 3MF file (core specification): each core once, each copy as a build item, unit mm."""

from __future__ import annotations

import io
import zipfile
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from corelib.export.figures import core_names
from corelib.export.lettering import printable
from corelib.export.painting import Shape

CORE_NAMESPACE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
OWN_NAMESPACE = "urn:corestow:packed-box"
MODEL_PART = "3D/3dmodel.model"
EPOCH = (1980, 1, 1, 0, 0, 0)
"""The archive's oldest date on every part: the same box gives the same bytes."""
CHUNK = 50_000

CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
RELATIONSHIPS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Target="/{MODEL_PART}" Id="rel0" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>\n'
)


def box_3mf(plan: Mapping[str, Any], box_number: int, shapes: Mapping[str, Shape]) -> bytes:
    """Return one packed box as 3MF; `shapes` holds the mesh of every core in it, in the core file's frame."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as archive:
        for name, text in (("[Content_Types].xml", CONTENT_TYPES), ("_rels/.rels", RELATIONSHIPS)):
            archive.writestr(_entry(name), text)
        with archive.open(_entry(MODEL_PART), "w", force_zip64=True) as part:
            for piece in _model(plan, box_number, shapes):
                part.write(piece.encode("utf-8"))
    return stream.getvalue()


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, EPOCH)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    return entry


def _model(plan: Mapping[str, Any], box_number: int, shapes: Mapping[str, Shape]) -> Iterator[str]:
    placements = plan["boxes"][box_number]["placements"]
    counts = Counter(item["core"] for item in placements)
    names = core_names(plan)
    ids = {core_id: index for index, core_id in enumerate(sorted(counts), start=1)}
    yield (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<model unit="millimeter" xml:lang="en-US" xmlns="{CORE_NAMESPACE}" xmlns:cs="{OWN_NAMESPACE}">\n'
    )
    title = f"{plan['job']['name']}, box {box_number + 1}"
    yield f' <metadata name="Title">{_text(title)}</metadata>\n'
    yield ' <metadata name="Application">Corestow</metadata>\n <resources>\n'
    for core_id, index in ids.items():
        name = f"{names[core_id]} ({core_id})"
        known_as = f"partnumber={_attribute(core_id)} name={_attribute(name)}"
        yield f'  <object id="{index}" type="model" {known_as}>\n'
        count = f'<metadata name="cs:copies" type="xs:string">{counts[core_id]}</metadata>'
        yield f"   <metadatagroup>{count}</metadatagroup>\n   <mesh>\n"
        yield from _mesh(shapes[core_id])
        yield "   </mesh>\n  </object>\n"
    yield " </resources>\n <build>\n"
    for item in placements:
        number = f"{item['core']}-{item['copy'] + 1}"
        yield (
            f'  <item objectid="{ids[item["core"]]}" transform="{_transform(item["matrix"])}" '
            f"partnumber={_attribute(number)}/>\n"
        )
    yield " </build>\n</model>\n"


def _text(value: str) -> str:
    return escape(printable(value))


def _attribute(value: str) -> str:
    return quoteattr(printable(value))


def _transform(matrix: Sequence[Sequence[float]]) -> str:
    """Return the matrix as 3MF has it: for row vectors, so its columns one after another, shift last."""
    columns = np.asarray(matrix, dtype=np.float64)[:3].T
    return " ".join(f"{value:.12g}" for value in columns.ravel() + 0.0)


def _mesh(shape: Shape) -> Iterator[str]:
    yield "    <vertices>\n"
    yield from _rows('<vertex x="%.9g" y="%.9g" z="%.9g"/>\n', shape.vertices_mm)
    yield "    </vertices>\n    <triangles>\n"
    yield from _rows('<triangle v1="%d" v2="%d" v3="%d"/>\n', shape.faces)
    yield "    </triangles>\n"


def _rows(form: str, values: NDArray[Any]) -> Iterator[str]:
    for start in range(0, len(values), CHUNK):
        block = values[start : start + CHUNK]
        yield (form * len(block)) % tuple(block.ravel().tolist())
