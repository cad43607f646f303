"""Setting up: each question by itself, skipped, come back to, odd input; what was promised, and a diary's boxes."""

import datetime as dt
import re

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as settings_of_tests
from hypothesis import strategies as st
from making.counter import HOST
from making.diaries import TODAY, begun, boxes
from making.folders import folder

from estimator.counter.answer_files import PageQuestion
from estimator.counter.pages import setting_up
from estimator.counter.workplace import begin_if_empty
from estimator.log.book.store import BookStore
from estimator.log.starter import starter_text
from estimator.words.settings.set_up import QUESTIONS

ROUTES = (
    "/setting-up",
    "/promised",
    "/diary",
    "/first-start",
    *(f"/setting-up/{name}" for name in QUESTIONS),
)
SENT = ("/promised", "/diary", *(f"/setting-up/{name}" for name in QUESTIONS))


@pytest.fixture
def shop(tmp_path):
    return begun(tmp_path / "new")


def ask(shop, question, **typed):
    """Sends a question as the page offers it, with some of it typed anew."""
    path = f"/setting-up/{question}"
    page = shop.page(path)
    offered = dict(re.findall(r'<input id="f-[^"]*" name="([^"]*)"[^>]*value="([^"]*)"', page))
    chosen = re.findall(r'type="radio" name="([^"]*)" value="([^"]*)" checked', page)
    return shop.send(path, shown=path, **{**offered, **dict(chosen), **typed})


def settings(shop):
    return shop.shop.settings


def test_an_empty_folder_becomes_a_book_that_pages_write(tmp_path):
    assert begin_if_empty(tmp_path / "a")
    assert {path.name for path in (tmp_path / "a").iterdir()} == {"workshop.toml", "book.sqlite"}
    (tmp_path / "b").mkdir()
    (tmp_path / "b" / ".hidden").write_text("", "utf-8")
    assert begin_if_empty(tmp_path / "b")
    assert not begin_if_empty(folder(tmp_path / "c"))
    assert begun(tmp_path / "d").app.extensions["counter"].writes


def test_a_workshop_is_never_half_begun(tmp_path, monkeypatch):
    from estimator.words.errors import UsageError

    def refuse(_):
        raise UsageError("The disk is full.")

    monkeypatch.setattr(BookStore, "create", refuse)
    with pytest.raises(UsageError):
        begin_if_empty(tmp_path / "new")
    assert not (tmp_path / "new" / "workshop.toml").exists()


@pytest.mark.parametrize("route", ROUTES)
def test_every_page_opens_and_lets_no_stranger_in(shop, route):
    assert shop.page(route).count("<h1") == 1
    assert shop.get(route, Host="elsewhere.example").status_code == 421


@pytest.mark.parametrize("route", SENT)
def test_forms_from_elsewhere_write_nothing(shop, route):
    before = shop.shop.store.revision()
    assert shop.send(route, shown=route, headers={"Origin": "http://elsewhere.example"}).status_code == 403
    assert shop.send(route, shown=route, token="0" * 64).status_code == 403
    assert shop.send(route, shown=route, headers={"Host": "elsewhere.example"}).status_code == 421
    assert shop.shop.store.revision() == before


def test_a_question_that_is_none_is_not_there(shop):
    assert shop.get("/setting-up/wages").status_code == 404
    assert shop.send("/setting-up/wages", skip="yes").status_code == 404


def test_all_can_be_skipped_and_nothing_is_written(shop):
    before, at = shop.shop.store.revision(), "/setting-up/week"
    asked = []
    while at.startswith("/setting-up/"):
        asked.append(at.rpartition("/")[2])
        at = shop.send(at, shown=at, skip="yes").location
    assert asked == list(QUESTIONS)
    assert at == "/promised"
    assert shop.shop.store.revision() == before
    assert shop.shop.acts() == ()
    page = shop.page("/setting-up")
    assert page.count("skipped") == len(QUESTIONS)
    assert "All questions have been asked." in page


def test_what_is_offered_can_be_sent_and_writes_nothing(shop):
    before = shop.shop.store.revision()
    for name in QUESTIONS:
        assert ask(shop, name).status_code == 303
    assert shop.shop.store.revision() == before
    assert shop.page("/setting-up").count(">answered<") == 0
    assert shop.page("/setting-up").count("answered") == len(QUESTIONS)


