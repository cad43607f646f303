"""The empty workshop: whole or not at all, the same bytes each time; and the trade that both workshops share."""

import os
from pathlib import Path

import pytest

from estimator.demo.texts import demo_text
from estimator.log.columns import csv_headers
from estimator.log.files import write_all
from estimator.log.starter import starter_text, write_starter
from estimator.words.errors import UsageError
from estimator.words.records import NARROWEST
from estimator.words.settings.reader import parse_settings, read_settings

DATA = Path(__file__).resolve().parents[2] / "data" / "starter"
FILES = [
    "workshop.toml",
    "boards.csv",
    "hours.csv",
    "told.csv",
    "waits.csv",
    "weights.csv",
    "notes.csv",
    "money.csv",
]


def settings_of(which):
    read, problems = parse_settings({"starter": starter_text, "demo": demo_text}[which]())
    assert problems == ()
    return read


@pytest.fixture(params=["starter", "demo"])
def shop(request):
    return settings_of(request.param)


def test_the_committed_starter_is_what_new_writes(tmp_path):
    written = write_starter(tmp_path / "shop")

    assert [path.name for path in written] == FILES
    assert sorted(path.name for path in DATA.iterdir()) == sorted(FILES)
    for path in written:
        assert path.read_bytes() == (DATA / path.name).read_bytes()


def test_what_new_writes_is_read_without_a_problem(tmp_path):
    write_starter(tmp_path)

    assert read_settings(tmp_path) == parse_settings(starter_text())
    assert read_settings(tmp_path)[1] == ()
    for name, columns in csv_headers(settings_of("starter")).items():
        assert (tmp_path / name).read_bytes() == (",".join(columns) + "\n").encode()


def test_files_are_utf8_with_line_feeds():
    for path in DATA.iterdir():
        assert b"\r" not in path.read_bytes()
        assert path.read_text("utf-8").endswith("\n")


@pytest.mark.parametrize("there", ["a file in it", "a file in its place"])
def test_a_folder_that_is_not_empty_is_left_alone(tmp_path, there):
    folder = tmp_path / "shop"
    if there == "a file in it":
        folder.mkdir()
        (folder / "mine.txt").write_text("mine")
    else:
        folder.write_text("mine")
    with pytest.raises(UsageError) as caught:
        write_starter(folder)

    assert str(caught.value) == f"{folder} is not empty. Name a new folder, or an empty one."
    assert caught.value.exit_code == 2
    assert sorted(p.name for p in tmp_path.rglob("*")) == (
        ["mine.txt", "shop"] if folder.is_dir() else ["shop"]
    )


def test_a_folder_that_cannot_be_written(tmp_path):
    (tmp_path / "file").write_text("")
    folder = tmp_path / "file" / "shop"
    with pytest.raises(UsageError) as caught:
        write_starter(folder)

    assert str(caught.value) == f"{folder} cannot be written. Name a folder that you may write in."


@pytest.mark.parametrize("made", [False, True])
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_nothing_is_half_written(tmp_path, monkeypatch, made, step):
    folder = tmp_path / "shop"
    if made:
        folder.mkdir()
    whole, calls = getattr(os, step), []

    def full_disk(*args):
        calls.append(args)
        if len(calls) == 4:
            raise OSError(28, "No space left on device")
        return whole(*args)

    monkeypatch.setattr(os, step, full_disk)
    with pytest.raises(UsageError):
        write_starter(folder)

    assert folder.exists() == made
    assert list(tmp_path.rglob("*")) == ([folder] if made else [])


def test_files_that_were_there_are_again_what_they_were(tmp_path, monkeypatch):
    (tmp_path / "a.csv").write_bytes(b"old\r\n")
    (tmp_path / "a.csv").chmod(0o640)
    whole = os.replace

    def open_elsewhere(part, target):
        if Path(target).name == "b.csv":
            raise PermissionError(13, "open in another program")
        return whole(part, target)

    monkeypatch.setattr(os, "replace", open_elsewhere)
    with pytest.raises(OSError):
        write_all(tmp_path, {"a.csv": b"new\r\n", "new.csv": "new", "b.csv": b"new"})
    assert (tmp_path / "a.csv").read_bytes() == b"old\r\n"
    assert [path.name for path in tmp_path.iterdir()] == ["a.csv"]

    write_all(tmp_path, {"a.csv": b"new\r\n"})
    assert (tmp_path / "a.csv").read_bytes() == b"new\r\n"
    assert (tmp_path / "a.csv").stat().st_mode & 0o777 == 0o640


