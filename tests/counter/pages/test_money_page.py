"""Money on its page: lines in and out, for none, one or several boards; any two days; the lines as a file."""

import csv
import datetime as dt
import io
import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from making.counter import client
from making.quarters import TODAY, write
from making.worker_done import WorkerAtOnce

from estimator.counter.answer_files import PageQuestion
from estimator.counter.pages import money as page
from estimator.log.exchange.importing import ImportChoices, import_folder
from estimator.log.money import lines_between, money_between, payments, with_money
from estimator.log.steps.money_line import MoneyWritten
from estimator.log.store import Sent
from estimator.words.records import Board, Log, MoneyLine
from estimator.words.settings.schema import Settings


@pytest.fixture
def place(tmp_path):
    folder = write(tmp_path / "shop")
    import_folder(folder, dt.datetime.combine(TODAY, dt.time(8)), ImportChoices())
    return folder


@pytest.fixture
def counter(place):
    return client(place, today=TODAY, worker=WorkerAtOnce(place))


def now(counter):
    return counter.app.extensions["counter"].shop.snapshot(TODAY)


def sent(counter, **fields):
    return counter.send("/money", "/money", **fields)


def said(answer):
    return re.sub(r"<[^>]+>", " ", answer.get_data(as_text=True))


def test_a_line_for_no_board_one_and_several(counter):
    assert sent(counter, way="out", amount="412,50", what="rent", on="2026-10-01").status_code == 303
    assert (
        sent(counter, way="out", amount="90", what="materials", board=["26-007", "26-008"]).status_code == 303
    )
    assert (
        sent(counter, way="out", amount="12", board=["26-008"], boards="blue fish; lime log").status_code
        == 303
    )
    assert (
        sent(counter, way="in", amount="35", **{"what.other": "old stand sold"}, note="to Tam").status_code
        == 303
    )
    log = now(counter).whole_log

    assert [(m.date, m.came_in, m.went_out, m.what, m.boards) for m in log.money] == [
        (dt.date(2026, 10, 1), 0.0, 412.5, "rent", ()),
        (dt.date(2026, 9, 30), 0.0, 300.0, "materials", ("26-007",)),  # what its own column told
        (TODAY, 0.0, 90.0, "materials", ("26-007", "26-008")),
        (dt.date(2026, 7, 20), 0.0, 150.0, "materials", ("26-003",)),
        (dt.date(2026, 8, 21), 0.0, 60.0, "materials", ("26-004",)),
        (TODAY, 0.0, 12.0, "materials", ("26-008", "26-003", "26-004")),
        (TODAY, 35.0, 0.0, "old stand sold", ()),
    ]
    assert log.money[-1].note == "to Tam"
    assert log.by_id["26-003"].materials is None
    assert with_money(log).by_id["26-003"].materials == 154.0
    assert now(counter).problems == ()


def test_an_owners_money_is_added_to_what_the_columns_told_and_both_say_the_same(counter):
    assert sent(counter, way="in", amount="600", what="payment", board=["26-004"]).status_code == 303
    log = now(counter).whole_log
    row, heard = log.by_id["26-004"], with_money(log).by_id["26-004"]

    assert [(m.came_in, m.what) for m in log.money if m.boards == ("26-004",)] == [
        (300.0, "deposit"),
        (600.0, "payment"),
    ]
    assert (row.paid, row.deposit, row.paid_on) == (900.0, 300.0, TODAY)
    assert (heard.paid, heard.deposit) == (900.0, 300.0)
    assert now(counter).problems == ()
    assert sent(counter, way="out", amount="50", what="refund", board=["26-004"]).status_code == 303
    assert now(counter).whole_log.by_id["26-004"].returned == 50.0
    assert (
        sum(p.amount for p in payments(now(counter).whole_log, now(counter).settings) if p.board == "26-004")
        == 850
    )


