"""Each thing that happens in a working day, over every kind of store: what it writes, what it is called, what it refuses."""

import datetime as dt
from dataclasses import replace

import pytest
from making.working_day import MAY, STORES, opened

from estimator.bench.call_log import unanswered
from estimator.bench.promises import IN_DANGER
from estimator.log.steps.enquiry import NewBoard, OwnerAnswered, OwnGuess, QuestionsAnswered
from estimator.log.steps.hours import Found, HoursNow, StageDone
from estimator.log.steps.leaving import BoardReady, CollectedAndPaid, DepositCame, GaveItBack
from estimator.log.steps.ringing import LEFT_IT, RingAnswered, answered_rings
from estimator.log.steps.standing import BackIn, GoingAgain, Noted, NotIn, Stopped, WeighedIn
from estimator.log.steps.telling import DecisionMade, StruckOut, ToldOwner
from estimator.log.steps.writing import do
from estimator.log.store import Sent
from estimator.words.errors import EstimatorError
from estimator.words.records import Board, Told
from estimator.working_day import as_written

RED, FISH = "26-001", "26-002"


@pytest.fixture(params=list(STORES))
def day(request, tmp_path):
    return opened(request.param, tmp_path)


def whole(day):
    """The log of all days, which has no problems."""
    now = day.now(400)
    assert now.problems == ()
    return now.whole_log


def test_an_enquiry_gets_a_number_of_its_own(day):
    done = day.do(
        NewBoard(owner="Tam Ludd", reach="0000 11", kind="major", length="9'6", wanted_by="2026-08-01")
    )
    assert (done.board, done.label) == ("26-003", "new: 9'6 (26-003), full restoration")
    board = day.board("26-003")
    assert (board.owner, board.reach, board.kind, board.state) == ("Tam Ludd", "0000 11", "major", "asked")
    assert (board.asked, board.wanted_by) == (MAY, dt.date(2026, 8, 1))
    assert board.length_m == pytest.approx(9.5 * 0.3048)
    assert day.do(NewBoard(called="tan log")).board == "26-004"


def test_only_asked_is_counted_as_turned_down(day):
    day.do(NewBoard(called="stranger's", only_asked=True))
    assert day.board("stranger's").state == "declined"


def test_questions_are_answered_and_the_guess_is_kept(day):
    done = day.do(
        QuestionsAnswered(
            FISH,
            {"infills": "2", "wetness": "damp", "brittle_glass": "?", "logos": "none"},
            {"width": "20 in"},
        )
    )
    assert done.label == "green fish: 5 questions answered"
    assert day.do(OwnGuess(FISH, "12-16")).label == "green fish: own guess 12-16"
    board = day.board(FISH)
    assert (board.assessed["infills"], board.assessed["wetness"], board.assessed["logos"]) == (2, 1, 0)
    assert "brittle_glass" not in board.assessed
    assert (board.guess_low, board.guess_high, board.from_memory) == (12, 16, False)
    both = QuestionsAnswered(FISH, {"pinlines": "1"}, guess="14", seen=True)
    assert day.do(both).label == "green fish: 1 question answered"
    assert (day.board(FISH).guess, day.board(FISH).from_memory) == (14, True)
    day.do(OwnGuess(FISH, "15", seen=True))
    assert day.board(FISH).from_memory is True


def test_hours_begin_a_board_and_a_stage_is_done(day):
    assert (
        day.do(HoursNow(RED, "Strip old glass", "4½")).label == "4½ hours on red nine-four, strip old glass"
    )
    board = day.board(RED)
    assert (board.state, board.started) == ("on bench", MAY)
    assert day.do(StageDone(RED, "strip"), 1).label == "red nine-four: strip old glass done"
    [entry] = whole(day).entries
    assert (entry.stage, entry.hours, entry.done, entry.date) == ("strip", 4.5, True, MAY)
    assert (
        day.do(StageDone(RED, "stain", needed=False), 1).label
        == "red nine-four: stains and base coat not needed"
    )
    assert whole(day).entries[-1].hours == 0


def test_looking_a_board_over_does_not_take_it_on(day):
    day.do(HoursNow(FISH, "assess", "1"))
    assert day.board(FISH).state == "asked"
    day.do(OwnerAnswered(FISH, yes=True), 1)
    assert (day.board(FISH).state, day.board(FISH).accepted) == ("on bench", MAY + dt.timedelta(1))
    whole(day)


