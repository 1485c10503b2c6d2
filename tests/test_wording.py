"""Every code has its sentence in every language, with the same facts, and no sentence is left over."""

import json
import re
import string
from pathlib import Path

import pytest

from corelib.errors import InputError
from corelib.findings import Finding
from corelib.reference import shared_folder
from corelib.wording import LANGUAGES, error_sentence, finding_wording, wording

ROOT = Path(__file__).parent.parent
SOURCES = [*ROOT.glob("corelib/**/*.py"), *ROOT.glob("app/**/*.py")]
FAMILIES = {path.stem for path in (shared_folder() / "wording" / "en").glob("*.json")}
FILE_ENDINGS = "csv|ini|json|html|npy"  # "layers.csv" is a file's name
CODE = re.compile(rf'"((?:{"|".join(sorted(FAMILIES))})\.(?!(?:{FILE_ENDINGS})")[a-z0-9_]+)"')


def entries(language):
    found = {}
    for family in FAMILIES:
        path = shared_folder() / "wording" / language / f"{family}.json"
        found.update(json.loads(path.read_text(encoding="utf-8")))
    return found


def facts_of(entry):
    texts = (entry["what"], entry["why"], entry["next"])
    return {name for text in texts for _, name, _, _ in string.Formatter().parse(text) if name}


def test_all_languages_know_the_same_codes_with_the_same_facts():
    first, *others = (entries(language) for language in LANGUAGES)
    for other in others:
        assert set(other) == set(first)
        differing = [code for code in first if facts_of(first[code]) != facts_of(other[code])]
        assert differing == []


def test_every_code_in_the_sources_has_its_sentence():
    known = entries("en")
    used = {code for path in SOURCES for code in CODE.findall(path.read_text(encoding="utf-8"))}
    assert sorted(used - set(known)) == []


def test_no_sentence_is_left_over():
    text = "\n".join(path.read_text(encoding="utf-8") for path in SOURCES)
    # cautions, codes made from a family and a name, and texts of sheets are looked up by their ending
    left = [
        code for code in entries("en") if f'"{code}"' not in text and f'"{code.split(".")[1]}"' not in text
    ]
    assert left == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_sentences_hold_their_facts_and_end_like_sentences(language):
    for code, entry in entries(language).items():
        assert entry["what"].strip(), code
        for part in ("what", "why", "next"):
            assert not entry[part] or entry[part].rstrip()[-1] in ".!?)", (code, entry[part])


def test_a_sentence_says_what_and_what_to_do_next():
    error = InputError("file.newer_version", path="a.json", found=3, known=1)
    assert error_sentence(error).startswith("a.json was written by a newer Corestow (schema version 3")
    assert "Update Corestow" in error_sentence(error)


def test_numbers_in_sentences_show_four_digits_and_missing_facts_show_their_name():
    assert (
        wording("work.too_slow", {"limit_s": 12.3456789}).what
        == "The work took longer than its limit of 12.35 s."
    )
    assert "(limit_s?)" in wording("work.too_slow", {}).what


def test_a_finding_shows_the_name_of_its_core_and_counts_boxes_from_one():
    finding = Finding("file.missing", "stop", {"path": "p"}, core="a", box=0)
    assert finding_wording(finding, "Elbow").what == "There is no file p."
