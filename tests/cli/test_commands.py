import json
import math
import re
import shutil

import pytest
from making.folders import BOARDS, TODAY, folder

from estimator.cli.commands import cli
from estimator.cli.range import asked_of, read_pair
from estimator.demo.workshop import demo_settings
from estimator.shop import Shop
from estimator.words.errors import UsageError

STATISTICS = re.compile(
    r"%|percent|confidence|quantile|median|posterior|prior|interval|deviation|variance|invalid",
    re.IGNORECASE,
)
FRACTIONS = re.compile(r"[0-9]\.[0-9]")
METRIC = re.compile(r"\([0-9.]+ c?m\)|[0-9.]+ m²")  # lengths and areas have their decimals

MAJOR = ("-q", "kind=major", "-q", "length=9-6", "-q", "spray_colours=2")


@pytest.fixture(scope="module")
def in_line(demo_folder):
    """A board that isn't begun, with a guess."""
    return Shop.open(demo_folder).log.by_id["26-900"]


def broken(demo_folder, tmp_path):
    """The invented workshop with one entry whose hours cannot be read."""
    folder = tmp_path / "shop"
    shutil.copytree(demo_folder, folder, ignore=shutil.ignore_patterns(".estimator", "reports"))
    text = (folder / "hours.csv").read_text("utf-8")
    first, _, rest = text.partition("\n")
    line, _, rest = rest.partition("\n")
    cells = line.split(",")
    cells[first.split(",").index("hours")] = "2;5O"
    (folder / "hours.csv").write_text("\n".join([first, ",".join(cells), rest]), "utf-8")
    return folder


def test_every_command_and_every_option_has_a_help_text():
    for name, command in cli.commands.items():
        assert command.help, name
        assert command.get_short_help_str(100).endswith("."), name
        for parameter in command.params:
            if parameter.param_type_name == "option":
                assert (parameter.help or "").endswith("."), (name, parameter.name)


def test_every_command_takes_the_shared_options():
    for name, command in cli.commands.items():
        options = {option for parameter in command.params for option in parameter.opts}
        assert {"--shop", "--json", "--today", "--seed"} <= options, name


def test_help_names_every_command(run):
    said = run("--help").stdout

    assert all(name in said for name in ("check", "demo", "new", "range"))
    assert run("range", "-h").stdout == run("range", "--help").stdout


# check


def test_a_log_without_problems_ends_with_0(run, demo_folder):
    said = run("check", "--shop", demo_folder).stdout

    assert re.search(
        r"\nNo problems; ([0-9,]+) of \1 lines used \([0-9]+ boards, [0-9,]+ rows of hours\)\.\n$", said
    )
    assert "boards.csv" in said


def test_a_problem_is_told_in_four_parts_and_ends_with_1(run, demo_folder, tmp_path):
    folder = broken(demo_folder, tmp_path)

    said = run("check", "--shop", folder, exit_code=1).stdout.splitlines()

    assert said[0] == "Problems"
    assert said[1].startswith('hours.csv, line 2, hours: "2;5O": that')
    assert said[1].endswith("Write 2.5, 2:30 or 2h30, or days as 9 days.")
    assert re.match(r"1 problem; ([0-9,]+) of [0-9,]+ lines used", said[-1])


def test_check_counts_the_line_that_was_left_out(run, demo_folder, tmp_path):
    whole = run("check", "--shop", demo_folder).stdout.splitlines()[-1]
    less = run("check", "--shop", broken(demo_folder, tmp_path), exit_code=1).stdout.splitlines()[-1]

    of = int(re.search(r"of ([0-9,]+) line", whole)[1].replace(",", ""))
    assert f"{of - 1:,} of {of:,} lines used" in less


def test_check_works_with_broken_settings(run, demo_folder, tmp_path):
    folder = broken(demo_folder, tmp_path)
    text = (folder / "workshop.toml").read_text("utf-8")
    (folder / "workshop.toml").write_text(
        text.replace("places = ", "placse = ").replace("target_pay", "target_pya")
    )

    said = run("check", "--shop", folder, exit_code=1).stdout.splitlines()
    kept = json.loads(run("check", "--json", "--shop", folder, exit_code=1).stdout)

    assert said[0] == "Problems"
    assert len([line for line in said if line.startswith("workshop.toml")]) == len(kept["problems"]) == 2
    assert said[-1] == "The log was not read: it needs the settings."
    assert (kept["boards"], kept["hours_rows"], kept["notes"]) == (0, 0, [])


