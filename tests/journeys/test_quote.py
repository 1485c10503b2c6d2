"""A quotation from the command line: re-added to the cent, and nothing internal goes out."""

import json
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest

from app.cli import BAD_INPUT, OK, run

ROOT = Path(__file__).parent.parent.parent
JOB = {
    "kind": "corestow.job",
    "schema_version": 1,
    "name": "Elbow and jacket, prototype cores",
    "customer": "Invented customer",
    "currency": "EUR",
    "cores": [
        {"id": "elbow", "name": "Elbow", "block": {"size_mm": [120, 80, 60], "volume_mm3": 300000}},
        {"id": "jacket", "name": "Jacket", "block": {"size_mm": [150, 150, 70], "volume_mm3": 700000}},
    ],
    "casting_sets": [
        {
            "id": "pump",
            "name": "Pump",
            "count": 1,
            "members": [{"core_id": "elbow", "per_set": 2}, {"core_id": "jacket", "per_set": 1}],
        }
    ],
    "box": {"inner_mm": [440, 320, 100]},
    "profiles": {
        "process": "inorganic-printing",
        "machine": "demo-printer",
        "head": "demo-head",
        "sand": "quartz-sand",
        "additive": "powder-additive",
        "binder": "alkali-silicate",
        "oven": "microwave-oven",
        "rates": "demo-rates",
        "shop": "demo-shop",
    },
    "quotation": {
        "number": "Q-7",
        "start_date": "2026-11-30",
        "conventional": {
            "tooling": {"low": "9000", "likely": "11000", "high": "14000"},
            "per_set": {"low": "9", "likely": "12", "high": "16"},
            "tool_lead_time_days": 42,
        },
        "joined": {"parts_before": 3, "assembly_min_per_joint": 4.0, "glue_per_joint": "0.25"},
    },
}
SETS = (1, 2, 3, 7, 12)


@pytest.fixture(scope="module")
def quoted(tmp_path_factory):
    folder = tmp_path_factory.mktemp("quote")
    (folder / "job.json").write_text(json.dumps(JOB), encoding="utf-8")
    assert quote(folder / "job.json", "1,2,3,7,12") == OK
    return folder / "job.quote"


def quote(job, sets, *more):
    def no_window(_):
        raise AssertionError("the window was not asked for")

    return run(["quote", str(job), "--sets", sets, *more], no_window)


