"""Verdicts on rules of thumb in words: what each says, beside what is kept, and of which there are too few boards."""

import pytest
from making.verdicts import verdict

from estimator.record.rules.verdicts import SharedError, Verdicts
from estimator.said.parts import Action, Heading, Table
from estimator.said.rules import (
    accepted_parts,
    lent_words,
    past_words,
    rule_parts,
    shared_words,
    side_words,
    suggested_words,
    summary_words,
    verdict_words,
)

CHANCE = {"form": "chance", "share": 0.25, "low": None, "high": None, "odds": None}


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"verdict": "too low", "above": 14, "below": 1}, "14 of 15 took longer."),
        ({"verdict": "too high", "above": 1, "below": 12}, "12 of 15 took less."),
        ({"verdict": "too sure", "above": 5, "below": 4}, "4 of 15 took less, and 5 took longer."),
        ({**CHANCE, "verdict": "too low", "inside": 9}, "It happened on 9 of 15 boards."),
    ],
)
def test_how_many_missed_and_which_way(more, words):
    assert side_words(verdict(**more)) == words


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"lent": True, "verdict": "holds", "looks": "low"}, "your boards take longer"),
        ({"lent": True, "verdict": "holds", "looks": "high"}, "your boards take less"),
        ({"lent": True, "verdict": "holds", "looks": "narrow"}, "your boards spread more"),
        ({"lent": True, **CHANCE, "looks": "low"}, "it happens more here"),
        ({"lent": True, **CHANCE, "looks": "high"}, "it happens less here"),
        ({"verdict": "holds", "looks": "low"}, "holds, but misses lie above"),
        ({"verdict": "holds", "looks": "high"}, "holds, but misses lie below"),
        ({"verdict": "holds"}, "holds"),
        ({"verdict": "not enough boards"}, "not enough boards"),
    ],
)
def test_a_verdict_in_a_few_words(more, words):
    assert verdict_words(verdict(**more)) == words


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"of": 0}, "No past board tells of it yet."),
        ({**CHANCE, "verdict": "holds", "inside": 4}, "You say 5 in 20. It happened on 4 of 15 boards."),
        ({}, "14 of 15 took longer. By your log it is 5½ to 8½ hours, 8 times in 10."),
        ({"verdict": "holds", "inside": 12, "above": 2, "below": 1}, "12 of 15 boards within, 1 took less and 2 took more."),
        ({"verdict": "holds", "inside": 15, "above": 0}, "15 of 15 boards within."),
        ({"verdict": "holds", "inside": 13, "above": 0, "below": 2}, "13 of 15 boards within, 2 took less."),
        ({"verdict": "not enough boards", "of": 1, "inside": 1, "above": 0, "would_do": 8}, "1 of 1 board within. If they go as you said, 8 in all would do."),
        ({"verdict": "not enough boards", "of": 1, "inside": 1, "above": 0}, "1 of 1 board within."),
        ({"verdict": "holds", "inside": 15, "above": 0, "would_do": 8}, "15 of 15 boards within."),
    ],
)  # fmt: skip
def test_how_past_boards_fell(more, words):
    assert past_words(verdict(**more)) == words


def test_what_is_kept_is_not_suggested_again_and_said_beside():
    kept = verdict(accepted=(5.3, 8.6))
    assert suggested_words(kept) == ""
    assert past_words(kept).endswith(f"Kept beside your words: {kept.said(5.3, 8.6)}.")
    assert suggested_words(verdict(accepted=(4.0, 5.0))).startswith("By your log it is ")
    assert suggested_words(verdict(suggested=None)) == suggested_words(verdict(odds=None)) == ""


def test_verdicts_are_counted():
    own = [
        verdict(),
        verdict(verdict="holds"),
        verdict(verdict="holds"),
        verdict(verdict="not enough boards"),
    ]
    assert summary_words(own) == "4 rules of thumb: too low 1, holds 2, not enough boards 1."
    assert summary_words([]) == "None of the rules of thumb is your own yet."
    assert (
        lent_words([verdict(of=0), verdict()])
        == "Beside these, 2 rules of thumb are lent, not yet yours; your boards tell of 1."
    )
    assert (
        lent_words([verdict(of=0)])
        == "Beside these, 1 rule of thumb is lent, not yet yours; your boards tell of 0."
    )
    assert lent_words([]) == ""


