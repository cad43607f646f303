import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.words.errors import UnreadableError
from estimator.words.money import (
    money_in,
    read_money,
    read_terms,
    say_money,
    say_pay,
    say_price,
    say_span,
    terms_and_ceiling,
)


def refused(value):
    with pytest.raises(UnreadableError) as error:
        read_money(value)
    return error.value


@pytest.mark.parametrize(
    "value",
    [1800, 1800.0, "1800", "1,800", "1 800", "1'800", "1’800", "1\u202f800", "1,800.00", "1.800,00", "1 800,00", "1800.-", "1800,-", "1,800 mk", "mk 1,800", "mk1800", "$1,800", "£ 1,800.00", "1.800,00 €", "1800 kr.", "Fr. 1'800", "1800 USD", "1800 Crowns"],
)  # fmt: skip
def test_eighteen_hundred_in_every_spelling(value):
    assert read_money(value) == 1800.0


@pytest.mark.parametrize(
    ("value", "amount"),
    [
        ("240,5", 240.5),
        ("240,50", 240.5),
        ("240.5", 240.5),
        ("1234.567", 1234.567),
        ("0.125", 0.125),
        ("239.12512", 239.12512),
        ("1,234,567", 1234567),
        ("1.234.567,89", 1234567.89),
        ("none", 0),
        ("-", 0),
        ("0", 0),
        (-0.0, 0),
    ],
)
def test_amounts(value, amount):
    assert read_money(value) == amount


@pytest.mark.parametrize(
    ("value", "wrong"),
    [
        ("1.800", '"1.800" could be 1800 or 1 and a part'),
        ("-5", '"-5" is less than nothing'),
        ("- 5 mk", '"- 5 mk" is less than nothing'),
        ("£-5", '"£-5" is less than nothing'),
        ("(50)", '"(50)" is less than nothing'),
        (-5, '"-5" is less than nothing'),
        (2e9, '"2000000000" is more money than any board brings'),
        ("1,80,000", '"1,80,000" is not an amount of money'),
        ("1,234,56", '"1,234,56" is not an amount of money'),
        ("1,234.567.890", '"1,234.567.890" is not an amount of money'),
        (".5", '".5" is not an amount of money'),
        ("$.50", '"$.50" is not an amount of money'),
        ("80 h", '"80 h" is not an amount of money'),
        *(
            (text, f'"{text}" is not an amount of money')
            for text in (
                "80 hours",
                "2 d",
                "3 days",
                "4 weeks",
                "30 min",
                "15 %",
                "8 kg",
                "185 cm",
                "6 ft",
                "90°",
            )
        ),
        ("3.4k", '"3.4k" is not an amount of money'),
        ("2 m²", '"2 m²" is not an amount of money'),
        ("mk 80 mk", '"mk 80 mk" is not an amount of money'),
        ("1800 or so more", '"1800 or so more" is not an amount of money'),
        ("2026-06-12", '"2026-06-12" is not an amount of money'),
        ("9'6\"", '"9\'6"" is not an amount of money'),
        (True, "that is a yes or no"),
    ],
)
def test_what_is_wrong_is_said(value, wrong):
    assert refused(value).wrong == wrong


@given(st.integers(0, 10**9), st.integers(0, 99), st.sampled_from(["{} mk", "mk {}", "{}", "€{}"]))
def test_amounts_are_read_back_from_both_ways_of_writing(whole, hundredths, around):
    english = f"{whole:,}.{hundredths:02}"
    swapped = english.replace(",", " ").replace(".", ",").replace(" ", ".")
    amount = float(f"{whole}.{hundredths:02}")

    if amount <= 1e9:
        assert read_money(around.format(english)) == amount
        assert read_money(around.format(swapped)) == amount
        assert read_money(amount) == amount


@given(st.floats(0, 1e8), st.sampled_from(["mk", "", "€", "crowns"]))
def test_what_is_said_is_what_is_read_to_the_nearest_ten(amount, currency):
    said = say_money(amount, currency)

    assert read_money(said) == pytest.approx(amount, abs=5 + 1e-6)
    assert read_money(said) % 10 == 0