def test_hours_on_no_board(day):
    assert day.do(HoursNow("shop", "sweeping", "1.5")).label == "1½ hours on no board, sweeping"
    assert whole(day).entries[0].board == "shop"


def test_doing_it_again_says_why(day):
    day.do(HoursNow(RED, "sand", "3", done=True))
    done = day.do(HoursNow(RED, "sand", "1.25", again="sand-through"), 1)
    assert done.label == "1¼ hours on red nine-four, sand again: sanded through"
    again = whole(day).entries[-1]
    assert (again.again, again.of, again.hours) == ("sand-through", "sand", 1.25)


def test_as_i_thought_fills_what_can_be_known_by_now(day):
    day.do(
        QuestionsAnswered(
            RED, {"infills": "2", "wetness": "damp", "brittle_glass": "?", "spray_colours": "2"}
        )
    )
    day.do(HoursNow(RED, "strip", "8", done=True))
    done = day.do(Found(RED, as_thought=True))
    assert done.label == "red nine-four: as I thought"
    board = day.board(RED)
    assert (board.found["infills"], board.found["wetness"], board.found["spray_colours"]) == (2, 1, 2)
    assert "brittle_glass" not in board.found
    assert done.notes[0].startswith("Not known beforehand, so say how it turned out: ")
    assert "brittle glass" in done.notes[0]
    assert day.do(Found(RED, {"infills": "5"})).label == "red nine-four: 1 thing found"
    assert day.board(RED).found["infills"] == 5
    whole(day)


def test_a_board_is_weighed_stops_and_goes_again(day):
    assert day.do(WeighedIn(RED, "6.4")).label == "red nine-four weighs 6.4 kg"
    day.do(Stopped(RED, "drying"), 1)
    assert (
        day.do(Stopped(RED, "owner", note="which blue"), 2).label
        == "red nine-four stopped, waiting for the owner"
    )
    assert day.board(RED).state == "stopped"
    day.do(GoingAgain(RED, "owner"), 4)
    assert day.board(RED).state == "waiting"
    assert day.do(GoingAgain(RED), 9).label == "red nine-four going again"
    log = whole(day)
    assert log.weighings[0].weight_kg == 6.4
    assert [(w.cause, w.first, w.until) for w in log.waits] == [
        ("drying", MAY + dt.timedelta(1), MAY + dt.timedelta(9)),
        ("owner", MAY + dt.timedelta(2), MAY + dt.timedelta(4)),
    ]


def test_a_first_telling_is_the_quote_and_a_struck_one_does_not_count(day):
    first = ToldOwner(FISH, hours="12-18", price="640", last="2026-06-12", first="2026-06-01")
    assert day.do(first).label == "told the owner of green fish: ready by Fri 12 June 2026, for 640"
    board = day.board(FISH)
    assert (board.quoted, board.price_quoted, board.promised_last) == (MAY, 640, dt.date(2026, 6, 12))
    done = day.do(StruckOut(FISH, "wrong board"), 2)
    assert done.label == "struck out what the owner of green fish was told on Mon 4 May 2026: wrong board"
    log = whole(day)
    assert log.told == ()
    assert [(t.price, t.struck) for t in log.struck] == [(640, "wrong board")]
    board = log.by_id[FISH]
    assert (board.promised_last, board.price_quoted, board.quoted) == (None, None, None)
    day.do(ToldOwner(FISH, hours="14-20", price="700", last="2026-06-20", said_yes=True), 2)
    board = day.board(FISH)
    assert (board.promised_last, board.state) == (dt.date(2026, 6, 20), "waiting")
    assert board.accepted == MAY + dt.timedelta(2)


def test_the_next_telling_takes_the_place_of_the_struck_one(day):
    day.do(ToldOwner(FISH, hours="12-18", last="2026-06-12"))
    day.do(ToldOwner(FISH, hours="12-18", last="2026-06-20", because="late"), 1)
    day.do(StruckOut(FISH, "misheard", on="2026-05-04"), 2)
    assert day.board(FISH).promised_last == dt.date(2026, 6, 20)