def test_check_of_no_workshop_is_wrong_use(run, tmp_path):
    result = run("check", "--shop", tmp_path, exit_code=2)

    assert result.stdout == ""
    assert "no workshop here" in result.stderr


def test_check_as_json(run, demo_folder, tmp_path):
    kept = json.loads(run("check", "--json", "--shop", broken(demo_folder, tmp_path), exit_code=1).stdout)
    shop = Shop.open(demo_folder)

    assert kept["boards"] == len(shop.log.boards)
    assert kept["hours_rows"] == len(shop.log.entries) - 1
    assert [problem["where"] for problem in kept["problems"]] == ["hours.csv, line 2, hours"]
    assert kept["problems"][0]["found"] == "2;5O"


def test_what_teaches_nothing_yet_stands_first_and_once_and_is_counted_last(run, tmp_path):
    old = "".join(f"26-{n},old {n},2026-01-05,2026-01-12,finished,,2\n" for n in ("009", "010"))
    said = run("check", "--shop", folder(tmp_path / "shop", boards=BOARDS + old), "--today", TODAY).stdout

    assert said.startswith(
        "Boards that teach nothing yet\nboards.csv: 2 boards teach nothing yet (26-009, 26-010): no hours"
    )
    assert said.count("no hours are written on them") == 1
    assert "\nNotes\nboards.csv: hidden work not recorded on 2 boards" in said
    assert said.endswith("(5 boards, 2 rows of hours); 2 boards teach nothing yet.\n")


# range


def test_the_range_of_a_board_in_line(run, demo_folder, in_line):
    said = run("range", in_line.board, "--shop", demo_folder, "--over", "40").stdout
    lines = said.splitlines()

    assert lines[0] == f"{in_line.called}, before opening"
    assert re.fullmatch(
        r"Between \d+½? and \d+½? hours, 8 times in 10; half take more than \d+½?\.", lines[1]
    )
    assert re.match(r"From \d+ of your boards and \d+ rules of thumb", lines[2])
    assert "Of ten boards" not in said  # the second line says it already
    assert "Chance that it takes more than 40 hours: " in said
    assert "You said " in said
    for heading in ("Hours by stage, each 8 times in 10", "Boards like it"):
        assert heading in lines


def test_the_reasons_add_up_to_the_even_chance_as_said(run, demo_folder, in_line):
    lines = run("range", in_line.board, "--shop", demo_folder).stdout.splitlines()
    middle = re.search(r"half take more than (\S+)\.", lines[1])[1]
    at = lines.index(f"Why {middle} hours")
    figures = []
    for line in lines[at + 1 :]:
        figures.append(line.split()[-1])
        if line.startswith("Even chance"):
            break

    def number(text):
        return 0.5 if text == "½" else float(text.replace("½", ".5"))

    assert figures[-1] == middle
    assert sum(number(figure) for figure in figures[:-2]) == number(middle)


@pytest.mark.parametrize("which", [("in line",), MAJOR, ("-q", "guess=40"), ("-q", "kind=minor")])
def test_no_statistics_no_stage_names_and_no_decimals_are_printed(run, demo_folder, in_line, which):
    words = (in_line.board,) if which == ("in line",) else which
    said = run("range", *words, "--shop", demo_folder, "--over", "12.5").stdout

    assert not STATISTICS.search(said)
    assert not FRACTIONS.search(METRIC.sub("", said))
    for name in demo_settings().stages:
        if "_" in name:
            assert name not in said
    for name in demo_settings().quantities:
        if "_" in name:
            assert name not in said


def test_a_pipe_gets_no_boxes_and_no_codes(run, demo_folder, in_line):
    said = run("range", in_line.board, "--shop", demo_folder).stdout

    assert not re.search(r"[\x1b\u2500-\u257f|]", said)


