"""Labels of sheets: the same in every language, each solved value with its name and its formula."""

import json
import string
from pathlib import Path

import pytest

from corelib.checks.process_sheet import process_sheet
from corelib.checks.process_values import MARKS
from corelib.export.process_text import GROUPS, process_sheet_lines
from corelib.job.operating_point import DEFAULT_PROFILES, profiles_point
from corelib.reference import shared_folder
from corelib.wording import LANGUAGES, label

SHEETS = sorted(path.stem for path in (shared_folder() / "wording" / "en" / "labels").glob("*.json"))

EDGES = ("z_low", "z_high", "weber", "splash")


def labels(language, sheet):
    path = shared_folder() / "wording" / language / "labels" / f"{sheet}.json"
    return json.loads(path.read_text(encoding="utf-8"))


def facts(text):
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


@pytest.mark.parametrize("sheet", SHEETS)
def test_all_languages_have_the_same_labels_with_the_same_facts(sheet):
    english = labels("en", sheet)
    for language in LANGUAGES:
        other = labels(language, sheet)
        assert {name: facts(text) for name, text in other.items()} == {
            name: facts(text) for name, text in english.items()
        }
        assert all(text.strip() for text in other.values())


def test_every_solved_value_says_what_it_is_and_how_it_comes_about():
    sheet = process_sheet(profiles_point(DEFAULT_PROFILES))
    names = {entry.code.partition(".")[2] for group in sheet.solved.values() for entry in group}
    assert set(labels("en", "solved")) == names | {f"{name}.how" for name in names}
    with pytest.raises(KeyError):
        label("solved", "colour")


@pytest.mark.parametrize("language", LANGUAGES)
def test_sheet_as_text_holds_every_value(language):
    document = process_sheet(profiles_point(DEFAULT_PROFILES)).document()
    text = "\n".join(process_sheet_lines(document, language))
    assert "?)" not in text and "None" not in text
    for entry in document["stated"]:
        assert entry["field"].partition(".")[2] in text
    for entry in document["unknown"]:
        assert entry["field"].partition(".")[2] in text


def test_no_label_is_left_over():
    root = Path(__file__).parents[2]
    text = "\n".join(path.read_text(encoding="utf-8") for path in root.glob("corelib/**/*.py"))
    for sheet in ("process", "measuring", "sensitivity"):
        made = {f"mark_{mark.replace(' ', '_')}" for mark in MARKS}
        made |= {f"group_{group}" for group in GROUPS} | {f"edge_{name}" for name in EDGES}
        left = [name for name in labels("en", sheet) if f'"{name}"' not in text and name not in made]
        assert left == [], sheet