def test_both_workshops_share_the_trade():
    starter, demo = settings_of("starter"), settings_of("demo")

    assert (starter.drivers, starter.modifiers) == (demo.drivers, demo.modifiers)
    assert (starter.kinds, starter.stages) == (demo.kinds, demo.stages)
    assert (starter.workshop.name, demo.workshop.name) == ("My workshop", "Tarrish Sands Board Mending")


def test_words_of_the_trade(shop):
    assert list(shop.kinds) == ["minor", "partial", "major"]
    assert " ".join(shop.drivers) == (
        "face_area sides_stripped glass_stripped patches infills stringers blocks spray_colours logos pinlines "
        "fins_mended fin_boxes fins_made sides_coated coated_area gloss gloss_area"
    )
    assert " ".join(shop.stages) == (
        "assess clean strip drying infill stringer block reshape stain spray logos laminate fins filler sand "
        "pinlines gloss polish owner_change handover"
    )
    assert {name: m.stages for name, m in shop.modifiers.items()} == {
        "brittle_glass": ("strip",),
        "wetness": ("drying",),
        "masking": ("spray",),
    }
    assert shop.sometimes == ("stain", "owner_change")
    assert [s.name for s in shop.stages.values() if s.on == "rack"] == ["drying"]
    assert {name: d.times for name, d in shop.drivers.items() if d.source} == {
        "face_area": "",
        "glass_stripped": "sides_stripped",
        "coated_area": "sides_coated",
        "gloss_area": "gloss",
    }


def test_everything_has_a_label_of_its_own(shop):
    for part in (shop.drivers, shop.modifiers, shop.kinds, shop.stages):
        labels = [named.label for named in part.values()]
        assert all(labels)
        assert len(set(labels)) == len(labels)


def test_a_kind_says_what_is_usual_of_all_that_it_asks(shop):
    for kind in shop.kinds.values():
        assert kind.asks is not None
        assert list(kind.usual) == list(kind.asks)


def test_every_stage_but_the_first_comes_after_an_earlier_one(shop):
    order = list(shop.stages)
    for name in order[1:]:
        assert shop.stages[name].after
        assert all(order.index(earlier) < order.index(name) for earlier in shop.stages[name].after)


def test_day_one_has_a_rule_for_every_rate_factor_and_chance(shop):
    rates = {(r.stage, r.per) for r in shop.rules if r.form == "rate"}
    factors = {r.modifier for r in shop.rules if r.form == "factor"}
    chances = {
        r.chance: (r.share, r.worth) for r in shop.rules if r.form == "chance" and r.chance != "hidden work"
    }

    assert rates == {(stage.name, driver) for stage in shop.stages.values() for driver in stage.drivers}
    assert factors == set(shop.modifiers)
    assert set(chances) == set(shop.sometimes)
    assert {worth for _, worth in chances.values()} == {5.0}


def test_lent_rules_are_wide_marked_and_at_8_in_10():
    for rule in settings_of("starter").rules:
        assert rule.source == "starter"
        assert rule.text
        if rule.form in {"rate", "stage"}:
            assert rule.odds == 0.8
            assert 1.4**2 < rule.high / rule.low < 9  # times or over 1.4, or wider
            assert rule.spread > NARROWEST


