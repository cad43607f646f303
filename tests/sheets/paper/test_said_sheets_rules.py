from making.promises import TODAY
from making.read_pdf import read
from making.sheets import CHANCE, FEW, HOLDS, LENT, SETTINGS, VERDICTS
from making.verdicts import verdict

from estimator.record.rules.verdicts import Verdicts
from estimator.said.rules import NONE_OWN
from estimator.sheets.paper.said_sheets import rules_sheet
from estimator.sheets.paper.typesetting import pdf


def sheet(*verdicts):
    return rules_sheet(Verdicts(verdicts, None), SETTINGS, today=TODAY)


def test_each_own_rule_stands_there_in_the_restorer_s_words_with_its_verdict_and_a_line():
    words = read(pdf("rules", rules_sheet(VERDICTS, SETTINGS, today=TODAY), TODAY)).words
    parts = (
        "4 rules of thumb: too low 1, holds 2, not enough boards 1.",
        "“Sanding takes 3 to 4½ hours”",
        "Too low. 14 of 15 took longer. By your log it is 5½ to 8½ hours, 8 times in 10.",
        "You say 3 to 4½ h; your log 5½ to 8½ hours. 15 past boards on the tape.",
        "“Gloss, 1 to 2”",
        "Holds. 12 of 15 boards within, 1 took less and 2 took more.",
        "“blocks”",
        "Not enough boards. 2 of 2 boards within. If they go as you said, 9 in all would do.",
        "“Something nasty”",
        "Holds. You say 4 in 10. It happened on 12 of 30 boards.",
        "Taken all together, your rules of thumb run a fifth low, and would be about right 1.6 times as wide.",
        "called wrong in fewer than 1 workshop in 10. That is so even where the boards of a quarter share some of their luck, but not where those of a whole year do.",
        "Beside these, 1 rule of thumb is lent, not yet yours; your boards tell of 1.",
    )
    places = [words.index(part) for part in parts]

    assert places == sorted(places)


def test_only_rules_on_a_range_have_a_tape():
    assert [rule["figure"] is None for rule in sheet(verdict(), HOLDS, CHANCE)["rules"]] == [
        False,
        False,
        True,
    ]


def test_lent_rules_have_no_line_of_their_own():
    data = sheet(LENT)

    assert data["rules"] == []
    assert data["summary"] == NONE_OWN
    assert data["shared"] == ""


def test_a_rule_without_cases_and_one_with_a_range_kept_beside_it():
    none, kept = sheet(verdict(of=0, cases=(), log=None), verdict(accepted=(5.3, 8.6)))["rules"]

    assert none["line"] == "No past board tells of it yet."
    assert none["figure"]["says"] == "You say 3 to 4½ h."
    assert kept["figure"]["says"].endswith(" 15 past boards on the tape.")
    assert kept["line"].endswith("Kept beside your words: 5½ to 8½ hours.")
    assert sheet(FEW)["rules"][0]["verdict"] == "Not enough boards."