def test_a_later_telling_that_is_struck_out_leaves_the_first_day_where_it_is(day):
    day.do(ToldOwner(FISH, hours="12-18", price="640", first="2026-06-01", last="2026-06-12"))
    day.do(ToldOwner(FISH, hours="12-18", price="700", last="2026-06-20", because="late"), 1)
    day.do(StruckOut(FISH, "misheard"), 2)
    board = day.board(FISH)
    assert (board.promised_first, board.promised_last) == (dt.date(2026, 6, 1), dt.date(2026, 6, 12))
    assert (board.price_quoted, board.quoted) == (640, MAY)
    assert [t.price for t in whole(day).told] == [640]


def test_a_deposit_is_a_yes_and_a_board_goes_out_paid(day):
    day.do(ToldOwner(FISH, hours="12-18", price="640", last="2026-06-12"))
    assert day.do(DepositCame(FISH, "200"), 1).label == "deposit of 200 for green fish"
    assert (day.board(FISH).state, day.board(FISH).deposit) == ("waiting", 200)
    day.do(HoursNow(FISH, "sand", "3", done=True), 2)
    assert day.do(BoardReady(FISH, "foam", materials="38.50"), 8).label == "green fish is ready"
    assert day.do(CollectedAndPaid(FISH), 9).label == "green fish collected and paid"
    board = day.board(FISH)
    assert (board.state, board.cost_time, board.materials) == ("finished", "foam", 38.5)
    assert (board.ready, board.collected) == (MAY + dt.timedelta(8), MAY + dt.timedelta(9))
    assert (board.paid, board.price_charged, board.paid_on) == (640, 640, MAY + dt.timedelta(9))


def test_a_second_deposit_comes_on_top_of_the_first(day):
    day.do(DepositCame(FISH, "200"), 1)
    day.do(DepositCame(FISH, "100.50"), 3)
    assert day.board(FISH).deposit == 300.5


def test_days_that_the_row_had_of_its_own_stay_where_a_telling_is_struck_out():
    """30 June stands in the row from elsewhere, and 900 was quoted: the telling said 20 June, and 640."""
    row = Board("a", quoted=MAY, promised_last=dt.date(2026, 6, 30), price_quoted=900.0, accepted=MAY)
    gone = Told("a", MAY, price=640.0, last=dt.date(2026, 6, 20))
    assert StruckOut._own_cells(row, gone, []) == {}
    same = replace(gone, price=900.0, last=row.promised_last)
    assert StruckOut._own_cells(row, same, []) == {
        "promised_first": "",
        "promised_last": "",
        "price_quoted": "",
    }


def test_a_board_that_is_stopped_for_its_owner_goes_on_with_his_answer_alone(day):
    day.do(Stopped(RED, "owner"))
    day.do(Stopped(RED, "parts"), 1)

    day.do(GoingAgain(RED, "parts"), 2)
    assert day.board(RED).state == "stopped"
    day.do(GoingAgain(RED, "owner"), 3)
    assert day.board(RED).state == "waiting"
    assert [wait.until.day for wait in day.now(400).whole_log.waits] == [7, 6]


def test_a_part_of_the_money_leaves_the_rest_owing(day):
    day.do(ToldOwner(RED, hours="50-80", price="2000", last="2026-06-12"))
    day.do(HoursNow(RED, "sand", "3", done=True), 2)
    day.do(BoardReady(RED), 3)
    day.do(CollectedAndPaid(RED, amount="1500"), 4)
    assert (day.board(RED).paid, day.board(RED).paid_on) == (1500, None)
    day.do(CollectedAndPaid(RED, collected=False), 6)
    assert (day.board(RED).paid, day.board(RED).paid_on) == (2000, MAY + dt.timedelta(6))


def test_given_back_half_done(day):
    day.do(DepositCame(RED, "300"))
    day.do(HoursNow(RED, "strip", "5"), 1)
    done = day.do(GaveItBack(RED, kept="260", returned="40", why="moving away"), 5)
    assert done.label == "red nine-four given back, 260 kept"
    board = day.board(RED)
    assert (board.state, board.paid, board.returned) == ("withdrawn", 300, 40)
    from estimator.decide.quarter.lost_time import given_back

    [one] = given_back(whole(day), day.shop.settings)
    assert (one.hours, one.kept, one.returned, one.ended) == (5, 260, 40, MAY + dt.timedelta(5))


