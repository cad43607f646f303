"""A month of an invented shop, played on the page by taps and typing alone: its book is that of the same month in csv."""

import datetime as dt
import os
import shutil
from concurrent.futures import ThreadPoolExecutor

import pytest
from making.a_month import (
    FISH,
    FISH_LOOKS,
    RED,
    TAN,
    TAN_LOOKS,
    given_back,
    handed_over,
    hung_up,
    small_one,
    stripped,
    wet_inside,
)
from making.browser import Hand, chromium, served
from making.working_day import MAY, AtOnce, in_a_book, opened

from estimator.counter.app import create_app
from estimator.counter.step_questions import SINCE, TELLING
from estimator.log.exchange.importing import ImportChoices, import_folder
from estimator.log.kept_in import store_of
from estimator.log.steps.enquiry import NewBoard, OwnGuess, QuestionsAnswered
from estimator.log.steps.leaving import DepositCame
from estimator.log.steps.standing import Noted
from estimator.log.steps.telling import AskedSince, StruckOut, ToldOwner, figures_of
from estimator.working_day import DayAnswers

pytestmark = pytest.mark.skipif(
    shutil.which("chromedriver") is None and os.environ.get("BROWSER") != "must",
    reason="no browser is installed",
)
NAMES = {RED: "red nine-four", FISH: "green fish", TAN: "tan log"}
A_WAY = "return [...document.querySelectorAll('a.button')].some((one) => one.checkVisibility() && one.innerText === arguments[0]);"
FISH_WORK = "fish assess ½ done, clean ½ done, strip 1 done, let in 2 done, reshape 1 done, laminate 1½ done"
FISH_MORE = "filler 1 done, sand 1 done"


class OnlyWhatIsAsked(AtOnce):
    """Works out what an owner asks for since and what he is told, and nothing else, so that a month is short."""

    def ask(self, question, as_of):
        if question.kind in {SINCE, TELLING}:
            super().ask(question, as_of)


class ShopHand(Hand):
    """A hand that finds its way from the foot of the page to a board and to a step."""

    def board(self, board):
        if self.driver.current_url.partition("?")[0].endswith(f"/boards/{board}"):
            return  # it is open
        self.follow("On the go", "nav a")
        self.follow(NAMES[board], "a")
        self.at(f"/boards/{board}")

    def step(self, board, words, *, day=""):
        """Opens the form of a step, wherever the page offers it."""
        self.board(board)
        if not self.driver.execute_script(A_WAY, words):
            self.tap_words("Something else", "summary")
        self.follow(words, "a.button")
        self.find("h1")
        if day:
            self.type("on", day)

    def rarely(self):
        self.tap_words("More, if it is needed", "summary")

    def pick(self, name, words):
        """A choice from a list, by its first letters, as a keyboard does it."""
        box = self.find(f'select[name="{name}"]')
        self._tap(box)
        box.send_keys(words)
        box.send_keys("\ue007")

    def answer(self, prefix, said):
        for name, value in said.items():
            if self.driver.find_elements("css selector", f'input[name="{prefix}{name}"][value="{value}"]'):
                self.choose(f"{prefix}{name}", value)
            else:
                self.type(f"{prefix}{name}.other", value)

    def hours(self, board, stage, label, hours, *, done=False):
        self.board(board)
        if self.driver.find_elements("css selector", f'input[name="stage"][value="{stage}"]'):
            self.choose("stage", stage)
        else:
            self.pick("stage.other", label)
        if self.driver.find_elements("css selector", f'input[name="hours"][value="{hours}"]'):
            self.choose("hours", hours)
        else:
            self.type("hours.other", hours)
        if done:
            self.choose("done", "yes")
        self.press("Write it")

    def told(self, board, price, **more):
        self.step(board, "I told the owner")
        for name in ("hours", "last"):
            if more.get(name):
                self.type(name, more[name])
        self.type("price", price)
        for name in ("because", "paid_by"):
            if more.get(name):
                self.choose(name, more[name])
        self.press("Write it")