@pytest.fixture(scope="module")
def customer(quoted):
    return json.loads((quoted / "customer" / "quotation.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def sheet(quoted):
    return json.loads((quoted / "internal" / "cost_sheet.json").read_text(encoding="utf-8"))


def test_every_quantity_is_quoted_with_a_lead_time(customer):
    assert [price["sets"] for price in customer["prices"]] == list(SETS)
    assert all(price["lead_time_days"] >= 1 for price in customer["prices"])
    assert all(price["ready_day"] > "2026-11-30" for price in customer["prices"])


def test_it_re_adds_to_the_cent(customer, sheet):
    for offered, entry in zip(customer["prices"], sheet["quantities"], strict=True):
        assert Decimal(offered["unit_price"]) * offered["sets"] == Decimal(offered["total_price"])
        lines = {line["code"]: line for line in entry["lines"]}
        amounts = [Decimal(line["amount"]) for line in entry["lines"]]
        assert sum(amounts) == Decimal(entry["calculated_price"])
        assert sum(amounts) - Decimal(lines["margin"]["amount"]) == Decimal(entry["cost"])
        assert sum(Decimal(amount) for amount in entry["by_kind"].values()) == Decimal(
            entry["calculated_price"]
        )
        for line in entry["lines"]:
            if line.get("parts"):
                assert sum(Decimal(part["amount"]) for part in line["parts"]) == Decimal(line["amount"])
        for sharing in entry["shares"]:
            assert sum(Decimal(core["price"]) for core in sharing["cores"]) == Decimal(
                entry["calculated_price"]
            )
            assert sum(Decimal(core["cost"]) for core in sharing["cores"]) == Decimal(entry["cost"])
        # the firm price covers the reckoned one, by less than a cent a set, unless it says that it is held
        over = Decimal(offered["total_price"]) - Decimal(entry["calculated_price"])
        assert over < Decimal("0.01") * offered["sets"]
        assert over >= 0 or entry["note"] == "held"


def test_lines_are_their_quantities_times_their_rates(sheet):
    # by hand, with the demo rates: labour 42.00 an hour, sand 0.18 a kilogram, set-up 0.75 h a box
    for entry in sheet["quantities"]:
        lines = {line["code"]: line for line in entry["lines"]}
        assert Decimal(lines["labour_set_up"]["amount"]) == Decimal("31.50") * entry["boxes"]
        for part in lines["sand"]["parts"]:
            kg = Decimal(str(part["inputs"]["fresh_sand_kg"]))
            assert abs(Decimal(part["amount"]) - kg * Decimal("0.18")) <= Decimal("0.005")


def test_unit_price_falls_or_stays_unless_a_box_is_opened_and_says_so(customer, sheet):
    entries = sheet["quantities"]
    rises = []
    for before, entry in pairwise(entries):
        if Decimal(entry["unit_price"]) > Decimal(before["unit_price"]):
            assert entry["boxes"] > before["boxes"]
            assert entry["note"] == "new box"
            rises.append(entry["sets"])
    assert len(rises) >= 1, "the example is made so that a price rises where a box is opened"
    assert len(customer["notes"]) == len(rises)
    for sets, note in zip(rises, customer["notes"], strict=True):
        assert f"From {sets} sets on" in note


def test_no_price_without_range_and_evidence_inside(sheet):
    for entry in sheet["quantities"]:
        low, middle, high = entry["spread"]["price"]
        assert low < middle < high
        assert low < float(entry["calculated_price"]) < high
        assert entry["spread"]["evidence"] == "invented"
        assert entry["lead_time_days_early"] <= entry["lead_time_days_late"]


def test_break_even_agrees_with_its_curves(sheet):
    found = sheet["break_even"]
    assert found["verdict"] == "range"
    assert found["low"] <= found["likely"] <= found["high"]
    for point in found["curves"]:
        is_dearer = point["conventional_likely"] > point["printed_likely"]
        assert is_dearer == (point["sets"] < found["likely"])


def test_the_customer_sees_neither_cost_nor_rate_nor_margin_nor_range(quoted, sheet):
    readable = [path for path in (quoted / "customer").iterdir() if path.suffix in (".json", ".html")]
    texts = [path.read_text(encoding="utf-8") for path in readable]
    assert len(texts) == 2
    inside = ["margin", "overhead", "rate", "p10", "p90", "evidence", "spread", "profile", "calculated"]
    for text in texts:
        words = set(text.lower().replace("-", " ").split())
        assert words.isdisjoint(inside)
        for entry in sheet["quantities"]:
            assert entry["cost"] not in text
            margin = next(line["amount"] for line in entry["lines"] if line["code"] == "margin")
            assert margin not in text


def test_customer_is_told_terms_and_cautions(customer):
    assert customer["validity_days"] == 30
    assert any("Taxes" in text for text in customer["exclusions"])
    assert len(customer["assumptions"]) >= 4
    assert len(customer["cautions"]) >= 2


def test_same_job_same_bytes_in_whatever_order_the_quantities_are_asked(tmp_path):
    for folder, sets in (("one", "1,2"), ("other", "2,1,1")):
        (tmp_path / folder).mkdir()
        assert quote(with_changes(tmp_path / folder), sets) == OK
    first = tmp_path / "one" / "job.quote"
    for path in [*first.rglob("*.json"), *first.rglob("*.html")]:
        again = tmp_path / "other" / "job.quote" / path.relative_to(first)
        assert again.read_bytes() == path.read_bytes(), path.name


def test_german_sheets(quoted, tmp_path):
    out = tmp_path / "out"
    assert quote(quoted.parent / "job.json", "2", "--out", str(out), "--language", "de") == OK
    assert "Angebot" in (out / "customer" / "quotation.html").read_text(encoding="utf-8")
    assert "Maschinenstundensatz" in (out / "internal" / "cost_sheet.html").read_text(encoding="utf-8")


def test_an_earlier_quotation_is_replaced(tmp_path):
    job = with_changes(tmp_path)
    assert quote(job, "1") == OK
    assert quote(job, "2") == OK
    again = json.loads((tmp_path / "job.quote" / "customer" / "quotation.json").read_text(encoding="utf-8"))
    assert [price["sets"] for price in again["prices"]] == [2]


def with_changes(tmp_path, **changes):
    path = tmp_path / "job.json"
    path.write_text(json.dumps({**JOB, **changes}), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("sets", "says"),
    [
        ("0", "no whole number of sets"),
        ("5,-1", "no whole number of sets"),
        ("many", "no whole number of sets"),
        ("1.5", "no whole number of sets"),
        ("", "no whole number of sets"),
        ("1000000", "1000000"),
        (",".join(str(n) for n in range(1, 40)), "at most 20"),
    ],
)
def test_bad_quantities_are_refused_in_one_sentence(tmp_path, capsys, sets, says):
    assert quote(with_changes(tmp_path), sets) == BAD_INPUT
    told = capsys.readouterr().err
    assert says in told
    assert "Traceback" not in told
    assert not (tmp_path / "job.quote").exists()


OVERRIDES = [
    ({"rates.machine_per_h": -1}, "rates.machine_per_h"),
    ({"rates.labour_per_h": 0}, "rates.labour_per_h"),
    ({"rates.machine_per_h": None, "rates.machine_life_a": 0}, "rates.machine_life_a"),
    ({"rates.machine_per_h": None, "rates.machine_use_h": -5}, "rates.machine_use_h"),
    ({"rates.core_yield_pct": 0}, "rates.core_yield_pct"),
    ({"rates.margin_pct": 100}, "rates.margin_pct"),
    ({"rates.machine_per_h": None, "rates.machine_life_a": None}, "rates.machine_per_h"),
    ({"shop.printers": 0}, "shop.printers"),
    ({"shop.shifts": None}, "shop.shifts"),
    ({"shop.shifts": [{"days": ["mon"], "start": "14:00", "end": "06:00"}]}, "shop.shifts"),
    (
        {
            "shop.shifts": [
                {"days": ["mon"], "start": "06:00", "end": "14:00"},
                {"days": ["mon"], "start": "13:00", "end": "22:00"},
            ]
        },
        "shop.shifts",
    ),
    (
        {"shop.prints_unattended": False, "machine.recoat_s": 600},
        "without a break",
    ),
]


@pytest.mark.parametrize(("overrides", "says"), OVERRIDES)
def test_bad_rates_and_calendars_are_refused_in_one_sentence(tmp_path, capsys, overrides, says):
    assert quote(with_changes(tmp_path, overrides=overrides), "1") == BAD_INPUT
    told = capsys.readouterr().err.strip().splitlines()[-1]
    assert says in told
    assert "Traceback" not in told


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"currency": None}, "currency"),
        ({"currency": "XYZ"}, "XYZ"),
        (
            {
                "casting_sets": [],
                "loose": [{"core_id": "elbow", "count": 1}, {"core_id": "jacket", "count": 1}],
            },
            "casting set",
        ),
        ({"quotation": {"start_date": "2026-02-30"}}, "2026-02-30"),
        ({"quotation": {"ranges": {"sand.moisture_pct": {"low": 2.0, "high": 1.0}}}}, "rise"),
        ({"quotation": {"ranges": {"machine.image_first_number": {"low": 1.0, "high": 2.0}}}}, "no figure"),
    ],
)
def test_bad_jobs_are_refused_in_one_sentence(tmp_path, capsys, changes, says):
    path = with_changes(tmp_path, **changes)
    if "currency" in changes and changes["currency"] is None:
        job = {name: value for name, value in JOB.items() if name != "currency"}
        path.write_text(json.dumps(job), encoding="utf-8")
    assert quote(path, "1") == BAD_INPUT
    told = capsys.readouterr().err
    assert says in told
    assert "Traceback" not in told