@pytest.mark.parametrize(
    ("amount", "said"),
    [(3396, "3,400 mk"), (3394.9, "3,390 mk"), (5, "10 mk"), (4.9, "0 mk"), (-4, "0 mk"), (-124.9, "−120 mk"), (1234567, "1,234,570 mk")],
)  # fmt: skip
def test_money_is_said_to_the_nearest_ten(amount, said):
    assert say_money(amount, "mk") == said


def test_pay_per_hour_of_a_board():
    # common practice, no source: price 1,800, materials 240, 39 h: 40.00 an hour
    assert (read_money("1,800") - read_money("240")) / 39 == 40.0


@pytest.mark.parametrize(
    ("currency", "cell", "other"),
    [("mk", "$ 300", "$"), ("mk", "300 EUR", "EUR"), ("€", "£1,200", "£"), ("USD", "300 NZD", "NZD")],
)
def test_money_of_another_currency_is_refused_with_both_named(currency, cell, other):
    with pytest.raises(UnreadableError) as refused:
        money_in(currency)(cell)

    assert f"is in {other}, and the shop's money is {currency}" in refused.value.wrong
    assert money_in("")(cell) == read_money(cell)


@pytest.mark.parametrize("cell", ["1,800 mk", "1,800 MK", "mk 1800", 1800, "1800"])
def test_own_money_is_read_with_its_sign_and_without(cell):
    assert money_in("mk")(cell) == 1800.0
    with pytest.raises(UnreadableError, match="less than nothing"):
        money_in("mk")(-5)


@pytest.mark.parametrize(("currency", "cell"), [("USD", "300 USD"), ("€", "€300"), (" Kr ", "300 kr")])
def test_a_currency_is_known_by_its_sign_as_it_was_written(currency, cell):
    assert money_in(currency)(cell) == 300.0


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(0, 0, "none"), (0, 4, "under 10 mk"), (3, 262, "0 to 260 mk"), (6, 14, "about 10 mk"), (1200, 3456, "1,200 to 3,460 mk")],
)  # fmt: skip
def test_a_span_of_money(low, high, said):
    assert say_span(low, high, "mk") == said


@pytest.mark.parametrize(
    ("pay", "said"), [(-38.7, "−39"), (-3.2, "−3"), (-0.1, "0"), (4.6, "4.5"), (9.8, "10"), (10.3, "10"), (1234.6, "1,235")]
)  # fmt: skip
def test_pay_is_said_to_the_whole_from_ten_on_and_to_the_half_below(pay, said):
    assert say_pay(pay) == said
    assert say_price(12345.67, "mk") == "12,345.67 mk"


@pytest.mark.parametrize(
    ("words", "terms"),
    [
        ("Open up first", ("open-first", None)),
        ("The fixed price.", ("fixed", None)),
        ("fixed price, but ask me", ("fixed price, but ask me", None)),
        ("ceiling 4,000 mk", ("ceiling", 4000.0)),
        ("A price with range (not over 2700)", ("ceiling", 2700.0)),
        ("a price with a range, not over 4,000 mk without asking", ("ceiling", 4000.0)),
        ("ceiling maybe", ("ceiling maybe", None)),
        ("not a fixed price", ("not a fixed price", None)),
    ],
)
def test_terms_are_read_from_the_words_for_them_and_other_words_stay(words, terms):
    assert terms_and_ceiling(words) == terms


def test_terms_are_asked_for_without_a_ceiling():
    with pytest.raises(UnreadableError) as refused_terms:
        read_terms("ceiling 4000")
    assert str(refused_terms.value) == (
        '"ceiling 4000" are no terms. Write fixed, ceiling or open-first; fixed price, a price with a range or open it '
        "up first will do too."
    )


def test_a_sign_that_is_part_of_the_shop_s_own_is_its_own():
    assert money_in("A$")("$ 40") == 40.0
