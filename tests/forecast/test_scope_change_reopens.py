"""What is asked later of a finished stage undoes what came after it: its hours, materials and days, by hand."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from making.added import write_small
from making.fits import made_fit

from estimator.decide.weigh.promise_impact import added
from estimator.forecast.scope_change import asked_since, draw_more, opened_again, with_redone
from estimator.model.saved_fit import KnownBoard
from estimator.said.added import added_parts
from estimator.shop import Shop
from estimator.words.records import ON_BENCH
from estimator.words.settings.reader import read_settings
from estimator.words.settings.schema import Driver, Settings, Stage

SETTINGS = Settings(
    drivers={"colours": Driver("colours"), "lines": Driver("lines"), "area": Driver("area", unit="m2")},
    stages={
        "spray": Stage("spray", drivers=("once", "colours"), reopens={"sand": 0.3, "gloss": 1.0}),
        "sand": Stage("sand", drivers=("area",), after=("spray",)),
        "lines": Stage("lines", drivers=("lines",), after=("sand",), reopens={"sand": 0.1, "gloss": 0.5}),
        "gloss": Stage("gloss", drivers=("once", "area"), after=("lines",)),
    },
)
RATES = {
    ("spray", "once"): 1.0,
    ("spray", "colours"): 3.0,
    ("sand", "area"): 2.0,
    ("lines", "lines"): 1.5,
    ("gloss", "once"): 0.5,
    ("gloss", "area"): 1.0,
}
FIT = made_fit(SETTINGS, RATES, {}, loading=0.0, noise=1e-9)
N = 400
GLOSSED = KnownBoard(
    "26-014",
    "sand nine-ten",
    state=ON_BENCH,
    assessed={"colours": 1.0, "lines": 0.0, "area": 2.5},
    booked=(("spray", 4.0, True), ("sand", 5.0, True), ("gloss", 3.0, True)),
)


def more(board=GLOSSED, settings=SETTINGS, **asked):
    then, _ = asked_since(board, asked, settings)
    return draw_more(FIT, board, then, settings, n_draws=N)


def test_one_colour_more_on_a_glossed_board_is_sanded_and_glossed_again():
    """3 of spraying, .3 of 5 of sanding, all of 3 of glossing."""
    said = more(colours=1)

    assert said.on("spray") == pytest.approx(np.full(N, 3.0))
    assert said.on("sand") == pytest.approx(np.full(N, 1.5))
    assert said.on("gloss") == pytest.approx(np.full(N, 3.0))
    assert said.hours == pytest.approx(np.full(N, 7.5))


def test_what_was_never_done_before_undoes_as_much():
    """A line on a board without: 1.5, .1 of the sanding, half of the gloss."""
    assert more(lines=1).hours == pytest.approx(np.full(N, 1.5 + 0.5 + 1.5))


def test_of_two_that_undo_the_same_stage_the_one_that_undoes_most_counts():
    assert more(lines=1, colours=1).hours == pytest.approx(np.full(N, 3 + 1.5 + 1.5 + 3))


def test_what_is_undone_is_what_was_done_and_what_comes_on_top_is_done_once():
    """A square metre more: 2 of sanding beside .3 of the 5 that were done, 1 of glossing beside the 3."""
    said = more(colours=1, area=1)

    assert said.on("sand") == pytest.approx(np.full(N, 2 + 1.5))
    assert said.on("gloss") == pytest.approx(np.full(N, 1 + 3.0))


def test_what_is_not_finished_is_undone_by_nothing():
    begun = replace(GLOSSED, booked=(("spray", 4.0, True), ("sand", 2.0, False)))

    assert more(begun, colours=1).hours == pytest.approx(np.full(N, 3.0))
    assert opened_again(begun, asked_since(begun, {"colours": 1}, SETTINGS)[0], SETTINGS) == {}
    assert more(replace(GLOSSED, state="waiting", booked=()), colours=1).hours == pytest.approx(
        np.full(N, 3.0)
    )
    less, _ = asked_since(replace(begun, assessed={**begun.assessed, "area": 3.0}), {"area": -1}, SETTINGS)
    assert opened_again(begun, less, SETTINGS) == {}


def test_without_the_setting_nothing_is_undone():
    stages = {name: replace(stage, reopens={}) for name, stage in SETTINGS.stages.items()}

    assert more(settings=replace(SETTINGS, stages=stages), colours=1).hours == pytest.approx(np.full(N, 3.0))


def test_what_was_asked_for_before_undoes_nothing_anew():
    """A colour that was asked for earlier is in the gloss already: a line opens .1 of the sanding, half of the gloss."""
    before = replace(GLOSSED, later={"colours": 1.0})
    then, _ = asked_since(before, {"lines": 1}, SETTINGS)
    assert opened_again(before, then, SETTINGS) == {"sand": 0.1, "gloss": 0.5}

    two, _ = asked_since(before, {"colours": 1}, SETTINGS)
    assert opened_again(before, two, SETTINGS) == {"sand": 0.3, "gloss": 1.0}


def test_materials_and_price_hold_what_is_done_again():
    """One colour more; and the area once more, for the gloss: the largest share of those of its stages."""
    said = more(colours=1)
    values = with_redone(said.after, said.before, SETTINGS).values
    assert (values["colours"], values["area"]) == (2.0, 5.0)

    settings = replace(SETTINGS, workshop=replace(SETTINGS.workshop, target_pay=40.0))
    then, grown = asked_since(GLOSSED, {"colours": 1}, settings)
    told = added(FIT, GLOSSED, then, grown, settings)
    assert [(one.stage, one.share) for one in told.reopened] == [("sand", 0.3), ("gloss", 1.0)]
    assert told.reopened[1].hours.likely == pytest.approx(3.0)
    assert told.price.for_target == pytest.approx(40 * 7.5 + told.materials.high, rel=0.05)
    assert told.finished == ("spray",)
    assert told.as_dict()["reopened"][0]["stage"] == "sand"


SHOP = """
[workshop]
currency = "mk"
target_pay = 42
[drivers.area]
[drivers.colours]
[stages.spray]
label = "Mask and spray"
drivers = ["once", "colours"]
reopens = {sand = 0.3, gloss = 1.0}
[stages.sand]
label = "Sand"
drivers = ["area"]
after = ["spray"]
[stages.gloss]
label = "Gloss coat"
drivers = ["area"]
after = ["sand"]
wait_days = {low = 6, high = 8}
[stages.polish]
label = "Polish"
after = ["gloss"]
"""
HOURS = """\
board,date,stage,hours
26-001,2026-03-03,spray,4
26-001,2026-03-04,sand,3
26-001,2026-03-05,gloss,3
26-001,2026-03-20,polish,2
26-002,2026-04-03,spray,4
26-002,2026-04-06,sand,4
26-002,2026-04-07,gloss,4
26-002,2026-04-20,polish,2
26-003,2026-05-04,spray,6
26-003,2026-05-05,sand,4
26-003,2026-05-06,gloss,4
26-003,2026-05-18,polish,0.5
"""


def lent(tmp_path, reopens):
    folder = write_small(tmp_path)
    (folder / "workshop.toml").write_text(
        SHOP if reopens else SHOP.replace("reopens = {sand = 0.3, gloss = 1.0}\n", ""), "utf-8"
    )
    boards = (folder / "boards.csv").read_text("utf-8")
    boards = (
        boards.replace(",140,21", ",140,")
        .replace(",110,13", ",110,")
        .replace("2026-05-02,,waiting", "2026-05-02,,")
    )
    (folder / "boards.csv").write_text(boards, "utf-8")
    (folder / "hours.csv").write_text(HOURS, "utf-8")
    return Shop.open(folder, today=dt.date(2026, 5, 20))


def test_it_is_named_with_its_hours_price_and_days_before_it_is_agreed(tmp_path):
    (tmp_path / "with").mkdir()
    (tmp_path / "without").mkdir()
    shop = lent(tmp_path / "with", reopens=True)
    said = shop.asked_since("26-003", {"colours": 1})
    plain = lent(tmp_path / "without", reopens=False).asked_since("26-003", {"colours": 1})
    text = " ".join(str(part) for part in added_parts(said, shop.settings, "26-003", "red fish"))

    assert said.hours.likely - plain.hours.likely == pytest.approx(
        sum(one.hours.likely for one in said.reopened), rel=0.2
    )
    assert said.price.for_target > plain.price.for_target + 100
    # the gloss stands for its six to eight days again
    assert said.ready.later.likely - plain.ready.later.likely >= 6
    assert "It undoes what is finished, and this is done again: Sand (" in text
    assert "; Gloss coat (all of it), " in text
    assert "Mask and spray is finished in your log." in text


@pytest.mark.parametrize(
    ("reopens", "wrong"),
    [
        ("{sant = 0.3}", "the nearest name known here is sand"),
        ("{spray = 0.3}", "no such other stage"),
        ("{sand = 1.5}", "from 0 to 1"),
        ("0.3", "reopens = {sand = 0.3, gloss = 1.0}"),
    ],
)
def test_a_slip_in_it_is_a_problem(tmp_path, reopens, wrong):
    (tmp_path / "workshop.toml").write_text(SHOP.replace("{sand = 0.3, gloss = 1.0}", reopens), "utf-8")
    _, problems = read_settings(tmp_path)

    assert len(problems) == 1
    assert "reopens" in problems[0].where
    assert wrong.casefold() in str(problems[0]).casefold()


def test_what_is_finished_keeps_its_hours_where_less_is_wanted():
    """A square metre less: the sanding is done, and an hour of the gloss to come is spared."""
    sanded = replace(GLOSSED, booked=GLOSSED.booked[:2])
    said = more(sanded, area=-1)

    assert said.on("sand").tolist() == [0.0] * N
    assert said.on("gloss") == pytest.approx(np.full(N, -1.0))