def test_an_id_and_a_short_name_are_the_same_board(run, demo_folder, in_line):
    by_id = run("range", in_line.board, "--shop", demo_folder).stdout

    assert run("range", in_line.called, "--shop", demo_folder).stdout == by_id


def test_a_value_beside_a_board_is_tried_out(run, demo_folder, in_line):
    now = json.loads(run("range", in_line.board, "--json", "--shop", demo_folder).stdout)
    more = (in_line.board, "-q", "infills=14", "-q", "brittle_glass=?")
    then = json.loads(run("range", *more, "--json", "--shop", demo_folder).stdout)
    said = run("range", *more, "--shop", demo_folder).stdout

    assert then["hours"]["likely"] > now["hours"]["likely"] + 5
    assert "brittle_glass" in then["unknown"]
    assert said.startswith(
        f"{in_line.called} with foam pieces to let in 14, brittle glass not known, before opening\n"
    )
    assert "Not known yet, so counted as such boards usually have it: brittle glass" in said


def test_none_is_fewer_hours_than_some(run, demo_folder):
    def likely(*words):
        return json.loads(run("range", *MAJOR, *words, "--json", "--shop", demo_folder).stdout)["hours"][
            "likely"
        ]

    assert likely("-q", "infills=0") < likely("-q", "infills=4")
    assert likely("-q", "stain=no") < likely("-q", "stain=yes")


def test_what_is_not_said_and_counts_as_none_is_told(run, demo_folder):
    said = run("range", *MAJOR, "-q", "infills=2", "-q", "logos=0", "--shop", demo_folder).stdout
    (line,) = [line for line in said.splitlines() if line.startswith("Not said, and so counted as none: ")]

    assert "sides to gloss" in line
    assert "foam pieces" not in line
    assert "logos" not in line


def test_a_quantity_has_its_own_label_where_a_stage_has_the_same_name(run, demo_folder):
    """The invented workshop has both a stage and a driver called gloss."""
    said = run("range", *MAJOR, "-q", "gloss=9", "--shop", demo_folder).stdout

    assert "Bigger than any you've written down: sides to gloss 9 " in said


def test_surer_odds_are_wider(run, demo_folder):
    def hours(odds):
        kept = json.loads(run("range", *MAJOR, "--odds", odds, "--json", "--shop", demo_folder).stdout)
        assert kept["odds"] == pytest.approx({"5/10": 0.5, "19 in 20": 0.95}[odds])
        return kept["hours"]

    even, sure = hours("5/10"), hours("19 in 20")

    assert sure["low"] < even["low"] < even["likely"] == sure["likely"] < even["high"] < sure["high"]


def test_range_as_json_holds_every_digit(run, demo_folder, in_line):
    text = run(
        "range", in_line.board, "--over", "40", "--over", "2 days", "--json", "--shop", demo_folder
    ).stdout
    kept = json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))
    shop = Shop.open(demo_folder)

    answer = shop.range(in_line.board, over=[40, 13]).as_dict()
    assert kept == answer
    assert math.fsum(reason["hours"] for reason in kept["reasons"]) == pytest.approx(
        kept["hours"]["likely"], rel=1e-12
    )


def test_the_same_question_has_the_same_answer_and_another_seed_nearly_so(
    run, demo_folder, tmp_path, in_line
):
    words = ("range", in_line.board, "--json", "--shop", demo_folder)
    first = run(*words).stdout

    assert run(*words).stdout == first
    other = json.loads(run(*words, "--seed", "5").stdout)["hours"]
    assert other != json.loads(first)["hours"]
    assert other["likely"] == pytest.approx(json.loads(first)["hours"]["likely"], rel=0.1)


def test_another_view_is_named_and_passed_on(run, demo_folder, in_line):
    done = next(b for b in Shop.open(demo_folder).log.boards if b.finished and b.found and b.kind == "major")

    kept = json.loads(run("range", done.board, "--view", "opened", "--json", "--shop", demo_folder).stdout)
    said = run("range", done.board, "--view", "finished", "--shop", demo_folder).stdout

    assert kept["view"] == "opened"
    assert said.startswith(f"{done.name}, finished\nBetween ")


