"""Right-to-left names come out as the Unicode Bidirectional Algorithm sets them.

Expected strings: made with the independent packages python-bidi 0.6 (UAX #9) and arabic-reshaper 3.0 for a
left-to-right paragraph, run once beside this test; they are not needed here.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.export.lettering import MISSING, visual


class Every:
    def __contains__(self, _: object) -> bool:
        return True


@pytest.mark.parametrize(
    ("logical", "set_as"),
    [
        ("שלום", "\u05dd\u05d5\u05dc\u05e9"),
        ("Core שלום עולם 12 x", "Core 12 \u05dd\u05dc\u05d5\u05e2 \u05dd\u05d5\u05dc\u05e9 x"),
        ("abc (שלום) 45", "abc (\u05dd\u05d5\u05dc\u05e9) 45"),
        ("سلام", "\ufee1\ufefc\ufeb3"),
        (
            "قلب المضخة 210",
            "210 \ufe94\ufea8\ufec0\ufee4\ufedf\ufe8d \ufe90\ufee0\ufed7",
        ),
        ("שלום-7", "7-\u05dd\u05d5\u05dc\u05e9"),
    ],
)
def test_right_to_left_text_is_set_in_visual_order(logical: str, set_as: str) -> None:
    assert visual(logical, Every()) == set_as


@given(st.text(alphabet=st.characters(max_codepoint=0x24F, exclude_categories=("C",)), max_size=60))
def test_left_to_right_text_stays_as_it_is(text: str) -> None:
    assert visual(text, Every()) == text.replace("\u2028", " ").replace("\u2029", " ")


@given(st.text(max_size=80))
def test_any_text_can_be_set_and_nothing_but_known_glyphs_comes_out(text: str) -> None:
    known = {ord(c) for c in "abcשלום "}
    assert set(visual(text, known)) <= {chr(point) for point in known} | {MISSING}
