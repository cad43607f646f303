"""The steps of a working day on pages, by forms alone: what each leaves in the log, and what is said where it can't be."""

import datetime as dt
import html
import io
import re

import pytest
from making.counter import client
from making.working_day import MAY, AtOnce, as_written, in_a_book, in_files
from PIL import Image

from estimator.counter.showing import to_show
from estimator.log.steps.enquiry import OwnerAnswered
from estimator.log.store import Sent
from estimator.words.actions import Action
from estimator.words.phrases import inside, round_hours

RED, FISH, NEW = "26-001", "26-002", "26-003"


@pytest.fixture
def counter(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    in_files(folder)
    visitor = client(folder, today=MAY, writes=True)
    held = visitor.app.extensions["counter"]
    held.worker = AtOnce(held)
    visitor.shop = held.shop
    return visitor


def board(counter, name):
    return as_written(counter.shop.snapshot(MAY)).board(name)


def plain(text):
    """What a page says, without its marks."""
    text = re.sub(r"<(style|script).*?</\1>", " ", text, flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", text).split()).replace("&#39;", "'").replace("&#34;", '"')


def sent(counter, path, shown=None, **fields):
    """A form that is taken: where it goes on."""
    answer = counter.send(path, shown or path, **fields)
    assert answer.status_code == 303, plain(answer.get_data(as_text=True))
    return answer.headers["Location"]


def test_from_a_call_to_a_telling(counter):
    assert (
        sent(counter, "/new", owner="Tam Ludd", reach="0000 11", kind="major", feet="9", inches="6")
        == f"/new/{NEW}"
    )
    counter.get(f"/new/{NEW}")  # asks for the answer
    rough = plain(counter.page(f"/new/{NEW}"))
    assert "Nothing is known of this one yet." in rough
    assert "Thank you for asking. I'm sorry, that one is not for me." in rough
    assert "Board here?" in rough
    assert "looked.infills" not in counter.page(f"/new/{NEW}")

    here = counter.page(f"/new/{NEW}?here=yes")
    assert here.index("<details><summary>What it would be, roughly") < here.index('name="looked.infills"')
    assert "Hours, price and day" not in here  # before the own guess is in
    page = f"/new/{NEW}"
    said = {
        "looked.infills": "2",
        "looked.wetness": "damp",
        "looked.spray_colours": "2",
        "looked.sides_stripped": "2",
    }
    assert sent(counter, page, f"{page}?here=yes", guess="60", **said) == f"/new/{NEW}#answer"
    assert board(counter, NEW).guess == 60
    counter.get(page)
    answered = counter.page(page)
    assert "Hours, price and day" in answered
    offered = {
        name: re.search(rf'id="f-told-{name}" name="{name}" value="([^"]*)"', answered)[1]
        for name in ("hours", "price", "last")
    }
    said = counter.shop.snapshot(MAY).range(NEW, dates=True)
    assert [float(end) for end in offered["hours"].split("-")] == [
        round_hours(said.low),
        round_hours(said.high),
    ]
    assert offered["last"] == said.ready.tell.isoformat()
    sent(counter, f"/boards/{NEW}/write/told", page, said_yes="yes", **offered)
    told = as_written(counter.shop.snapshot(MAY)).log.told[-1]
    assert (told.board, told.last, told.price) == (NEW, said.ready.tell, float(offered["price"]))
    assert board(counter, NEW).state == "waiting"


def test_put_by_keeps_what_was_answered(counter):
    where = sent(
        counter,
        f"/new/{FISH}",
        f"/new/{FISH}?here=yes",
        put_by="yes",
        **{"looked.infills": "?", "looked.logos": "1"},
    )
    assert where == "/"
    assert board(counter, FISH).assessed["logos"] == 1
    page = counter.page(f"/new/{FISH}")
    assert re.search(r'name="looked.logos" value="1" checked', page)
    assert re.search(r'name="looked.infills" value="\?" checked', page)
    assert "Show it without my own hours" in page
    seen = counter.page(f"/new/{FISH}?here=yes&seen=yes")
    assert "A guess made after seeing ours is kept, and not judged." in seen
    sent(counter, f"/new/{FISH}", f"/new/{FISH}?here=yes&seen=yes", seen="yes", guess="9")
    assert board(counter, FISH).from_memory


def test_only_asked_is_one_press(counter):
    assert sent(counter, "/new", only_asked="yes") == "/new?counted=yes"
    assert "Counted: only asked." in counter.page("/new?counted=yes")
    assert board(counter, NEW).state == "declined"


def test_what_is_wrong_stands_at_its_field_and_what_was_typed_stays(counter):
    answer = counter.send("/new", "/new", owner="Tam", **{"feet.other": "9.6"}, kind="major")
    text = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert '<a href="#f-feet">' in text
    assert 'value="9.6"' in text
    assert 'value="Tam"' in text
    assert 'value="major" checked' in text
    answer = counter.send(
        f"/boards/{RED}/write/hours",
        f"/boards/{RED}/write/hours",
        stage="strip",
        **{"hours.other": "a while"},
    )
    text = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "a while" in text
    assert as_written(counter.shop.snapshot(MAY)).log.entries == ()


def test_a_form_that_is_sent_twice_is_one_entry(counter):
    page = f"/boards/{RED}/write/hours"
    text = counter.page(page)
    key = re.search(r'name="key" value="([^"]+)"', text)[1]
    for _ in range(2):
        sent(counter, page, page, key=key, stage="strip", hours="2")
    assert len(as_written(counter.shop.snapshot(MAY)).log.entries) == 1


def test_every_step_has_a_page_and_what_it_leaves(counter):
    write = f"/boards/{RED}/write"
    sent(counter, f"{write}/hours", stage="strip", hours="4", done="yes")
    sent(counter, f"{write}/found", **{"found.wetness": "damp"})
    sent(counter, f"{write}/weight", weight="6.4")
    sent(counter, f"{write}/stopped", cause="owner", note="which blue")
    sent(counter, f"{write}/going")
    sent(counter, f"{write}/note", text="two parts white")
    sent(counter, f"{write}/told", hours="50-80", price="2000", last="2026-07-01")
    sent(counter, f"{write}/struck", why="wrong board")
    sent(counter, f"{write}/deposit", amount="300")
    sent(counter, f"{write}/ready", cost_time="wet")
    sent(counter, f"{write}/collected", what="collected")
    log = as_written(counter.shop.snapshot(MAY)).log
    red = log.by_id[RED]
    assert (red.found["wetness"], red.deposit, red.cost_time, red.collected) == (1, 300, "wet", MAY)
    assert (log.weighings[0].weight_kg, log.notes[0].text, log.waits[0].until) == (
        6.4,
        "two parts white",
        MAY,
    )
    assert (log.told, log.struck[0].struck) == ((), "wrong board")
    assert counter.get(f"{write}/dance").status_code == 404
    assert counter.get("/boards/nobody/write/hours").status_code == 404


def test_what_is_asked_for_since_is_worked_out_then_agreed(counter):
    sent(counter, f"/boards/{RED}/write/told", hours="50-80", price="2000", last="2026-07-01")
    page = f"/boards/{RED}/write/asked-since"
    asked = f"{page}?more.spray_colours=1&more.logos="
    counter.get(asked)
    text = counter.page(asked)
    added = counter.shop.snapshot(MAY).asked_since(RED, {"spray_colours": 1})
    assert "The owner agreed" in text
    assert added.ready.after.tell.isoformat() in text
    fields = dict(re.findall(r'type="hidden" name="((?:shown|more)\.[^"]+)" value="([^"]*)"', text))
    assert fields["more.spray_colours"] == "1"
    sent(counter, page, asked, price="180", **fields)
    log = as_written(counter.shop.snapshot(MAY)).log
    assert log.by_id[RED].later["spray_colours"] == 1
    told = log.told[-1]
    assert (told.price, told.because, told.last) == (2180, "asked later", added.ready.after.tell)
    answer = counter.send(page, page, **{"more.logos": "-4"})
    assert answer.status_code == 422


def test_not_in_today_moves_the_calendar_and_back_ends_it(counter):
    assert "Not in" in plain(counter.page("/"))
    sent(counter, "/not-in", "/", until="")
    assert [(a.first, a.last) for a in counter.shop.snapshot(MAY).settings.bench.away] == [(MAY, MAY)]
    assert "Back in from today" in counter.page("/")
    sent(counter, "/not-in", "/", back="yes")
    assert counter.shop.snapshot(MAY).settings.bench.away == ()
    sent(counter, "/not-in", "/", until="till", until_day="2026-05-08")
    assert counter.shop.snapshot(MAY).settings.bench.away[0].last == dt.date(2026, 5, 8)
    assert counter.send("/not-in", "/", until="till").status_code == 422


def test_whom_to_ring_is_answered_on_the_page(counter):
    sent(counter, f"/boards/{RED}/write/told", hours="50-80", last="2026-05-06")
    counter.get("/")
    text = counter.page("/")
    assert "Whom to ring, and what to say" in text
    to_ring = text.partition("<h1>")[2].partition("Touch today")[0]
    assert plain(to_ring).count("red nine-four You told them by Wed 6 May") == 1
    assert plain(to_ring).count("red nine-four") == 4  # nobody twice: its name, and what each button is about
    assert f"/boards/{RED}/write/told?last=" in text
    about = re.search(r'name="about" value="([^"]+)"', text)[1]
    why = re.search(r'name="why" value="([^"]+)"', text)[1]
    assert about == "2026-05-06"
    sent(counter, f"/rung/{RED}", "/", why=why, about=about, answer="left it")
    counter.get("/")
    assert "Whom to ring" not in counter.page("/")
    told = counter.page(f"/boards/{RED}/write/told?last=2026-07-01&because=late")
    assert 'value="2026-07-01"' in told
    assert re.search(r'name="because" value="late" checked', told)


def test_where_nothing_is_written_nothing_is_offered(counter):
    counter.app.extensions["counter"]._writes = False
    assert "Not in" not in plain(counter.page("/"))
    answer = counter.send(
        f"/boards/{RED}/write/hours", "/boards/26-001/write/hours", stage="strip", hours="1"
    )
    assert answer.status_code == 422


def test_undo_stands_on_every_page_of_a_book(tmp_path):
    folder = tmp_path / "book"
    folder.mkdir()
    in_a_book(folder)
    visitor = client(folder, today=MAY)
    held = visitor.app.extensions["counter"]
    held.worker, visitor.shop = AtOnce(held), held.shop
    sent(visitor, f"/boards/{RED}/write/hours", stage="strip", hours="2")
    sent(visitor, f"/boards/{RED}/write/weight", weight="6.4")
    for page in ("/", "/new", f"/boards/{RED}", "/on-the-go"):
        assert "Undo: red nine-four weighs 6.4 kg" in plain(visitor.page(page))
    act = re.search(r'name="act" value="(\d+)"', visitor.page("/"))[1]
    sent(visitor, "/undo", "/", act=act)
    log = as_written(visitor.shop.snapshot(MAY)).log
    assert (log.weighings, len(log.entries)) == ((), 1)
    assert "Undo: 2 hours on red nine-four, strip old glass" in plain(visitor.page("/"))
    answer = visitor.send("/undo", "/", act=act)  # taken back already
    assert answer.status_code == 422
    assert len(as_written(visitor.shop.snapshot(MAY)).log.entries) == 1


def test_photos_are_kept_by_what_is_in_them(counter):
    picture = io.BytesIO()
    Image.new("RGB", (40, 30), "white").save(picture, "JPEG")
    picture.seek(0)
    sent(counter, f"/boards/{RED}/write/note", text="nose", photos=(picture, "../../nose.jpg"))
    [note] = as_written(counter.shop.snapshot(MAY)).log.notes
    assert (note.text, note.photo[-4:]) == ("nose", ".jpg")
    assert "nose" not in note.photo
    assert (counter.app.extensions["counter"].folder / "photos" / note.photo).exists()
    answer = counter.send(
        f"/boards/{RED}/write/note", f"/boards/{RED}/write/note", photos=(io.BytesIO(b"no"), "x.jpg")
    )
    assert answer.status_code == 422


def test_a_board_is_weighed_up_at_a_price_that_one_asks_about(counter):
    sent(counter, f"/new/{FISH}", f"/new/{FISH}?here=yes", **{"looked.infills": "1", "looked.wetness": "dry"})
    page = f"/take-it-on/{FISH}"
    counter.get(page)
    assert "No price is named for green fish" in plain(counter.page(page))
    for price in (400, 900):
        counter.get(f"{page}?price={price}")
        said = plain(counter.page(f"{page}?price={price}"))
        assert f'name="price" type="text" value="{price}"' in counter.page(f"{page}?price={price}")
        assert f"Take it on? green fish, at {price}" in said
    odd = counter.page(f"{page}?price=a+lot")
    assert '<a href="#f-price">' in odd


def test_what_comes_next_on_a_board_in_line_is_what_its_hours_are_offered_for(counter):
    counter.shop.do(OwnerAnswered(FISH, yes=True), Sent(dt.datetime.combine(MAY, dt.time(12))))
    counter.page(f"/boards/{FISH}")  # works it out
    page = counter.page(f"/boards/{FISH}")
    offered = re.search(r'name="stage" value="(\w+)" checked', page)[1]
    stage = counter.shop.snapshot(MAY).settings.label(offered)

    assert f"Next: {inside(stage)};" in page


def test_a_decision_is_kept_from_the_page_that_weighs_a_board_up(counter):
    sent(counter, f"/new/{FISH}", f"/new/{FISH}?here=yes", **{"looked.infills": "1", "looked.wetness": "dry"})
    counter.get(f"/take-it-on/{FISH}?price=100")  # works it out
    page = html.unescape(counter.page(f"/take-it-on/{FISH}?price=100"))
    ways = re.findall(rf'<a class="button" href="(/boards/{FISH}/write/weigh-up[^"]*)">([^<]+)</a>', page)

    assert ways == [
        (f"/boards/{FISH}/write/weigh-up?answer=yes&for_love=yes", "Take it for love"),
        (f"/boards/{FISH}/write/weigh-up", "Keep a decision"),
    ]
    form = counter.page(ways[0][0])
    assert re.search(r'name="answer" value="yes" checked', form)
    assert re.search(r'name="for_love" value="yes" checked', form)
    sent(counter, f"/boards/{FISH}/write/weigh-up", answer="yes", for_love="yes", why="it was his father's")
    kept = board(counter, FISH)
    assert (kept.decided, kept.for_love, kept.decided_why) == ("yes", True, "it was his father's")


def test_a_sentence_that_leads_nowhere_on_a_page_is_left_out(counter):
    leads = [
        "Two boards teach nothing. The cells to fill:",
        Action("check"),
        "Once told, write it:",
        Action("tell", RED),
        "Alone:",
        Action("new"),
    ]
    with counter.app.test_request_context():
        shown = to_show(leads)

    assert shown == ["Two boards teach nothing.", "Once told, write it:", Action("tell", RED)]