def test_answers_are_kept_one_by_one_and_comments_stay(shop, tmp_path):
    ask(shop, "week", mon="7½", fri="4:30", sat="")
    ask(shop, "places", places="4")
    ask(shop, "pay", currency="mk", target="55", floor="30,50")
    ask(shop, "rent", overheads="1,200")
    ask(shop, "a-day", day="5")
    ask(shop, "colour", colour="filler")
    ask(shop, "sweeping", sweeping="no")
    ask(shop, "ready", ready="polished")
    ask(shop, "two-pack", two_pack="yes")
    ask(shop, "away", from1="12 October", to1="25 Oct", from2="2026-12-24", to2="2 January")
    now = settings(shop)
    assert now.bench.hours_by_weekday == (7.5, 6, 6, 6, 4.5, 0, 0)
    assert (now.bench.places, now.workshop.currency) == (4, "mk")
    assert (now.workshop.target_pay, now.workshop.floor_pay, now.workshop.overheads_a_month) == (
        55,
        30.5,
        1200,
    )
    assert (now.workshop.hours_in_a_day, now.workshop.colour_on) == (5, "filler")
    assert (now.workshop.hours_include_sweeping, now.workshop.ready, now.workshop.two_pack) == (
        False,
        "polished",
        True,
    )
    assert [(str(one.first), str(one.last)) for one in now.bench.away] == [
        ("2026-10-12", "2026-10-25"),
        ("2026-12-24", "2027-01-02"),
    ]
    assert len(shop.shop.acts()) == 10
    text = (tmp_path / "new" / "workshop.toml").read_text("utf-8")
    for line in starter_text().splitlines():
        comment = line.partition("#")[2]
        assert not comment or comment in text
    other = [line for line in text.splitlines() if line not in starter_text().splitlines()]
    assert len(other) == 12  # a line for each value, and no more


def test_an_answer_can_be_undone(shop):
    ask(shop, "places", places="4")
    shop.send("/undo", act=str(shop.shop.acts()[0].id))
    assert settings(shop).bench.places == 3


def test_coming_back_one_goes_on_where_one_stopped(shop):
    ask(shop, "week")
    shop.send("/setting-up/away", shown="/setting-up/away", skip="yes")
    later = begun_again(shop)
    page = later.page("/setting-up")
    assert 'class="button first" href="/setting-up/places"' in page
    assert page.count("not asked yet") == len(QUESTIONS) - 2
    ask(later, "away", from1="12 October")
    shop.send("/setting-up/away", shown="/setting-up/away", skip="yes")
    assert later.page("/setting-up").count("skipped") == 0


def begun_again(shop):
    """Another browser at the same workshop, after the counter was closed."""
    from making.counter import client

    return client(shop.app.extensions["counter"].folder, today=TODAY)


@pytest.mark.parametrize(
    ("question", "typed", "said"),
    [
        ("week", {"mon": "25"}, "from 0 to 24"),
        ("week", {"tue": "six"}, "six"),
        ("places", {"places": "2.5"}, "no whole number"),
        ("places", {"places": "0"}, "from 1 to 50"),
        ("places", {"places": ""}, "Nothing is written."),
        ("pay", {"target": "lots"}, "lots"),
        ("pay", {"currency": "doubloons and more"}, "too long for a sign"),
        ("rent", {"overheads": "-5"}, "less than nothing"),
        ("a-day", {"day": "0"}, "from 0.5 to 24"),
        ("colour", {"colour": "ceiling"}, "Nothing is chosen."),
        ("away", {"from1": "30 February"}, "30 February"),
        ("away", {"from1": "2026-10-12", "to1": "2026-10-02"}, "The last day is before the first."),
        ("away", {"from1": "2026-01-12", "to1": "2026-01-13"}, "Those days are over."),
        ("rules", {"infill.quickest": "1"}, "One of the two is missing."),
        ("rules", {"infill.quickest": "3", "infill.slowest": "2"}, "The quickest of ten takes less"),
        ("rules", {"drying.quickest": "0", "drying.slowest": "2"}, "That takes some time."),
        ("week", {"mon": "9" * 40_000}, "longer than"),
        ("rent", {"overheads": "<script>alert(1)</script>"}, "&lt;script&gt;"),
    ],
)  # fmt: skip
def test_odd_input_is_said_at_its_field_and_stays_typed(shop, question, typed, said):
    before = shop.shop.store.revision()
    answer = ask(shop, question, **typed)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert said in page
    assert "<script>alert" not in page
    assert 'id="e-' in page
    assert shop.shop.store.revision() == before


