"""Money: rounding once, sharing to the last cent."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.cost.money import allocate, minor_unit, product, rounded
from corelib.errors import InputError

amounts = st.integers(0, 10**12).map(lambda cents: Decimal(cents) / 100)
weights = st.dictionaries(st.integers(0, 50), st.floats(0, 1e9), min_size=1, max_size=20)


@pytest.mark.parametrize(
    ("currency", "unit"),
    [("EUR", "0.01"), ("JPY", "1"), ("KWD", "0.001"), ("CLF", "0.0001"), ("SEK", "0.01")],
)
def test_minor_units(currency, unit):
    # ISO 4217 list one
    assert minor_unit(currency) == Decimal(unit)


def test_unknown_currency_is_refused():
    with pytest.raises(InputError) as caught:
        minor_unit("XYZ")
    assert caught.value.code == "cost.unknown_currency"


def test_rounding_is_half_away_from_zero():
    assert rounded(Decimal("2.345"), "EUR") == Decimal("2.35")
    assert rounded(Decimal("2.5"), "JPY") == Decimal(3)


def test_product_keeps_what_binary_numbers_cannot():
    assert product(0.1, 3, Decimal("0.7")) == Decimal("0.21")


@given(amounts, weights)
def test_shares_sum_to_the_cent(amount, by_key):
    shares = allocate(amount, by_key, "EUR")
    assert sum(shares.values()) == amount
    assert list(shares) == list(by_key)


@given(amounts, weights)
def test_no_share_is_a_cent_off_its_quota(amount, by_key):
    whole = sum(map(Decimal, by_key.values()))
    if not whole:
        return
    for key, share in allocate(amount, by_key, "EUR").items():
        quota = amount * Decimal(by_key[key]) / whole
        assert abs(share - quota) <= Decimal("0.0100001")


def test_largest_remainders_by_hand():
    # 1.00 by 1 : 1 : 1 leaves one cent, which goes to the first of equal remainders
    assert allocate(Decimal("1.00"), {"a": 1, "b": 1, "c": 1}, "EUR") == {
        "a": Decimal("0.34"),
        "b": Decimal("0.33"),
        "c": Decimal("0.33"),
    }


def test_largest_remainder_apportionment_of_a_worked_example():
    # M: the usual textbook example of the largest remainder (Hamilton) method: 100 000 votes, 10 seats,
    # 47 000 / 16 000 / 15 900 / 12 000 / 6 000 / 3 100 → 5, 2, 1, 1, 1, 0 seats with the Hare quota.
    votes = {"yellow": 47000, "white": 16000, "red": 15900, "green": 12000, "blue": 6000, "pink": 3100}
    seats = allocate(Decimal(10), votes, "JPY")
    assert [int(seat) for seat in seats.values()] == [5, 2, 1, 1, 1, 0]


def test_zero_weights_share_equally():
    assert list(allocate(Decimal("0.03"), {1: 0.0, 2: 0.0}, "EUR").values()) == [
        Decimal("0.02"),
        Decimal("0.01"),
    ]
