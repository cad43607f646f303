"""Looked at from an earlier day a shop does not know the rules of thumb that were said since: in verdicts and dates."""

import datetime as dt

import pytest
from making.folders import BOARDS, SETTINGS, folder

from estimator.shop import Shop

SAID = dt.date(2026, 6, 2)
BEFORE, ON = SAID - dt.timedelta(days=1), SAID
DAYS = f'[[rules]]\nname = "slow to cure"\nabout = "days"\nwait = "gloss"\nlow = 40\nhigh = 60\nodds = 0.9\nsaid = {SAID}\n'
STRIP = (
    '[[rules]]\nname = "strip of any board"\nstage = "strip"\nlow = 20\nhigh = 30\nodds = 0.9\n'
    f"said = {SAID}\n"
)
DONE = BOARDS + "26-000,old grey,2026-04-01,2026-04-02,,,2\n"
HOURS = """\
board,date,stage,hours,done
26-000,2026-04-03,strip,7,yes
26-000,2026-04-09,gloss,2,yes
26-001,2026-05-26,strip,5,yes
shop,2026-05-29,,1,
"""


def shop(path, today, more=""):
    return Shop.open(folder(path, SETTINGS + more, boards=DONE, hours=HOURS), today=today)


@pytest.mark.parametrize("more", [DAYS, STRIP], ids=["days", "hours"])
def test_dates_of_the_morning_do_not_know_it(tmp_path, more):
    ready = {
        name: [p.ready for p in shop(tmp_path / name, day, some).bench().promises]
        for name, day, some in (("plain", BEFORE, ""), ("since", BEFORE, more), ("said", ON, more))
    }
    assert ready["since"] == ready["plain"]
    assert any(late.high > early.high for late, early in zip(ready["said"], ready["plain"], strict=True))


@pytest.mark.parametrize("more", [DAYS, STRIP], ids=["days", "hours"])
def test_verdicts_neither_judge_nor_hear_it(tmp_path, more):
    plain, since, said = (
        shop(tmp_path / name, day, some).rules().rules
        for name, day, some in (("plain", BEFORE, ""), ("since", BEFORE, more), ("said", ON, more))
    )
    assert since == plain
    assert len(said) == len(plain) + 1
