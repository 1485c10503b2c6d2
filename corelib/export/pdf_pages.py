"""Pages of a PDF as pictures, for whoever has to look at them without a reader: by PDFium."""

from __future__ import annotations

import io
from collections.abc import Iterator

POINTS_PER_INCH = 72.0


def page_count(pdf: bytes) -> int:
    """Return the number of pages."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        return len(document)
    finally:
        document.close()


def page_pictures(pdf: bytes, dots_per_inch: float) -> Iterator[bytes]:
    """Yield each page as PNG, one after another, so that only one is in memory."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        for page in document:
            bitmap = page.render(scale=dots_per_inch / POINTS_PER_INCH)
            stream = io.BytesIO()
            bitmap.to_pil().save(stream, "PNG", compress_level=1)
            bitmap.close()
            page.close()
            yield stream.getvalue()
    finally:
        document.close()