# Hands-on hours by stage and size of board, low and high for one competent person.
# Common practice, no source.
USUAL_HOURS = {
    ("strip", "short", 2): (3.0, 7.0),
    ("strip", "long", 2): (5.0, 13.0),
    ("strip", "long", 1): (2.5, 6.5),
    ("reshape", "short", 2): (2.0, 4.5),
    ("reshape", "long", 2): (4.0, 8.0),
    ("laminate", "short", 1): (1.5, 2.7),
    ("laminate", "long", 2): (4.0, 7.0),
    ("filler", "long", 2): (1.8, 3.0),
    ("sand", "short", 2): (2.5, 5.5),
    ("sand", "long", 2): (4.5, 9.5),
    ("gloss", "long", 2): (2.0, 3.2),
    ("polish", "short", 2): (2.3, 5.0),
    ("polish", "long", 2): (4.0, 8.0),
}
FACE = {"short": 0.72, "long": 1.35}  # m2, of 6'2" × 19½" and 9'5" × 22½" boards


@pytest.mark.parametrize(("stage", "size", "sides"), USUAL_HOURS)
def test_lent_rates_come_to_the_usual_hours_of_a_stage(stage, size, sides):
    shop = settings_of("starter")
    area = sides * FACE[size]
    values = {"once": 1, "sides_stripped": sides, "sides_coated": sides, "gloss": sides, "patches": 0}
    values |= dict.fromkeys(("glass_stripped", "coated_area", "gloss_area"), area)
    middle = {(r.stage, r.per): (r.low * r.high) ** 0.5 for r in shop.rules if r.form == "rate"}
    hours = sum(middle[stage, driver] * values[driver] for driver in shop.stages[stage].drivers)
    low, high = USUAL_HOURS[stage, size, sides]

    # inside, not in the middle: lent rules are of other shops, and quicker or slower than any one
    assert low < hours < high


@pytest.mark.parametrize("colours", [1, 2, 3])
def test_lent_rates_know_that_a_colour_takes_two_to_three_days_and_the_next_a_couple_more(colours):
    # Common practice, no source: masking and spraying one colour takes two to three days of 6 to 7 hours, each
    # further colour a couple of days.
    rules = {r.name: r for r in settings_of("starter").rules}
    low, high = 2 * 6 + (colours - 1) * 2 * 5, 3 * 7 + (colours - 1) * 2 * 7
    once, rate, factor = (
        (r.low * r.high) ** 0.5
        for r in (rules["spray set-up"], rules["colour rate"], rules["fine masking slows"])
    )

    assert low < (once + colours * rate) * factor < high


OWN = {  # the invented restorer's rules: form, what it speaks of, low, high, odds
    "first colour": ("stage", "spray", 14, 22, 0.8),
    "each further colour": ("rate", "spray", 10, 16, 0.8),
    "strip a long board": ("stage", "strip", 5, 12, 0.8),
    "let in a piece": ("rate", "infill", 1.3, 2.2, 0.7),
    "glass a long board": ("stage", "laminate", 4, 6.5, 0.8),
    "redraw a logo": ("rate", "logos", 1.5, 3.5, 0.8),
    "new single fin": ("stage", "fins", 5, 10, 0.8),
    "long board in two colours": ("board", "", 72, 105, 0.8),
    "something nasty": ("chance", "hidden work", None, None, None),
    "start to ready": ("span", ("started", "ready"), 8 * 7, 19 * 7, 0.8),
    "drying when properly wet": ("wait", "drying", 5, 12, 0.9),
    "sanding a long board": ("stage", "sand", 3, 4.5, 0.8),
}


def test_the_invented_restorer_has_twelve_rules_of_his_own():
    own = [r for r in settings_of("demo").rules if r.own]

    assert {
        r.name: (r.form, r.stage or r.wait or r.span or r.chance, r.low, r.high, r.odds) for r in own
    } == OWN
    assert all(r.text for r in own)


def test_he_keeps_the_lent_rules_of_which_his_do_not_speak():
    lent = {r.name for r in settings_of("starter").rules}
    kept = {r.name for r in settings_of("demo").rules if not r.own}

    assert lent - kept == {"colour rate", "infill rate", "logo rate"}
    assert kept < lent


def test_his_days_away_are_two_weeks_each():
    away = settings_of("demo").bench.away

    assert len(away) == 10
    assert all((a.last - a.first).days == 13 and a.first.weekday() == 0 for a in away)