def test_problems_in_the_log_are_counted_on_stderr_and_change_nothing_else(
    run, demo_folder, tmp_path, in_line
):
    folder = broken(demo_folder, tmp_path)
    words = ("range", in_line.board, "--json", "--shop", folder)

    first, again = run(*words), run(*words)

    assert first.stderr == again.stderr == "1 problem in the log; `estimator check` lists them.\n"
    assert json.loads(first.stdout) == json.loads(again.stdout)


def test_broken_settings_end_with_1(run, demo_folder, tmp_path, in_line):
    folder = broken(demo_folder, tmp_path)
    (folder / "workshop.toml").write_text("[bench]\nplaces = 3.5.1\n", "utf-8")

    result = run("range", in_line.board, "--shop", folder, exit_code=1)

    assert result.stdout == ""
    assert result.stderr.startswith("workshop.toml, line 2")


def test_the_range_is_saved_as_a_picture(run, demo_folder, tmp_path, in_line):
    picture = tmp_path / "range.svg"

    said = run("range", in_line.board, "--figure", picture, "--shop", demo_folder).stdout

    assert "<svg" in picture.read_text("utf-8")
    assert said.splitlines()[-1] == f"Saved as {picture}."
    assert list(tmp_path.iterdir()) == [picture]


def test_with_its_dates_the_days_of_a_board_in_hand_are_saved_beside_it(run, tmp_path):
    shop, picture, days = folder(tmp_path / "shop"), tmp_path / "range.svg", tmp_path / "range-dates.svg"
    more = ("--dates", "--figure", picture, "--shop", shop, "--today", TODAY)

    said = run("range", "green fish", *more).stdout

    assert said.splitlines()[-3:] == [f"Saved as {picture}.", "", f"Saved as {days}."]
    title = days.read_text("utf-8").partition("<title>")[2].partition("</title>")[0]
    assert "green fish" in title
    days.unlink()
    # a board as it would be with something else, and one that is not in hand, have no days of their own
    for words in (("green fish", "-q", "area=3"), ("-q", "area=3")):
        assert run("range", *words, *more).stdout.splitlines()[-1] == f"Saved as {picture}."
    assert not days.exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "No board is named, and none described."),
        (("no-such-board",), "No board is called"),
        (("-q", "infils=3"), "The nearest name known here is infills."),
        (("-q", "infills"), '-q: "infills" is no name=value.'),
        (("-q", "infills=3", "-q", "infills=4"), "-q infills stands twice, with 3 and 4. Keep one of them."),
        (("-q", "infills=abc"), "infills=abc"),
        (("-q", "length=9.6"), '"9.6" could be 9 ft 6 in or 9.6 ft'),
        (("-q", "kind=majr"), "major"),
        ((*MAJOR, "--odds", "3"), "--odds: "),
        ((*MAJOR, "--view", "later"), '--view: "later" is not offered. Write before, opened or finished.'),
        ((*MAJOR, "--over", "lots"), "--over: "),
        ((*MAJOR, "--figure", "range.pdf"), "range.pdf is neither .png nor .svg."),
    ],
)
def test_wrong_use_is_told_in_a_sentence_and_ends_with_2(run, demo_folder, words, said):
    result = run("range", *words, "--shop", demo_folder, exit_code=2)

    assert result.stdout == ""
    assert said in result.stderr
    sentence, *line = result.stderr.splitlines()
    assert said in sentence
    assert all(one.startswith("estimator ") for one in line)
    assert len(line) <= 1
    assert "nvalid" not in result.stderr


def test_what_neither_rules_nor_log_can_tell_ends_with_1(run, tmp_path):
    (tmp_path / "workshop.toml").write_text(
        '[drivers.infills]\n[stages.infill]\ndrivers = ["once", "infills"]\n', "utf-8"
    )

    result = run("range", "-q", "infills=3", "--shop", tmp_path, exit_code=1)

    assert result.stdout == ""
    assert result.stderr.count("\n") == 1


# pairs


def test_a_pair_is_parted_at_its_first_equals_sign():
    assert read_pair("called=a=b") == ("called", "a=b")


def test_a_name_stands_once():
    with pytest.raises(UsageError):
        asked_of((("a", "1"), ("a", "1")))