def since(day, n, board, more, price):
    """What an owner asked for since, with what was worked out of it, as a page carries it."""
    answers = DayAnswers(day.now(n))
    agreement = answers.agreement(board, more)
    less = agreement.said.hours.high < 0
    return AskedSince(board, more, price=price, worked_out=figures_of(agreement, less=less, extra=None))


def in_csv(day):
    """The month, step by step; then its book."""
    do = day.do
    do(NewBoard(owner="Tam Ludd", called="tan log", kind="major", length="9'6", wanted_by="2026-09-01"))
    do(NewBoard(owner="A stranger", only_asked=True))
    about = {"width": "22 1/2 in", "outline": "long", "judged_with": "in hand"}
    do(QuestionsAnswered(TAN, TAN_LOOKS, about), 1)
    do(OwnGuess(TAN, "60"), 1)
    do(ToldOwner(TAN, price="2400"), 1)
    do(DepositCame(TAN, "800"), 2)
    do(ToldOwner(RED, hours="40-60", price="1", last="2026-07-30"), 2)
    do(StruckOut(RED, "wrong board"), 3)
    do(ToldOwner(RED, price="2100"), 3)
    stripped(do)
    wet_inside(do)
    hung_up(do)
    do(since(day, 9, TAN, {"spray_colours": "1"}, "300"), 9)
    do(since(day, 10, TAN, {"pinlines": "-1"}, "100"), 10)
    about = {"width": "20 in", "outline": "fish", "judged_with": "in hand"}
    small_one(do, about)
    do(Noted(FISH, "the tail was cracked"), 14)
    handed_over(do)
    given_back(do)


def on_the_page(hand, clock):
    """The same month by a hand at a phone, up to the hand-over and a board that is given back."""

    def on(n):
        clock[0] = MAY + dt.timedelta(days=n)

    def ask(board, name, much, price):
        hand.step(board, "Asked for since")
        hand.choose(f"more.{name}", much)
        hand.press("Work it out")
        if "The owner agreed" not in hand.text():
            hand.driver.refresh()
        hand.type("price", price)
        hand.press("The owner agreed")

    def board_here(board, width, shape, looks, guess):
        hand.board(board)
        if "Board here?" not in hand.text():
            words = "Board here: answer questions"
            if words not in hand.text():
                hand.tap_words("Something else", "summary")
            hand.follow(words)
        hand.type("width", width)
        hand.choose("outline", shape)
        hand.answer("looked.", looks)
        hand.type("guess", guess)
        hand.press("Work it out")

    # Monday: somebody rings; somebody else only asks
    hand.open("/")
    hand.follow("New", "nav a")
    hand.type("owner", "Tam Ludd")
    hand.choose("kind", "major")
    hand.choose("feet", "9")
    hand.choose("inches", "6")
    hand.rarely()
    hand.type("called", "tan log")
    hand.type("wanted_by", "2026-09-01")
    hand.press("What would it be?")
    hand.follow("New", "nav a")
    hand.type("owner", "A stranger")
    hand.press("Only asked: count it")

    # Tuesday: the board is here, looked at, guessed, told
    on(1)
    board_here(TAN, "22 1/2 in", "long", TAN_LOOKS, "60")
    hand.told(TAN, "2400")
    on(2)
    hand.step(TAN, "Deposit came")
    hand.type("amount", "800")
    hand.press("Write it")
    hand.told(RED, "1", hours="40-60", last="2026-07-30")
    on(3)
    hand.step(RED, "Strike out what was told")
    hand.type("why", "wrong board")
    hand.press("Write it")
    hand.told(RED, "2100")

    # a week of work: stripped, wet inside, hung up
    on(8)
    hand.follow("Today", "nav a")
    hand.follow("Hours of the week", "a")
    hand.type(
        "page", "7 May tan clean 1½, strip 4. 8 May tan strip 4. 11 May tan strip 4. 12 May tan strip 4"
    )
    hand.press("Write them down")
    assert "5 lines of hours, 17.5 h" in hand.text()
    hand.board(TAN)
    hand.press("Strip old glass: stage done")
    hand.step(TAN, "What did you find?")
    hand.answer("found.", {"wetness": "wet", "infills": "5"})
    hand.press("Write it; the rest is not known yet")
    hand.step(TAN, "What did you find?")
    hand.press("Just as I thought")
    hand.step(TAN, "Stopped")
    hand.choose("cause", "drying")
    hand.press("Write it")
    hand.step(TAN, "Weigh-in")
    hand.type("weight", "7.9")
    hand.press("Write it")
    hand.told(TAN, "2500", because="hidden work", paid_by="half")
    on(9)
    ask(TAN, "spray_colours", "1", "300")
    on(10)
    ask(TAN, "pinlines", "-1", "100")

    # a small one meanwhile: taken in, its week typed on Friday, sanded through
    board_here(FISH, "20 in", "fish", FISH_LOOKS, "9")
    hand.told(FISH, "640")
    hand.step(FISH, "The owner said yes or no")
    hand.press("The owner said yes")
    on(14)
    hand.follow("Today", "nav a")
    hand.follow("Hours of the week", "a")
    hand.follow("The week before", "a")
    hand.type(f"on-{MAY + dt.timedelta(days=11)}", f"{FISH_WORK}, {FISH_MORE}")
    hand.press("Write them down")
    assert "8 lines of hours" in hand.text()
    for stage in ("Dry", "Stain"):
        hand.step(FISH, "Stage done")
        hand.pick("stage.other", stage)
        hand.choose("not_needed", "yes")
        hand.press("Write it")
    hand.step(FISH, "Doing it again")
    hand.choose("stage", "sand")
    hand.choose("again", "sand-through")
    hand.type("hours.other", "1.5")
    hand.press("Write it")
    hand.step(FISH, "What did you find?")
    hand.press("Just as I thought")
    hand.step(FISH, "Note or photo")
    hand.type("text", "the tail was cracked")
    hand.press("Write it")

    # it goes out; another is given back; the first goes on
    on(15)
    hand.hours(FISH, "handover", "Hand", "0.5", done=True)
    hand.step(FISH, "It is ready")
    hand.choose("cost_time", "me")
    hand.type("materials", "45.50")
    hand.press("Write it")
    on(16)
    hand.board(FISH)
    hand.press("Collected and paid: 640")
    hand.hours(RED, "clean", "Clean", "2", done=True)
    on(17)
    hand.hours(RED, "strip", "Strip", "3")
    hand.step(RED, "Deposit came")
    hand.type("amount", "300")
    hand.press("Write it")
    on(18)
    hand.step(RED, "Given back half done")
    hand.type("kept", "260")
    hand.type("returned", "40")
    hand.press("Write it")
    on(22)
    hand.board(TAN)
    hand.press("Going again")