def test_paid_by_the_step_of_the_day_hides_no_earlier_deposit(counter):
    answer = counter.send(
        "/boards/26-007/write/collected", "/boards/26-007/write/collected", what="paid", amount="2000"
    )
    assert answer.status_code == 303
    log = now(counter).whole_log

    assert with_money(log).by_id["26-007"].paid == 3000.0
    assert with_money(log).by_id["26-007"].deposit == 1000.0


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"amount": "3", "what": "rent"}, "way"),
        ({"way": "in", "amount": "", "what": "rent"}, "amount"),
        ({"way": "in", "amount": "lots"}, "amount"),
        ({"way": "out", "amount": "0", "what": "rent"}, "amount"),
        ({"way": "out", "amount": "12"}, "what"),
        ({"way": "out", "amount": "12", "what": "deposit", "board": "26-008"}, "way"),
        ({"way": "in", "amount": "12", "what": "refund", "board": "26-008"}, "way"),
        ({"way": "out", "amount": "12", "what": "rent", "board": "26-008"}, "boards"),
        ({"way": "in", "amount": "12", "what": "payment"}, "boards"),
        ({"way": "out", "amount": "12", "what": "tape", "on": "2030-01-01"}, "on"),
        ({"way": "out", "amount": "12", "what": "tape", "on": "someday"}, "on"),
        ({"way": "out", "amount": "12", "what": "tape", "boards": "nobody"}, "boards"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_written(counter, fields, field):
    before = now(counter).digest
    answer = sent(counter, **fields)

    assert answer.status_code == 422
    assert f'href="#f-{field}"' in answer.get_data(as_text=True) or not field
    assert 'role="alert"' in answer.get_data(as_text=True)
    assert now(counter).digest == before


def test_the_same_form_twice_is_one_line_and_an_undo_takes_it_back(counter):
    page = counter.page("/money")
    key = re.search(r'name="key" value="([^"]+)"', page)[1]
    for _ in range(2):
        assert sent(counter, key=key, way="out", amount="12", what="tape").status_code == 303
    assert len(now(counter).whole_log.money) == 1
    page = counter.page("/money")
    assert "12 out, tape" in page
    counter.send("/undo", "/money", act=re.search(r'name="act" value="(\d+)"', page)[1])
    assert now(counter).whole_log.money == ()


def test_any_two_days_are_summed_and_what_is_no_day_is_said(counter):
    sent(counter, way="out", amount="412.50", what="rent", on="2026-07-01")
    for path in ("/money?from=2026-07-01&to=2026-09-30", "/money?from=&to=2026-09-30", "/money"):
        counter.get(path)
        page = counter.page(path).partition('action="/undo"')[0]
        assert "By what for" in page
        assert "412.50" in page
    assert 'value="2026-01-01"' in counter.page("/money")
    assert "412.50" not in counter.page("/money?from=2026-07-02&to=2026-09-30").partition('action="/undo"')[0]
    assert "Swap the two." in counter.page("/money?from=2026-07-02&to=2026-07-01")
    assert 'href="#f-from"' in counter.page("/money?from=someday&to=")


def test_the_file_holds_the_same_sums_and_reckons_nothing(counter):
    sent(counter, way="out", amount="412.50", what="rent", on="2026-07-01", note="=1+1")
    answer = counter.get("/money/lines.csv?from=2026-07-01&to=2026-09-30")
    rows = list(csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig"))))
    sums = now(counter).money(dt.date(2026, 7, 1), dt.date(2026, 9, 30)).in_all

    assert answer.content_type == "text/csv; charset=utf-8"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="money-2026-07-01-2026-09-30.csv"'
    assert (sums.came_in, sums.out) == tuple(
        round(math.fsum(float(row[way] or 0) for row in rows), 2) for way in ("in", "out")
    )
    assert [row["note"] for row in rows if row["what"] == "rent"] == ["'=1+1"]
    assert {"called", "boards"} <= rows[0].keys()
    assert "owner" not in rows[0]
    assert counter.get("/money/lines.csv?from=x").status_code == 422


AMOUNT = st.integers(1, 99_999).map(lambda pennies: pennies / 100)
DAY = st.dates(dt.date(2026, 1, 1), dt.date(2026, 12, 31))
BOARD = st.builds(
    lambda n, paid, deposit, on, back: Board(
        f"b{n}", accepted=on, paid_on=on, collected=on, paid=paid, deposit=deposit, returned=back
    ),
    st.integers(0, 4), AMOUNT | st.none(), AMOUNT | st.none(), DAY | st.none(), AMOUNT | st.none(),
)  # fmt: skip
LINE = st.one_of(
    st.builds(lambda d, a, w, n: MoneyLine(d, a, 0.0, w, (f"b{n}",)), DAY, AMOUNT, st.sampled_from(["deposit", "payment"]), st.integers(0, 4)),
    st.builds(lambda d, a, n: MoneyLine(d, 0.0, a, "refund", (f"b{n}",)), DAY, AMOUNT, st.integers(0, 4)),
    st.builds(lambda d, a: MoneyLine(d, 0.0, a, "materials", ("b0", "b1")), DAY, AMOUNT),
    st.builds(lambda d, a: MoneyLine(d, 0.0, a, "rent"), DAY, AMOUNT),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(
    boards=st.lists(BOARD, max_size=4, unique_by=lambda b: b.board),
    lines=st.lists(LINE, max_size=8),
    days=st.tuples(DAY, DAY).map(sorted),
)
def test_lines_between_two_days_add_up_to_their_sums(boards, lines, days):
    log = Log(boards=tuple(boards), money=tuple(lines))
    found, sums = lines_between(log, Settings(), *days), money_between(log, Settings(), *days).in_all

    assert round(math.fsum(line.came_in for line in found), 2) == sums.came_in
    assert round(math.fsum(line.went_out for line in found), 2) == sums.out
    assert [line.date for line in found] == sorted(line.date for line in found)


def test_files_are_shown_and_not_written(tmp_path):
    reader = client(write(tmp_path / "shop"), today=TODAY)

    assert 'name="amount"' not in reader.page("/money")
    assert reader.send("/money", "/on-the-go", way="out", amount="3", what="rent").status_code == 422
    assert not (tmp_path / "shop" / "money.csv").exists()


ODD = st.text(st.characters(codec="utf-8"), max_size=30)


@pytest.fixture(scope="module")
def odd(tmp_path_factory):
    folder = write(tmp_path_factory.mktemp("odd") / "shop")
    import_folder(folder, dt.datetime.combine(TODAY, dt.time(8)), ImportChoices())
    return client(folder, today=TODAY)


@settings(max_examples=40, deadline=None)
@given(
    fields=st.fixed_dictionaries(
        {},
        optional=dict.fromkeys(("way", "amount", "what", "what.other", "board", "boards", "on", "note"), ODD),
    ),
    way=st.sampled_from(["in", "out", ""]),
    amount=st.sampled_from(["3", "1.800", "1e9", ""]),
)
def test_no_odd_line_fails(odd, fields, way, amount):
    answer = odd.send("/money", "/money", **{**fields, "way": way or fields.get("way", ""), "amount": amount})

    assert answer.status_code in {303, 422}
    assert now(odd).problems == ()


@pytest.mark.parametrize(
    ("query", "days", "field"),
    [
        ("", ("2026-01-01", None), ""), ("?from=&to=", (None, None), ""), ("?from=2026-07-01", ("2026-07-01", None), ""), ("?to=1 July 2026", (None, "2026-07-01"), ""),
        ("?from=2026-07-01&to=2026-07-01", ("2026-07-01", "2026-07-01"), ""), ("?from=2026-07-02&to=2026-07-01", (None, None), "to"),
        ("?from=x&to=2026-07-01", (None, "2026-07-01"), "from"), ("?from=2026-07-01&to=x", ("2026-07-01", None), "to"),
    ],
)  # fmt: skip
def test_which_two_days_are_asked_for(odd, query, days, field):
    from making.counter import HOST

    from estimator.counter.forms import PageForm
    from estimator.counter.pages.money import _days

    form = PageForm.blank()
    with odd.app.test_request_context(f"/money{query}", headers={"Host": HOST}):
        found = _days(form)

    assert tuple(day and day.isoformat() for day in found) == days
    assert [one.field for one in form.errors] == ([field] if field else [])


@pytest.fixture(scope="module")
def july(tmp_path_factory):
    """Lines of three days: of no board, of two at once, and with words of one's own beside a choice."""
    folder = write(tmp_path_factory.mktemp("july") / "shop")
    import_folder(folder, dt.datetime.combine(TODAY, dt.time(8)), ImportChoices())
    visitor = client(folder, today=TODAY)
    noon, do = dt.datetime.combine(TODAY, dt.time(12)), visitor.app.extensions["counter"].shop.do
    for step in (
        MoneyWritten("out", "412,50", "rent", on="2026-07-20"),
        MoneyWritten("out", "90", "materials", ("26-004", "26-003"), on="2026-07-21"),
        MoneyWritten("in", "35", "old stand sold", note="to Tam", on="2026-07-22"),
    ):
        do(step, Sent(noon))
    return visitor


def test_each_line_of_the_file_stands_in_its_columns(july):
    data = july.get("/money/lines.csv?from=2026-07-20&to=2026-07-24").data

    assert data.startswith(b"\xef\xbb\xbfdate,")  # by which a spreadsheet knows how letters are written
    assert data.decode("utf-8-sig").splitlines() == [
        "date,in,out,what,boards,called,note",
        "2026-07-20,,412.5,rent,,,",
        "2026-07-20,,150,materials,26-003,blue fish,",
        "2026-07-21,,60,materials,26-004,lime log,",
        "2026-07-21,,90,materials,26-004; 26-003,lime log; blue fish,",
        "2026-07-22,35,,old stand sold,,,to Tam",
    ]
    for query, name in (("from=", "money"), ("to=2026-07-24", "money-2026-07-24")):
        headers = july.get(f"/money/lines.csv?{query}").headers
        assert headers["Content-Disposition"] == f'attachment; filename="{name}.csv"'


@pytest.mark.parametrize(
    ("query", "about", "file"),
    [
        ("?from=2026-07-20&to=2026-07-24", "2026-07-20/2026-07-24", "?from=2026-07-20&to=2026-07-24"), ("?from=&to=2026-07-24", "/2026-07-24", "?to=2026-07-24"),
        ("?from=&to=", "/", "?from="), ("", "2026-01-01/", "?from=2026-01-01"),
    ],
)  # fmt: skip
def test_sums_lines_and_file_are_of_the_same_two_days(july, monkeypatch, query, about, file):
    held, asked, one = {}, [], july.app.extensions["counter"]
    monkeypatch.setattr(page, "render_template", lambda _, **given: held.update(given) or "")
    monkeypatch.setattr(page, "SHOWN", 2)
    monkeypatch.setattr(one, "answer", lambda question: asked.append(question) or (None, False))
    july.get(f"/money{query}")

    assert asked == [PageQuestion("money", about)]
    assert held["file"] == f"/money/lines.csv{file}"
    assert held["ways"] == [("in", "It came in"), ("out", "It went out")]
    assert [name for name, _ in held["whats"]] == ["deposit", "payment", "refund", "materials", "rent"]
    assert [board.board for board in held["boards"]] == ["26-008", "26-007"]
    if query.startswith("?from=2"):
        table, rest = held["lines"]
        assert [row[0] for row in table.rows] == ["Wed 22 July 2026", "Tue 21 July 2026"]
        assert rest == "And 3 earlier lines; all of them are in the file."


def test_boards_that_were_ticked_stay_ticked_where_the_line_is_refused(july):
    shown = sent(july, way="out", amount="", what="materials", board=["26-007"]).get_data(as_text=True)

    assert re.search(r'name="board" value="26-007" checked', shown)
    assert not re.search(r'name="board" value="26-008" checked', shown)


def test_money_is_likely_of_the_newest_twelve_that_are_neither_turned_down_nor_fetched():
    states = ["asked", "declined", "withdrawn", "finished", "finished", "waiting"]
    boards = [
        Board(f"b{n}", state=state, collected=TODAY if n == 3 else None) for n, state in enumerate(states)
    ]

    assert [board.board for board in page._boards(tuple(boards))] == ["b5", "b4", "b0"]
    many = tuple(Board(f"b{n}") for n in range(14))
    assert [board.board for board in page._boards(many)] == [f"b{n}" for n in range(13, 1, -1)]


def test_what_is_to_be_said_after_a_line_is_said_on_the_page(july, monkeypatch):
    def taken(_, form):
        july.app.extensions["said"] = {form.key: ("Look at the rent.",)} if form.text("note") else {}
        return object()

    monkeypatch.setattr(page, "take_step", taken)
    assert sent(july, note="").headers["Location"] == "/money"
    way = sent(july, note="x").headers["Location"]
    assert way.startswith("/money?said=")
    assert "Look at the rent." in july.page(way)


@pytest.mark.parametrize(("typed", "what"), [("gift", "gift"), ("", "rent")])
def test_words_of_ones_own_stand_before_the_choice_beside_them(july, monkeypatch, typed, what):
    taken = []
    monkeypatch.setattr(page, "take_step", lambda step, _: taken.append(step) or object())
    fields = {"what.other": typed, "what": "rent", "board": ["26-008"], "boards": "red ; ;tan"}
    assert sent(july, way="in", amount="3", note="n", on="2026-07-01", **fields).status_code == 303

    assert taken == [MoneyWritten("in", "3", what, ("26-008", "red ", "tan"), "n", "2026-07-01")]


def test_days_are_read_as_this_workshop_writes_them_from_the_day_one_looks_from(tmp_path, monkeypatch):
    file, held = write(tmp_path / "shop") / "workshop.toml", {}
    file.write_text(
        file.read_text("utf-8").replace("[workshop]", '[workshop]\ndates = "day-month"', 1), "utf-8"
    )
    monkeypatch.setattr(page, "render_template", lambda _, **given: held.update(given) or "")
    reader = client(tmp_path / "shop", today=dt.date(2025, 5, 2))
    reader.get("/money?from=3/7/2025&to=Friday%2C%204%20July%202025")
    assert held["file"] == "/money/lines.csv?from=2025-07-03&to=2025-07-04"
    reader.get("/money")
    assert held["file"] == "/money/lines.csv?from=2025-01-01"
    assert [board.board for board in held["boards"]][:2] == ["26-008", "26-007"]  # later ones too