def test_six_rules_of_thumb_become_his_own(shop):
    ends = {"strip": ("5", "12"), "first-colour": ("14", "22"), "next-colour": ("10", "16")}
    ends |= {"infill": ("1", "2½"), "sand": ("3", "4:30"), "drying": ("2 weeks", "8 wks")}
    typed = {f"{name}.{end}": text for name, two in ends.items() for end, text in zip(("quickest", "slowest"), two, strict=True)}  # fmt: skip
    assert ask(shop, "rules", **typed).status_code == 303
    own = {rule.name: rule for rule in settings(shop).rules if rule.own}
    assert {name: (rule.low, rule.high, rule.odds) for name, rule in own.items()} == {
        "strip a long board": (5, 12, 0.8),
        "first colour": (14, 22, 0.8),
        "each further colour": (10, 16, 0.8),
        "let in a piece": (1, 2.5, 0.8),
        "sanding a long board": (3, 4.5, 0.8),
        "drying when properly wet": (14, 56, 0.8),
    }
    assert all(rule.said == TODAY for rule in own.values())
    lent = [rule.name for rule in settings(shop).rules if not rule.own]
    assert "colour rate" not in lent
    assert "infill rate" not in lent
    assert len(lent) == starter_text().count("[[rules]]") - 2
    assert shop.shop.problems == ()
    page = shop.page("/setting-up/rules")
    assert 'name="strip.quickest" inputmode="decimal" autocomplete="off" value="5"' in page


def promise(shop, lines, **answers):
    return shop.send("/promised", shown="/promised", lines=lines, **answers)


def test_boards_that_were_promised_one_line_each(shop):
    lines = (
        "Ines Calder, full 9'6, by 20 October, 60 h\n\n"
        "Hal's red 9'1, full resto, told 5 September, 60-80 h, about 22 h done, next sand\n"
        "Tam 5'10 ding, 9 h, 2026-12-01\n"
        "Wen, one side redone, 6'2, 14 March, 3 days, 700"
    )
    assert promise(shop, lines).status_code == 303
    ines, hal, tam, wen = shop.shop.log.boards
    assert (ines.owner, ines.kind, ines.guess, ines.state) == ("Ines Calder", "major", 60, "waiting")
    assert [str(board.promised_last) for board in (ines, hal, tam, wen)] == [
        "2026-10-20",
        "2026-09-05",
        "2026-12-01",
        "2027-03-14",
    ]
    assert (hal.owner, hal.called, hal.state) == ("Hal", "red 9'1", "on bench")
    hours = [(entry.stage, entry.hours, entry.done) for entry in shop.shop.log.entries]
    assert sum(one for _, one, _ in hours) == pytest.approx(22, abs=0.05)
    assert [stage for stage, *_ in hours][-1] == "filler"
    assert all(done for *_, done in hours)
    assert (tam.kind, wen.price_quoted, wen.guess) == ("minor", 700, 19.5)
    assert shop.shop.problems == ()
    assert [act.sentence for act in shop.shop.acts()] == ["promised before: 4 boards"]
    page = shop.page("/promised")
    assert "Ines Calder" in page
    assert "told: by Tue 20 October 2026" in page


@pytest.mark.parametrize(
    ("line", "asks", "answer"),
    [
        ("Bo 7'2 full, 40 h, 5 h done, next xyz", "“xyz”: which work is that?", "sand"),
        ("Bo 7'2 full, 40 h, 5 h done", "What comes next on it?", "sand"),
        ("9'6 full, 60 h", "Whose is it, or what do you call it?", "Mara"),
        ("Jo 9'0 full, 60 h, by 2/11", "“2/11” can be two days. Which one is it?", "2026-11-02"),
    ],
)
def test_what_is_not_sure_of_a_line_is_asked(shop, line, asks, answer):
    asked = promise(shop, line)
    page = asked.get_data(as_text=True)
    assert asked.status_code == 422
    assert asks in page
    assert line.replace("'", "&#39;") in page
    [name] = set(re.findall(r'name="(doubt\.0\.[^"]*?)(?:\.other)?"', page))
    field = name if f'name="{name}" value' in page and answer in page else f"{name}.other"
    assert promise(shop, line, **{field: answer}).status_code == 303
    assert len(shop.shop.log.boards) == 1