def sheets(folder):
    """The rows of a book by sheet, as dictionaries of what is filled, without their numbers."""
    found = {}
    for sheet in store_of(folder).read()[0].sheets:
        header = sheet.rows[0][1]
        found[sheet.sheet] = [
            {name: cell for name, cell in zip(header, cells, strict=True) if cell}
            for _, cells in sheet.rows[1:]
        ]
    return found


def test_a_month_by_taps_is_the_book_of_the_same_month_in_csv(tmp_path):
    day = opened("files", tmp_path / "csv", sheets=("money",))  # as a book has it
    folder = tmp_path / "page"
    folder.mkdir()
    in_a_book(folder)
    clock = [MAY]
    app = create_app(folder, clock=lambda: clock[0])
    held = app.extensions["counter"]
    held.worker = OnlyWhatIsAsked(held)
    with ThreadPoolExecutor(1) as meanwhile, served(app) as address, chromium("phone") as driver:
        csv = meanwhile.submit(in_csv, day)
        on_the_page(ShopHand(driver, address), clock)
        csv.result()
    done = import_folder(day.folder, dt.datetime(2026, 6, 1, 12).astimezone(), ImportChoices())
    assert done.written
    assert not done.problems

    by_taps, by_csv = sheets(folder), sheets(day.folder)
    assert held.shop.snapshot(MAY + dt.timedelta(days=22)).problems == ()
    assert {name: len(rows) for name, rows in by_taps.items()} == {
        name: len(rows) for name, rows in by_csv.items()
    }
    for name, rows in by_csv.items():
        for n, (mine, theirs) in enumerate(zip(by_taps[name], rows, strict=True)):
            assert mine == theirs, (name, n)
