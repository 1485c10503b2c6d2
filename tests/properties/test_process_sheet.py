"""Whatever values a profile may hold, the process sheet is made: finite, in words, without a crash."""

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.checks.process_casting import CoreInMelt
from corelib.checks.process_sensitivity import process_figures
from corelib.checks.process_sheet import process_sheet
from corelib.errors import InputError
from corelib.export.process_text import process_sheet_lines
from corelib.files import canonical_json
from corelib.job.operating_point import DEFAULT_PROFILES, allowed, overridden, profiles_point
from corelib.job.profiles import PROFILE_KINDS

POINT = profiles_point(
    DEFAULT_PROFILES.model_copy(
        update={"binder": "alkali-silicate-characterised", "process": "inorganic-printing-characterised"}
    )
)
LIMIT = re.compile(r"([><≥≤]) (-?[\d.e+]+)")


def numbers():
    """Return each numeric field with its least and most value, from the text that users are shown."""
    found = []
    for kind, model in PROFILE_KINDS.items():
        for name in sorted(set(model.model_fields) - model.ABOUT):
            value = getattr(getattr(POINT, kind), name)
            if isinstance(value, (int, float)) and not isinstance(value, bool):
                ends = {sign: float(limit) for sign, limit in LIMIT.findall(allowed(kind, name))}
                low = ends.get(">", ends.get("≥", 0.0))
                high = ends.get("<", ends.get("≤", 1e9))
                found.append((f"{kind}.{name}", low, high, isinstance(value, int)))
    return found


@st.composite
def moved_values(draw):
    moved = {}
    for field, low, high, is_whole in draw(st.lists(st.sampled_from(numbers()), min_size=1, max_size=4)):
        if is_whole:
            moved[field] = draw(st.integers(int(low), int(high)))
        else:
            moved[field] = draw(st.floats(low, high) | st.sampled_from([low, high]))
    return moved


@settings(max_examples=60)
@given(moved_values())
def test_a_sheet_of_any_allowed_values(moved):
    try:
        point = overridden(POINT, moved)
    except InputError:
        return  # an open end of a range
    sheet = process_sheet(point, [CoreInMelt("core", 1e-3)])
    document = sheet.document()
    canonical_json(document)  # refuses what isn't finite
    for language in ("en", "de"):
        text = "\n".join(process_sheet_lines(document, language))
        assert "?)" not in text
        assert not re.search(r"\b(nan|inf)\b", text)
    process_figures(point)