@pytest.mark.parametrize("lines", ["", "  \n ", "x\n" * 61])
def test_no_lines_and_too_many_are_said(shop, lines):
    assert promise(shop, lines).status_code == 422
    assert shop.shop.log.boards == ()


def write(shop, box, year="2025", **answers):
    return shop.send("/diary", shown="/diary", box=box, year=year, **answers)


def doubts_in(answer):
    return re.findall(r'<fieldset class="choices" id="f-(doubt\.[^"]*)">', answer.get_data(as_text=True))


def test_a_box_of_a_diary_becomes_a_board_that_teaches(shop):
    assert write(shop, boxes()[0]).status_code == 303
    (board,) = shop.shop.log.boards
    assert (board.kind, str(board.started), str(board.ready), board.total_hours) == (
        "major",
        "2025-01-02",
        "2025-02-03",
        58.5,
    )
    assert board.found["infills"] == 1
    assert board.found["stringers"] == 0  # what the box doesn't mention wasn't done
    assert (board.found["sides_stripped"], board.found["sides_coated"]) == (2, 2)
    assert (board.board, board.found["gloss"]) == ("25-001", 2)
    assert not shop.shop.untaught.boards


def test_the_next_box_begins_with_the_last_year_and_says_what_was_understood(shop):
    answer = write(shop, boxes()[0])
    assert "year=2025" in answer.location
    page = shop.page(answer.location.partition("#")[0])
    assert 'value="2025"' in page
    assert "Kind: Full restoration" in page
    assert "Total hours: 9 days" in page


def test_of_a_small_repair_that_says_little_both_are_asked_at_once(shop):
    box = "green fish 5'10, repair 6 h, June"
    asked = doubts_in(write(shop, box))
    assert len(asked) == 2
    assert write(shop, box, **dict.fromkeys(asked, "1")).status_code == 303
    assert not shop.shop.untaught.boards


def test_what_nobody_can_say_is_kept_and_teaches_nothing(shop):
    box = "green fish 5'10, repair 6 h, June"
    assert write(shop, box, **dict.fromkeys(doubts_in(write(shop, box)), "?")).status_code == 303
    assert shop.shop.untaught.boards


def test_where_a_diary_does_not_say_what_was_done_nothing_is_taken_as_none(shop):
    box = boxes()[0]
    asked = doubts_in(write(shop, box, rest="unknown"))
    assert "doubt..found_stringers-0-" in asked[0]
    answer = write(shop, box, rest="unknown", **dict.fromkeys(asked, "?"))
    assert answer.status_code == 303
    assert "rest=unknown" in answer.location


def test_what_was_sanded_was_glossed_unless_that_is_said(shop):
    answer = write(shop, boxes()[0], finish="none")
    assert "finish=none" in answer.location
    assert shop.shop.log.boards[0].found["gloss"] == 0


def test_the_same_board_again_is_asked(shop):
    write(shop, boxes()[0])
    again = write(shop, boxes()[0])
    assert "This very board stands there already." in again.get_data(as_text=True)
    assert len(shop.shop.log.boards) == 1
    assert write(shop, boxes()[0], **dict.fromkeys(doubts_in(again), "yes")).status_code == 303
    assert len(shop.shop.log.boards) == 2


@pytest.mark.parametrize(
    ("box", "year", "said"),
    [
        ("", "2025", "Nothing is written."),
        ("red 9'6, full, 9 days", "20", "is no year"),
        ("red 9'6, full, 9 days", "2031", "is no year"),
        ("red 9'6, full, 9 days", "²⁰²⁵", "is no year"),
        ("what a year it was", "2025", "I can&#39;t make a board of this."),
        ("red 9'6 full, 70, 1200", "2025", "are those hours, or a price?"),
    ],
)
def test_a_box_that_is_none_is_said(shop, box, year, said):
    answer = write(shop, box, year)
    assert answer.status_code == 422
    assert said in answer.get_data(as_text=True)
    assert shop.shop.log.boards == ()


