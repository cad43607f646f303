import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from estimator.words.errors import UnreadableError
from estimator.words.odds import as_said, read_odds, say_chance, say_odds, short_chance, short_odds, z_of

IN_WORDS = {"fewer than 1 in 20", "1 time in 10", "about even (5 in 10)", "19 in 20"} | {f"{n} times in 10" for n in (2, 3, 4, 6, 7, 8, 9)}  # fmt: skip


@pytest.mark.parametrize(
    "value",
    [0.8, "0.8", "0,8", "8/10", "4/5", "8 in 10", "8 of 10", "8 out of 10", "8 times in 10", "80 %", "80%", "80 per cent", "80 percent", "16 in 20"],
)  # fmt: skip
def test_eight_in_ten_in_every_spelling(value):
    assert read_odds(value) == 0.8


@pytest.mark.parametrize(
    ("value", "odds"),
    [
        ("19 in 20", 0.95),
        ("9.5 in 10", 0.95),
        ("5/10", 0.5),
        ("95 %", 0.95),
        (0.5, 0.5),
        ("about even (5 in 10)", 0.5),
    ],
)
def test_odds(value, odds):
    assert read_odds(value) == odds


@pytest.mark.parametrize(
    ("value", "wrong"),
    [
        ("4/10", '"4/10" is a range that misses more often than it holds'),
        (0.49, '"0.49" is a range that misses more often than it holds'),
        ("99/100", '"99/100" is surer than any log of past boards can make a range'),
        ("10/10", '"10/10" is not between never and always'),
        ("0", '"0" is not between never and always'),
        (80, '"80" is not between never and always'),
        ("-0.8", '"-0.8" is not between never and always'),
        ("8/0", '"8/0" does not say how many times in ten'),
        ("often", '"often" does not say how many times in ten'),
        (True, "that is a yes or no"),
    ],
)
def test_what_is_wrong_is_said(value, wrong):
    with pytest.raises(UnreadableError) as error:
        read_odds(value)
    assert error.value.wrong == wrong


@given(st.integers(50, 95))
def test_odds_are_read_back(hundredths):
    for text in (
        f"{hundredths}/100",
        f"{hundredths} in 100",
        f"{hundredths} %",
        f"0.{hundredths}",
        f"0,{hundredths}",
    ):
        assert read_odds(text) == hundredths / 100


@pytest.mark.parametrize(
    ("odds", "z"), [(0.5, 0.6745), (0.8, 1.2816), (0.9, 1.6449), (0.95, 1.9600), (0.99, 2.5758)]
)
def test_z_is_that_of_the_tables(odds, z):
    # any table of the standard normal law, e.g. NIST/SEMATECH e-Handbook 1.3.6.7.1 (from memory)
    assert z_of(odds) == pytest.approx(z, abs=5e-5)


@given(st.floats(0.01, 0.999))
def test_z_agrees_with_a_library_of_statistics(odds):
    assert z_of(odds) == pytest.approx(norm.ppf((1 + odds) / 2), rel=1e-9)


def test_z_of_certainty_is_our_mistake():
    for odds in (0.0, 1.0, -1, 2):
        with pytest.raises(ValueError, match="between 0 and 1"):
            z_of(odds)


@pytest.mark.parametrize(
    ("odds", "said"),
    [(0.5, "about even (5 in 10)"), (0.6, "6 times in 10"), (0.7, "7 times in 10"), (0.8, "8 times in 10"), (0.9, "9 times in 10"), (0.95, "19 in 20"), (0.75, "7 times in 10"), (0.92, "9 times in 10"), (0.93, "19 in 20"), (0.99, "19 in 20")],
)  # fmt: skip
def test_odds_in_words(odds, said):
    assert say_odds(odds) == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [(0.0, "fewer than 1 in 20"), (0.049, "fewer than 1 in 20"), (0.05, "1 time in 10"), (0.1, "1 time in 10"), (0.31, "3 times in 10"), (0.44, "4 times in 10"), (0.46, "about even (5 in 10)"), (0.7, "7 times in 10"), (0.97, "19 in 20"), (1.0, "19 in 20")],
)  # fmt: skip
def test_chances_in_words(chance, said):
    assert say_chance(chance) == said


@given(st.floats(0, 1))
def test_no_chance_is_never_or_certain_or_an_adjective(chance):
    assert say_chance(chance) in IN_WORDS


@given(st.floats(0.5, 0.99))
def test_the_words_are_within_a_twentieth_of_the_odds_and_are_odds(odds):
    assert read_odds(say_odds(odds)) == pytest.approx(odds, abs=0.05 + 1e-9)


def test_what_is_no_chance_is_our_mistake():
    for chance in (-0.1, 1.1, float("nan")):
        with pytest.raises(ValueError, match="no chance"):
            say_chance(chance)


@pytest.mark.parametrize(
    ("chance", "named", "short"),
    [
        (0.049, 0.0, "fewer than 1 in 20"),
        (0.05, 0.1, "1 in 10"),
        (0.25, 0.2, "2 in 10"),
        (0.52, 0.5, "5 in 10"),
        (0.99, 0.95, "19 in 20"),
    ],
)
def test_a_chance_in_a_column_and_the_number_that_its_words_name(chance, named, short):
    assert (as_said(chance), short_chance(chance)) == (named, short)
    assert chance < 0.05 or short_odds(chance) == short
