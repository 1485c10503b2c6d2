"""Calibration: planted scale and bleed come back within their intervals as often as they should."""

import numpy as np
import pytest

from corelib.allowance.calibration import calibrate, calibrated_profile, tolerance_budget
from corelib.allowance.compensation import measured_length_mm
from corelib.allowance.coupons import CouponLength, coupon_lengths, read_coupons
from corelib.errors import FileError, InputError
from corelib.physics.accuracy import fit_scale_and_bleed
from tests.allowance.test_compensation import process

SIZES = ((20, "outside"), (60, "outside"), (120, "outside"), (20, "inside"), (30, "inside"), (80, "inside"))


def coupons(scale_pct, bleed_mm, noise_mm=0.0, seed=0, axes="xyz", sizes=SIZES, compensated=0.0):
    """Return made-up coupon lengths, printed already compensated by a share of their size."""
    rng = np.random.default_rng(seed)
    rows = []
    for axis in axes:
        for nominal, side in sizes:
            printed = nominal * (1 - compensated)
            faces = bleed_mm if axis != "z" else bleed_mm / 2
            measured = measured_length_mm(printed, scale_pct, faces, is_inside=side == "inside")
            rows.append(CouponLength(nominal, printed, measured + rng.normal(0, noise_mm), side, axis))
    return rows


def test_exact_coupons_give_back_what_was_planted_also_when_printed_compensated():
    made = calibrate(coupons(-0.3, 0.15, compensated=0.004))
    across, up = made.fit("xy"), made.fit("z")
    assert across.scale_error_pct == pytest.approx(-0.3, abs=1e-9)
    assert across.bleed_mm == pytest.approx(0.15, abs=1e-9)
    assert up.bleed_mm == pytest.approx(0.15, abs=1e-9)
    assert across.n == 12
    assert up.n == 6


@pytest.mark.parametrize(("scale_pct", "bleed_mm"), [(-0.25, 0.0), (0.0, 0.18), (-0.25, 0.18)])
def test_planted_values_are_covered_in_182_to_198_of_200_trials(scale_pct, bleed_mm):
    """A 95 % interval covers 190 of 200 on average; 182 to 198 leaves out less than one run in a hundred."""
    covered = {"scale": 0, "bleed": 0}
    for seed in range(200):
        fit = calibrate(coupons(scale_pct, bleed_mm, 0.05, seed, axes="xy")).fit("xy")
        covered["scale"] += abs(fit.scale_error_pct - scale_pct) <= fit.scale_half_width_pct
        covered["bleed"] += abs(fit.bleed_mm - bleed_mm) <= fit.bleed_half_width_mm
    assert 182 <= covered["scale"] <= 198
    assert 182 <= covered["bleed"] <= 198


def test_numpys_least_squares_agrees():
    rows = coupons(-0.4, 0.2, 0.03, seed=5, axes="x")
    fit = fit_scale_and_bleed(
        [row.printed_mm for row in rows],
        [row.measured_mm for row in rows],
        [2.0 if row.side == "outside" else -2.0 for row in rows],
    )
    design = np.array([[row.printed_mm, 2.0 if row.side == "outside" else -2.0] for row in rows])
    wanted = np.array([row.measured_mm - row.printed_mm for row in rows])
    solution, rest, _, _ = np.linalg.lstsq(design, wanted, rcond=None)
    assert (fit.first, fit.second) == pytest.approx(tuple(solution), rel=1e-10)
    covariance = np.linalg.inv(design.T @ design) * rest[0] / (len(rows) - 2)
    assert fit.covariance == pytest.approx(covariance, rel=1e-8)


def test_coupons_of_one_size_and_side_cant_separate():
    with pytest.raises(InputError) as caught:
        calibrate(coupons(-0.2, 0.1, axes="x", sizes=((50, "outside"),) * 4))
    assert caught.value.code == "coupon.no_fit"
    made = calibrate(
        coupons(-0.2, 0.1, 0.01, axes="x", sizes=((50, "outside"), (52, "outside"), (55, "outside")))
    )
    assert {finding.code for finding in made.findings} == {"coupon.hardly_separable"}