def test_days_away_are_in_the_settings_and_end(day):
    assert day.do(NotIn()).label == "not in today"
    assert [(a.first, a.last) for a in day.shop.settings.bench.away] == [(MAY, MAY)]
    day.do(NotIn("2026-05-08"), 1)
    assert day.do(BackIn(), 3).label == "back in"
    away = [(a.first.day, a.last.day) for a in day.shop.settings.bench.away]
    assert away == [(4, 4), (5, 6)]
    assert "say again when you know better" in day.do(NotIn("?"), 7).notes[0]
    away = [(a.first.day, a.last.day) for a in day.shop.settings.bench.away]
    assert away == [(4, 4), (5, 6), (11, 17)]  # seven days


def test_notes_and_photos_are_kept_by_name(day):
    assert day.do(Noted(RED, "two parts  white, one red")).label == "a note on red nine-four"
    assert day.do(Noted(RED, "nose", ("a1.jpg", "b2.jpg"))).label == "a note on red nine-four"
    assert day.do(Noted(photos=("c3.jpg",)), 1).label == "a photo on no board"
    assert [(n.board, n.text, n.photo) for n in whole(day).notes] == [
        (RED, "two parts white, one red", ""),
        (RED, "nose", "a1.jpg"),
        (RED, "", "b2.jpg"),
        ("shop", "", "c3.jpg"),
    ]
    done = day.do(NewBoard(called="tan", photos=("d4.jpg",)))
    assert (whole(day).notes[-1].photo, day.board(done.board).judged_with) == ("d4.jpg", "photos")


def test_where_money_has_a_sheet_each_payment_is_a_line_of_it(request, tmp_path, day):
    kind = request.node.callspec.params["day"]
    day = opened(kind, tmp_path / "more", sheets=("money",))
    day.do(ToldOwner(FISH, hours="12-18", price="640", last="2026-06-12"))
    day.do(DepositCame(FISH, "200.50"), 1)
    day.do(HoursNow(FISH, "sand", "3", done=True), 2)
    day.do(BoardReady(FISH), 3)
    day.do(CollectedAndPaid(FISH), 4)
    day.do(DepositCame(RED, "300"), 4)
    day.do(GaveItBack(RED, kept="330", returned="20"), 5)
    assert [(m.what, m.came_in, m.went_out, m.boards) for m in day.now(400).whole_log.money] == [
        ("deposit", 200.5, 0, (FISH,)),
        ("payment", 439.5, 0, (FISH,)),
        ("deposit", 300, 0, (RED,)),
        ("payment", 50, 0, (RED,)),
        ("refund", 0, 20, (RED,)),
    ]


def test_whom_to_ring_stays_until_it_is_answered(day):
    """Asking twice uses nothing up; the answer of one matter is none of another."""
    day.do(ToldOwner(RED, hours="50-80", last="2026-05-06"))
    day.do(ToldOwner(FISH, hours="50-80", last="2026-05-05", said_yes=True))
    now = day.now(1)

    def to_ring(on=1):
        now = day.now(on)
        answers = answered_rings(now.whole_log.notes)
        return {(r.board, r.why) for r in unanswered(now.morning(), answers).ring}

    assert to_ring() == to_ring() == {(FISH, IN_DANGER), (RED, IN_DANGER)}
    done = day.do(RingAnswered(FISH, IN_DANGER, LEFT_IT, "2026-05-05"), 1)
    assert done.label == "left green fish without ringing"
    assert to_ring() == {(RED, IN_DANGER)}
    day.do(ToldOwner(FISH, hours="?", last="2026-05-07", because="late"), 1)
    assert (FISH, IN_DANGER) in to_ring()
    assert now.problems == ()
    for step, why in (
        (RingAnswered(FISH, IN_DANGER, "shrugged", "2026-05-05"), '"shrugged" is no answer here'),
        (RingAnswered(FISH, "x: y", LEFT_IT), '"x: y" is no reason to ring'),
    ):
        with pytest.raises(EstimatorError, match=why):
            day.do(step, 1)


def test_hours_where_nothing_was_to_be_done_are_kept_and_said(day):
    day.do(QuestionsAnswered(FISH, {"infills": "0", "logos": "1"}))
    assert day.do(HoursNow(FISH, "infill", "2")).notes == (
        (
            "Foam pieces to let in, looked like is 0 but 2 h booked. "
            "Write how much there was in foam pieces to let in, turned out, or move the hours to another stage."
        ),
    )