@pytest.mark.parametrize(
    ("shared", "words"),
    [
        ((0.182, 1.0, 0.95, 0.5), "run a fifth low."),
        ((-0.25, 1.0, 0.05, 0.5), "run a fifth high."),
        ((0.0, 1.6, 0.5, 0.97), "would be about right 1.6 times as wide."),
        ((0.0, 0.7, 0.5, 0.03), "are wider than they need to be."),
        ((2.0, 0.7, 0.97, 0.03), "run three quarters low, and are wider than they need to be."),
        ((0.182, 1.6, 0.7, 0.7), ""),
    ],
)
def test_the_error_that_rules_share(shared, words):
    assert shared_words(SharedError(*shared)) == (
        f"Taken all together, your rules of thumb {words}" if words else ""
    )
    assert shared_words(None) == ""


def told(*rules, shared=None):
    return rule_parts(Verdicts(rules, shared))


def heads(parts):
    return [part.text for part in parts if isinstance(part, Heading)]


def test_own_rules_come_first_the_wrong_ones_with_how_to_keep_what_the_log_says():
    few = verdict(name="few", verdict="not enough boards", of=2, would_do=9)
    none = verdict(name="none", verdict="not enough boards", of=0)
    kept = verdict(name="kept", verdict="holds", accepted=(4.0, 5.0))
    lent = verdict(name="lent", lent=True, verdict="holds")
    unseen = verdict(name="unseen", lent=True, of=0, verdict="not enough boards")
    parts = told(verdict(), few, none, kept, lent, unseen, shared=SharedError(0.182, 1.0, 0.95, 0.5))

    assert heads(parts) == [
        "Your rules of thumb, and how past boards went", "sanding: too low", "Not enough boards", "Kept beside your words", "All together",
        "Lent rules of thumb, not yet yours",
    ]  # fmt: skip
    at = parts.index(Heading("Not enough boards"))
    assert parts[at + 1 : at + 3] == [
        "few: 2 boards so far; if they go as you said, 9 in all would do.",
        "none: no boards so far.",
    ]
    assert Action("accept", fields={"rule": "sanding"}) in parts
    assert parts[-1] == "On 1 lent rule of thumb your boards say nothing yet."
    own, other = [part for part in parts if isinstance(part, Table)]
    assert [row[0] for row in own.rows] == ["sanding", "few", "none", "kept"]
    assert own.rows[0][2:5] == ("1 of 15", "0", "14")
    assert [row[0] for row in other.rows] == ["lent"]
    assert heads(told(lent)) == ["Lent rules of thumb, not yet yours"]
    assert told(lent)[0] == "None of the rules of thumb is your own yet."
    assert told() == ["There is no rule of thumb in workshop.toml."]
    chance = told(verdict(**CHANCE, verdict="holds", inside=4))
    assert next(part for part in chance if isinstance(part, Table)).rows[0][2:5] == ("4 of 15", "", "")


def test_what_is_wrong_and_has_nothing_to_suggest_is_said_without_a_way():
    parts = told(verdict(suggested=None))
    assert not [part for part in parts if isinstance(part, Action)]
    assert "14 of 15 took longer." in parts
    assert "You said: “Sanding takes 3 to 4½ hours”." in parts


def test_what_was_kept_beside_a_rule_is_what_the_log_suggests_now():
    """Fifteen cases, of which one was within; a range of 4 to 5 hours was kept before."""
    assert accepted_parts(verdict(accepted=(4.0, 5.0)))[0] == (
        "Kept beside sanding, in workshop.toml: 5½ to 8½ hours, from 15 past cases."
    )


def test_a_verdict_on_what_happens_says_which_way_it_looks():
    held = verdict_words(verdict(**CHANCE, verdict="holds", looks="low"))
    assert held.startswith("holds, ")
    assert held != verdict_words(verdict(**CHANCE, verdict="holds", looks="high"))


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({**CHANCE, "verdict": "holds", "looks": "low"}, "holds, but it looks low"),
        ({"verdict": "not enough boards", "looks": "low"}, "not enough boards, but it looks low"),
        ({"verdict": "not enough boards", "looks": "high"}, "not enough boards, but it looks high"),
        ({"lent": True, "verdict": "not enough boards"}, "not enough boards"),
    ],
)
def test_misses_lie_to_a_side_of_a_range_that_holds_and_of_no_other_rule(more, words):
    assert verdict_words(verdict(**more)) == words
