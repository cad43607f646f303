"""What is done again: apart from the stage's usual hours, in the whole, under its own name; its wait runs again."""

import datetime as dt

import pytest
from making.added import write_small

from estimator.log.stage_hours import stage_hours
from estimator.model.quantities import whole_hours
from estimator.shop import Shop
from estimator.words.settings.schema import Settings, Stage

STAGES = {
    "spray": Stage("spray"),
    "sand": Stage("sand", after=("spray",)),
    "gloss": Stage("gloss", after=("sand",)),
    "redo": Stage("redo", happens="sometimes"),
}
SETTINGS = """
[workshop]
currency = "mk"
target_pay = 42
[drivers.area]
[stages.spray]
label = "Mask and spray"
drivers = ["area"]
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
BOARDS = (
    "board,called,accepted,ready,state,assessed_area,found_area,guess,price_charged,materials\n"
    + "".join(
        f"26-{i:03},,2026-0{1 + i // 4}-02,2026-0{1 + i // 4}-28,finished,{1 + i % 3},{1 + i % 3},{8 + 3 * (i % 3)},900,40\n"
        for i in range(10)
    )
    + "26-020,red fish,2026-05-02,,,2,,12,,\n"
)


def hours(again=("", "", "", "")):
    """Ten boards: a square metre is 2 of spraying, 1 of sanding, 1 of gloss, then 1 to polish; two were done again."""
    rows = ["board,date,stage,hours,done,again"]
    for i in range(10):
        month, area = 1 + i // 4, 1 + i % 3
        rows += [
            f"26-{i:03},2026-0{month}-03,spray,{2 * area},,",
            f"26-{i:03},2026-0{month}-05,sand,{area},,",
            f"26-{i:03},2026-0{month}-06,gloss,{area},,",
            f"26-{i:03},2026-0{month}-20,polish,1,,",
        ]
    rows += [
        f"26-003,2026-01-22,sand,2.5,,{again[0]}",
        f"26-007,2026-02-22,spray,3.25,,{again[1]}",
        "26-020,2026-05-04,spray,4,,",
        "26-020,2026-05-05,sand,2,,",
        "26-020,2026-05-06,gloss,2,,",
    ]
    return rows


def opened(folder, rows, settings=SETTINGS, today=dt.date(2026, 5, 26)):
    write_small(folder)
    (folder / "workshop.toml").write_text(settings, "utf-8")
    (folder / "boards.csv").write_text(BOARDS, "utf-8")
    (folder / "hours.csv").write_text("\n".join(rows) + "\n", "utf-8")
    return Shop.open(folder, today=today)


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return opened(tmp_path_factory.mktemp("again"), hours(("sand-through", "paint")))


def test_such_hours_are_apart_from_the_stages_usual_hours_and_in_the_whole(shop):
    """Of a metre 2 + 1 + 1 + 1 are 5 hours; 2.5 came on top for a sand-through."""
    log = shop.log
    worked = stage_hours(log.entries, log.by_id, shop.settings.stages)["26-003"]

    assert {has.stage: has.hours for has in worked} == {
        "spray": 2.0,
        "sand": 1.0,
        "gloss": 1.0,
        "polish": 1.0,
        "redo": 2.5,
    }
    assert whole_hours(log.by_id["26-003"], worked, shop.settings) == 7.5
    assert shop.problems == ()
    (row,) = [row for row in shop.hours.to_dict("records") if row["again"] == "sand-through"]
    assert (row["stage"], row["hours"]) == ("sand", 2.5)


def test_they_teach_how_often_and_how_long(shop):
    """One in ten worth five boards, and two of ten finished boards: 2.5 to 12.5."""
    fit = shop.fit()

    assert fit.chances["redo"] == pytest.approx((0.1 * 5 + 2, 0.9 * 5 + 8))
    assert 2.0 < fit.mean_rates["redo", "once"] < 4.0
    # so a board not begun is told to be done again now and then
    said = shop.range({"area": 2})
    (redo,) = [stage for stage in said.stages if stage.stage == "redo"]
    assert redo.low == 0


def test_they_stand_in_overruns_under_their_own_name(shop):
    boards = {one.board: one for one in shop.overruns().boards}

    assert "redo" in boards["26-003"].stage_hours
    assert boards["26-003"].took == 7.5
    assert shop.settings.label("redo") == "Do it again"


def test_the_stages_own_rate_is_not_touched(shop, tmp_path):
    plain = opened(tmp_path, [row for row in hours() if ",2.5," not in row and ",3.25," not in row])

    for part in (("sand", "area"), ("spray", "area")):
        assert shop.fit().mean_rates[part] == pytest.approx(plain.fit().mean_rates[part], rel=0.1)
    assert "redo" not in plain.settings.stages  # nothing changes for a log without


def test_what_is_done_again_was_done(tmp_path):
    """Nothing says that the gloss was finished but that it was done again."""
    day = dt.date(2026, 5, 16)
    for name, rows in (("a", []), ("b", ["26-020,2026-05-15,gloss,2,,resin"])):
        (tmp_path / name).mkdir()
        log = opened(tmp_path / name, [*hours(("", "")), *rows], today=day).log
        worked = stage_hours(log.entries, log.by_id, Settings(stages=STAGES).stages)["26-020"]
        assert [has.done for has in worked if has.stage == "gloss"] == [name == "b"]


def test_the_wait_of_what_was_done_again_runs_again(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    day = dt.date(2026, 5, 16)
    polished = "26-020,2026-05-14,polish,0.5,no,"
    rows = [*hours(("resin", "me")), polished, "26-020,2026-05-15,gloss,2,,resin"]
    again = opened(tmp_path / "a", rows, today=day)
    plain = opened(tmp_path / "b", rows[:-1], today=day)

    days = [shop.promise("26-020").ready.likely for shop in (again, plain)]
    assert (days[0] - days[1]).days >= 5  # of the six to eight that gloss stands


def test_shops_with_a_stage_of_their_own_keep_it(tmp_path):
    settings = SETTINGS + '[stages.redo]\nlabel = "Twice"\nafter = ["spray"]\nhappens = "sometimes"\n'
    rows = [*hours(("yes", "owner")), "26-008,2026-03-22,redo,1,,"]
    shop = opened(tmp_path, rows, settings)

    assert [(e.board, e.again, e.of) for e in shop.log.entries if e.stage == "redo"] == [
        ("26-003", "yes", "sand"),
        ("26-007", "owner", "spray"),
        ("26-008", "yes", ""),
    ]
    assert shop.settings.label("redo") == "Twice"


def test_a_word_that_says_nothing_is_a_problem(tmp_path):
    shop = opened(tmp_path, hours(("sandthrough it", "paint")))

    assert [(one.found, one.wrong) for one in shop.problems] == [
        ("sandthrough it", "that is not one of the words known here")
    ]


def test_no_stage_is_added_twice():
    one = Settings(stages={"sand": Stage("sand")}).with_redo()

    assert one.with_redo() == one
    assert [rule.stage for rule in one.rules] == ["redo"]