def test_axes_that_differ_are_found_and_axes_that_agree_are_not():
    rows = coupons(-0.5, 0.1, 0.01, seed=1, axes="x") + coupons(0.5, 0.1, 0.01, seed=2, axes="y")
    assert "coupon.axes_differ" in {finding.code for finding in calibrate(rows).findings}
    assert calibrate(coupons(-0.5, 0.1, 0.01, seed=3, axes="xy")).findings == ()


def test_capability_needs_ten_samples():
    few = calibrate(coupons(-0.2, 0.1, 0.05, axes="x"), tolerance_mm=0.3)
    assert few.capability is None
    assert {finding.code for finding in few.findings} == {"coupon.no_capability"}
    enough = calibrate(coupons(-0.2, 0.1, 0.05, axes="xy"), tolerance_mm=0.3).capability
    assert enough.n == 12
    assert enough.cpk_interval[0] < enough.cpk <= enough.cp < enough.cp_interval[1]


def test_profile_takes_the_fit_with_its_evidence():
    made = calibrate(coupons(-0.3, 0.15, 0.01))
    profile = calibrated_profile(process(tolerance_mm=0.4), made, date="2026-11-25", source="coupons 7 to 9")
    assert profile.scale_error_xy_pct == pytest.approx(-0.3, abs=0.05)
    assert profile.sources["bleed_z_mm"].evidence == "fitted"
    assert profile.sources["bleed_z_mm"].n == 6
    assert profile.sources["scale_error_xy_pct"].n == 12
    assert profile.tolerance_mm == 0.4


def test_budget_adds_squares_and_keeps_bias_apart():
    budget = tolerance_budget(None, layer_mm=0.3, pixel_mm=0.1, grain_mm=0.2, wanted_mm=0.3, bias_mm=0.05)
    assert budget.expected_mm == pytest.approx(2 * ((0.3**2 + 0.1**2 + 0.2**2) / 12) ** 0.5 + 0.05)
    assert [term.name for term in budget.terms] == ["layer step", "pixel", "grain"]


CSV_EN = "nominal,printed,measured,side,axis\n20,20.1,20.31,outside,x\n50,50,49.9,inside,y\n"
CSV_DE = "Nennmaß;gedruckt;gemessen;Seite;Achse\n20;20,1;20,31;außen;X\n50;50;49,9;innen;y\n"


@pytest.mark.parametrize("text", [CSV_EN, CSV_DE, CSV_EN.replace(",", "\t"), "\ufeff" + CSV_DE])
def test_tables_in_english_and_german_read_alike(tmp_path, text):
    path = tmp_path / "coupons.csv"
    path.write_text(text, encoding="utf-8")
    first, second = read_coupons(path)
    assert first == CouponLength(20, 20.1, 20.31, "outside", "x")
    assert second.side == "inside"


def test_xlsx_reads_like_csv(tmp_path):
    from openpyxl import Workbook

    book = Workbook()
    book.active.append(["axis", "side", "nominal", "printed", "measured"])
    book.active.append(["z", "outside", 40, 40.2, "40,35"])
    book.save(tmp_path / "coupons.xlsx")
    assert read_coupons(tmp_path / "coupons.xlsx") == (CouponLength(40, 40.2, 40.35, "outside", "z"),)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "coupon.no_rows"),
        ("nominal,printed\n1,2\n", "coupon.column_missing"),
        (CSV_EN.replace("20.31", "abc"), "coupon.bad_number"),
        (CSV_EN.replace("20.31", "nan"), "coupon.bad_number"),
        (CSV_EN.replace("20.31", "-3"), "coupon.bad_number"),
        (CSV_DE.replace("20,31", "1.234,5"), "coupon.bad_number"),
        (CSV_EN.replace("outside", "above"), "coupon.bad_word"),
    ],
)
def test_bad_tables_are_refused_with_their_row(tmp_path, text, code):
    path = tmp_path / "coupons.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_coupons(path)
    assert caught.value.code == code
    assert caught.value.facts["file"] == "coupons.csv"


def test_missing_and_broken_files(tmp_path):
    with pytest.raises(FileError):
        read_coupons(tmp_path / "nowhere.csv")
    (tmp_path / "bad.xlsx").write_bytes(b"PK\x03\x04 nothing")
    with pytest.raises(InputError):
        read_coupons(tmp_path / "bad.xlsx")
    with pytest.raises(InputError):
        coupon_lengths([["nominal"]], "typed")