def test_a_log_in_files_is_shown_and_not_written(tmp_path):
    from making.counter import client
    from making.working_day import in_files

    (tmp_path / "shop").mkdir()
    in_files(tmp_path / "shop")
    shop = client(tmp_path / "shop", today=TODAY)
    shop.shop = shop.app.extensions["counter"].shop
    before = shop.shop.store.revision()
    assert ask(shop, "places", places="4").status_code == 422
    assert promise(shop, "Ines, full 9'6, 60 h").status_code == 422
    assert shop.shop.store.revision() == before


ODD = st.text(st.characters(codec="utf-8"), max_size=30)
NAMES = st.sampled_from(
    ["mon", "from1", "to1", "places", "currency", "target", "day", "colour", "two_pack", "strip.quickest", "strip.slowest", "lines", "box", "year", "rest", "skip", "doubt.0.owner-0-5", "doubt..kind-0-5", "doubt..length-0-5.other"]
)  # fmt: skip


@settings_of_tests(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(route=st.sampled_from(SENT), fields=st.dictionaries(NAMES, ODD, max_size=5))
def test_no_form_fails_whatever_is_typed(tmp_path_factory, route, fields):
    shop = begun(tmp_path_factory.mktemp("odd") / "new")
    assert shop.send(route, **fields).status_code < 500
    assert shop.shop.problems == ()


def test_what_stands_in_a_box_is_said_to_be_a_guess_until_it_is_answered(tmp_path):
    counter = begun(tmp_path / "new")
    said = "What stands here already is a guess of ours."

    assert said in counter.page("/setting-up/week")
    assert said not in counter.page("/setting-up/rules")  # nothing stands there
    counter.send("/setting-up/week", "/setting-up/week", mon="7", tue="7")
    assert said not in counter.page("/setting-up/week")


def test_what_stands_in_a_workshop_s_own_settings_is_called_nobody_s_guess(tmp_path):
    counter, file = begun(tmp_path / "new"), tmp_path / "new" / "workshop.toml"
    asked = [f"/setting-up/{question}" for question in ("week", "places", "two-pack")]
    assert all("is a guess of ours" in counter.page(path) for path in asked)
    file.write_text(file.read_text("utf-8").replace('name = "My workshop"', 'name = "Driftwood"'), "utf-8")

    assert not any("is a guess of ours" in counter.page(path) for path in asked)


@pytest.mark.parametrize(
    ("away", "rows"),
    [((), 3), (((-9, -1),), 3), (((-9, 0),), 4), (((1, 2), (-9, -1), (5, 6)), 5)],
)
def test_days_away_that_are_not_over_have_a_row_each_and_three_are_free(shop, monkeypatch, away, rows):
    days = [(TODAY + dt.timedelta(days=first), TODAY + dt.timedelta(days=last)) for first, last in away]
    file = shop.app.extensions["counter"].folder / "workshop.toml"
    at = file.read_text("utf-8")
    written = ", ".join(f"{{first = {first}, last = {last}}}" for first, last in days)
    file.write_text(at.replace("away = []", f"away = [{written}]", 1), "utf-8")
    held = {}
    monkeypatch.setattr(setting_up, "render_template", lambda _, **given: held.update(given) or "")
    shop.get("/setting-up/away")

    assert list(held["away"]) == list(range(1, rows + 1))
    shop.get("/setting-up/week")
    assert held["away"] == ()


def test_the_next_question_is_the_first_that_was_not_asked(shop, monkeypatch):
    held = {}
    monkeypatch.setattr(setting_up, "render_template", lambda _, **given: held.update(given) or "")
    shop.get("/setting-up")
    assert (held["next"], held["begun"]) == ("week", False)
    with shop.app.test_request_context("/", headers={"Host": HOST}):
        setting_up._keep_asked("week", "skipped")
        setting_up._keep_asked("places", "answered")
        setting_up._keep_asked("places", "skipped")
        assert setting_up._asked_so_far() == {"week": "skipped", "places": "answered"}
        setting_up._keep_asked("week", "answered")
        assert setting_up._asked_so_far()["week"] == "answered"
    shop.get("/setting-up")
    assert (held["next"], held["begun"]) == ("away", True)
    assert held["questions"][:3] == [("week", "answered"), ("away", "open"), ("places", "answered")]


@pytest.mark.parametrize("spoiled", ["", "no json", "[1]", "3"])
def test_where_it_cannot_be_read_what_was_asked_all_is_asked_again(shop, spoiled):
    with shop.app.test_request_context("/", headers={"Host": HOST}):
        setting_up._keep_asked("week", "answered")
        [kept] = (shop.app.extensions["counter"].folder / ".estimator").rglob("setting-up.json")
        kept.write_text(spoiled, "utf-8")
        assert setting_up._asked_so_far() == {}


def test_each_question_is_given_what_it_asks_and_the_list_what_else_can_be_learned_from(shop, monkeypatch):
    held = {}
    monkeypatch.setattr(setting_up, "render_template", lambda _, **given: held.update(given) or "")
    shop.get("/setting-up")
    assert held["more"] == [("promised", "/promised"), ("diary", "/diary"), ("spreadsheet", "/book")]
    shop.get("/setting-up/week")
    assert (held["week"], held["thumbs"]) == (True, [])
    assert [one.name for one in held["fields"]] == ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
    shop.get("/setting-up/rules")
    assert held["week"] is False
    assert held["thumbs"] == [*((name, False) for name in ("strip", "first-colour", "next-colour", "infill", "sand")), ("drying", True)]  # fmt: skip


def test_what_was_answered_wrong_was_not_answered_and_an_act_says_which_question_it_was(shop):
    assert ask(shop, "places", places="0").status_code == 422
    assert shop.page("/setting-up").count("not asked yet") == len(QUESTIONS)
    assert ask(shop, "places", places="4").location == "/setting-up/pay"
    assert "boards on the go" in shop.shop.acts()[0].sentence


def test_each_line_of_boards_promised_is_asked_about_by_itself_and_the_one_that_is_sure_is_not(shop):
    lines = "Tam 5'10 ding, 9 h\nBo 7'2 full, 40 h, 5 h done\n9'6 full, 60 h"
    page = promise(shop, lines).get_data(as_text=True)
    names = list(dict.fromkeys(re.findall(r'name="(doubt\.[^"]*?)(?:\.other)?"', page)))

    assert [name[:8] for name in names] == ["doubt.1.", "doubt.2."]
    answers = {names[0]: "sand", f"{names[1]}.other": "Mara"}
    assert promise(shop, lines, **answers).status_code == 303
    assert [(board.owner or board.called)[:3] for board in shop.shop.log.boards] == ["Tam", "Bo ", "Mar"]


def test_what_was_changed_by_hand_is_no_guess_of_ours_and_what_was_skipped_still_is(tmp_path):
    counter, file = begun(tmp_path / "new"), tmp_path / "new" / "workshop.toml"
    file.write_text(file.read_text("utf-8").replace("places = 3 ", "places = 4 ", 1), "utf-8")
    counter.send("/setting-up/week", "/setting-up/week", skip="yes")

    assert "is a guess of ours" not in counter.page("/setting-up/places")
    assert "is a guess of ours" in counter.page("/setting-up/week")


def test_a_question_says_which_of_how_many_it_is_where_there_is_no_rule_to_ask_about_too(
    shop, tmp_path, monkeypatch
):
    from making.counter import client

    held = {}
    monkeypatch.setattr(setting_up, "render_template", lambda _, **given: held.update(given) or "")
    shop.get("/setting-up/places")
    assert (held["number_of"], held["all"], held["question"]) == (3, 11, "places")
    other = client(folder(tmp_path / "other"), today=TODAY)
    other.get("/setting-up/week")
    assert (held["number_of"], held["all"]) == (1, 10)
    assert other.get("/setting-up/rules").status_code == 404


def test_the_first_start_is_its_own_answer_and_may_be_an_older_one(shop, monkeypatch):
    held, asked = {}, []
    monkeypatch.setattr(setting_up, "render_template", lambda _, **given: held.update(given) or "")
    monkeypatch.setattr(
        shop.app.extensions["counter"], "answer", lambda question: asked.append(question) or ("found", False)
    )
    shop.get("/first-start")

    assert (held, asked) == ({"found": "found", "fresh": False}, [PageQuestion("first-start")])