def test_a_no_ends_an_enquiry(day):
    day.do(DecisionMade(FISH, "no", "no room till June"))
    board = day.board(FISH)
    assert (board.state, board.decided, board.decided_why) == ("declined", "no", "no room till June")


def test_a_form_sent_twice_is_one_act_and_with_other_fields_another(day):
    hours = HoursNow(RED, "strip", "2")
    day.do(hours, key="k1")
    again = day.do(hours, key="k1")
    assert (again.again, again.board) == (True, RED)
    assert len(whole(day).entries) == 1
    day.do(HoursNow(RED, "strip", "2.5"), key="k1")
    assert [entry.hours for entry in whole(day).entries] == [2, 2.5]
    # what could not happen a second time is no error when the same form comes again
    day.do(StageDone("red nine-four", "strip"), key="k2")
    again = day.do(StageDone("red nine-four", "strip"), key="k2")
    assert (again.again, again.board) == (True, RED)
    day.do(NewBoard(owner="Tam Ludd"), key="k3")
    assert day.do(NewBoard(owner="Tam Ludd"), key="k3").again
    assert len(whole(day).boards) == 3


def done_while(day, others, step):
    """Does a step that is planned before others do theirs, and written after it."""
    waiting = [others]

    def written():
        now = as_written(day.now())
        if waiting:
            day.do(waiting.pop())
        return now

    return do(day.shop.store, written, step, Sent(dt.datetime.combine(MAY, dt.time(12))))


def test_a_book_keeps_when_and_from_where_a_step_came(tmp_path):
    day = opened("book", tmp_path)
    noon = dt.datetime.combine(dt.date(2026, 5, 6), dt.time(12, 30))
    for origin in ("command", "page"):
        day.shop.do(Noted(RED, f"by {origin}"), Sent(noon, origin=origin))
    acts = day.shop.acts(2)
    assert [(act.origin, act.at[:16]) for act in acts] == [
        ("page", "2026-05-06T12:30"),
        ("command", "2026-05-06T12:30"),
    ]
    assert [(note.text, note.date.day) for note in day.now(400).whole_log.notes] == [
        ("by command", 6),
        ("by page", 6),
    ]


def test_a_row_that_was_planned_before_others_wrote_is_planned_anew(day):
    done = done_while(day, NewBoard(called="grey egg"), NewBoard(called="tan log"))
    assert done.board == "26-004"
    assert [(board.board, board.called) for board in whole(day).boards[2:]] == [
        ("26-003", "grey egg"),
        ("26-004", "tan log"),
    ]


def test_hours_for_which_others_have_left_no_room_meanwhile_are_refused(day):
    """20 and 4.5 hours on one day: either alone is well."""
    with pytest.raises(EstimatorError, match=r"2026-05-04 has 24\.5 h in all"):
        done_while(day, HoursNow(FISH, "assess", "20"), HoursNow("shop", "sweeping", "4.5"))
    assert [(entry.board, entry.hours) for entry in whole(day).entries] == [(FISH, 20)]


REFUSED = [
    (NewBoard(), "No name is written"),
    (NewBoard(called="x", length="9.6"), 'Length "9.6": '),
    (NewBoard(called="x", kind="magor"), 'Kind "magor": that is not one of the words known here'),
    (NewBoard(called="red nine-four"), 'Called "red nine-four": board 26-001 is called that too'),
    (NewBoard(called="x", wanted_by="soon"), 'Wanted by "soon": '),
    (NewBoard(called="x", on="2026-05-05"), "is still to come"),
    (QuestionsAnswered("blue", {"infills": "1"}), 'No board is called "blue"'),
    (
        QuestionsAnswered(FISH, {"infils": "1"}),
        '"infils" is nothing that a board has. The nearest name known here is infills',
    ),
    (QuestionsAnswered(FISH, {"infills": "many"}), 'Foam pieces to let in, looked like "many": '),
    (QuestionsAnswered(FISH, {"infills": ""}), "Nothing new of green fish is said"),
    (OwnGuess(FISH, ""), "No hours are written"),
    (OwnGuess(FISH, "soon"), 'Guess "soon": '),
    (HoursNow(RED, "strap", "1"), '"strap" is no stage here. The nearest name known here is strip'),
    (HoursNow(RED, "strip", "a while"), "a while"),
    (HoursNow(RED, "strip", "0"), "no hours are no work"),
    (HoursNow(RED, "strip", "25"), 'Hours "25": these are 25 h, and a day has 24'),
    (HoursNow(RED, "strip", "2", again="paint"), "was not done on red nine-four yet"),
    (HoursNow(RED, "strip", "2", again="boredom"), '"boredom" is no reason known here'),
    (StageDone(RED, "strip"), "no hours are written on red nine-four"),
    (Found(RED, {}), "Nothing of red nine-four is said"),
    (Found(RED, {"wetness": "moist"}), 'Wet foam, turned out "moist": that is none of its grades'),
    (WeighedIn(RED, "heavy"), 'Weight "heavy": '),
    (Stopped(RED, "mood"), '"mood" is no cause known here'),
    (GoingAgain(RED), "Red nine-four isn't stopped"),
    (ToldOwner(RED, hours="50-80", last="2026-04-30"), "is over on"),
    (ToldOwner(RED, hours="0"), "Zero hours can't be told"),
    (StruckOut(RED, "wrong"), "was told nothing"),
    (DepositCame(RED, ""), "No money is written"),
    (DepositCame(RED, "lots"), "lots"),
    (BoardReady(RED), "No hours are written on red nine-four"),
    (BoardReady(FISH), "Green fish was never begun"),
    (CollectedAndPaid(FISH), "Green fish was never begun"),
    (CollectedAndPaid(RED), "No price is written for red nine-four"),
    (GaveItBack(FISH, "1"), "Green fish was never taken on"),
    (GaveItBack(RED, "100", "50"), "50 given back is more than the 0 that was paid"),
    (OwnerAnswered(RED, yes=True), "isn't waiting for a yes any more"),
    (NotIn("2026-05-01"), "is over"),
    (Noted(RED, " "), "Nothing is noted"),
    (BackIn(), "Today isn't a day away"),
    (DecisionMade(FISH, "no", ""), "A decision without its reason teaches nothing"),
]


@pytest.mark.parametrize(
    ("step", "why"), REFUSED, ids=[f"{type(s).__name__}-{n}" for n, (s, _) in enumerate(REFUSED)]
)
def test_what_cannot_be_is_refused_and_nothing_is_written(day, step, why):
    before = day.shop.store.revision()
    with pytest.raises(EstimatorError) as caught:
        day.do(step, key="k")
    assert why in str(caught.value)
    assert caught.value.cure
    assert day.shop.store.revision() == before


def test_refused_once_there_is_more(day):
    day.do(ToldOwner(FISH, hours="12-18", price="640", last="2026-06-12"))
    day.do(OwnGuess(FISH, "15"))
    day.do(DepositCame(FISH, "100"))
    day.do(Stopped(FISH, "parts"), 1)
    day.do(HoursNow(RED, "strip", "20"), 1)
    for step, why in (
        (ToldOwner(FISH, hours="20-30"), "was told already"),
        (OwnGuess(FISH, "20"), "stands, and its owner was told"),
        (QuestionsAnswered(FISH, {"logos": "1"}, guess="20"), "stands, and its owner was told"),
        (StruckOut(FISH, ""), "struck out with its reason"),
        (Stopped(FISH, "parts"), "stands already, since Tue 5 May 2026: waiting for parts"),
        (GaveItBack(FISH, "50", "20"), "don't add up"),
        (QuestionsAnswered(RED, {"infills": "9"}), "what it looked like before stays as it is"),
        (HoursNow(FISH, "strip", "5", on="2026-05-05"), "2026-05-05 has 25 h in all"),
    ):
        with pytest.raises(EstimatorError) as caught:
            day.do(step, 2)
        assert why in str(caught.value)
    day.do(GoingAgain(FISH), 2)
    day.do(HoursNow(FISH, "sand", "2"), 2)
    day.do(BoardReady(FISH), 3)
    day.do(CollectedAndPaid(FISH), 4)
    for step, why in (
        (HoursNow(FISH, "sand", "2"), "was fetched on Fri 8 May 2026"),
        (CollectedAndPaid(FISH), "was fetched on"),
        (CollectedAndPaid(FISH, collected=False), "was paid on"),
        (WeighedIn(FISH, "3"), "was fetched on"),
    ):
        with pytest.raises(EstimatorError) as caught:
            day.do(step, 5)
        assert why in str(caught.value)
