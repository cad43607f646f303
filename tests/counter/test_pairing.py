"""Phones that may come in: for a year, each by its own token and address, and kept for nobody else to read."""

import datetime as dt
import json

import pytest

from estimator.counter import pairing
from estimator.counter.pairing import PhoneBook, home_address

HOME = "192.0.2.7"  # RFC 5737: an address for examples


def phone(name, days_ago, host=HOME):
    since = (dt.date.today() - dt.timedelta(days=days_ago)).isoformat()
    return {"token": name * 64, "host": host, "since": since}


@pytest.fixture
def book(tmp_path):
    return PhoneBook(tmp_path / "room" / "phones", 8737)


@pytest.mark.parametrize(("days", "known"), [(0, True), (364, True), (365, True), (366, False), (900, False)])
def test_a_phone_is_known_for_a_year(tmp_path, days, known):
    file = tmp_path / "phones"
    file.write_text(json.dumps([phone("a", days), phone("b", 0)]), "utf-8")

    assert [one.token[0] for one in PhoneBook(file, 1).known_phones()] == (["a", "b"] if known else ["b"])


def test_several_phones_come_in_and_one_is_forgotten_by_itself(book):
    tokens = [book.let_in(book.new_letters(), f"{HOME}:8737") for _ in range(3)]
    first, second, third = book.known_phones()

    assert len(set(tokens)) == 3
    assert {one.host for one in (first, second, third)} == {HOME}
    assert all(one.since == dt.date.today().isoformat() for one in (first, second, third))
    assert all(token not in one.token for token in tokens for one in (first, second, third))
    book.forget(second.name)
    assert book.known_phones() == [first, third]
    book.forget("nobody")
    assert book.known_phones() == [first, third]


def test_letters_are_typed_in_any_case_and_apart_and_are_good_once(book):
    letters = book.new_letters()

    assert book.let_in(letters[:7], HOME) is None
    assert book.let_in(f"{letters[:4].lower()} - {letters[4:]}", HOME)
    assert book.let_in(letters, HOME) is None
    assert PhoneBook(book._file, 1).let_in("", HOME) is None  # nobody was shown any


@pytest.mark.parametrize(("tries", "lets"), [(9, True), (10, False)])
def test_the_tenth_wrong_try_is_the_last(book, tries, lets):
    letters = book.new_letters()
    for _ in range(tries):
        assert book.let_in("AAAAAAAA", HOME) is None

    assert (book.let_in(letters, HOME) is not None) == lets


@pytest.mark.parametrize(("seconds", "lets"), [(600.0, True), (600.5, False)])
def test_letters_are_good_for_ten_minutes_to_the_second(tmp_path, seconds, lets):
    now = [100.0]
    book = PhoneBook(tmp_path / "phones", 1, lambda: now[0])
    letters = book.new_letters()
    now[0] += seconds

    assert (book.let_in(letters, HOME) is not None) == lets


def test_the_list_is_for_nobody_else_to_read_and_a_spoilt_one_knows_nobody(book):
    book.let_in(book.new_letters(), HOME)

    assert book._file.stat().st_mode & 0o777 == 0o600
    for spoilt in ("", "{}", '[{"token": 1}]', "[3]"):
        book._file.write_text(spoilt, "utf-8")
        assert book.known_phones() == []


@pytest.mark.parametrize(
    ("found", "address"),
    [("192.0.2.31", "192.0.2.31"), ("127.0.0.1", None), ("127.1.2.3", None), (OSError("no way there"), None)],
)
def test_the_address_at_home_is_never_this_machine_s_own(monkeypatch, found, address):
    class Asking:
        def __init__(self, *_):
            pass

        def __enter__(self):
            return self

        def __exit__(self, *_):
            return None

        def connect(self, _):
            if isinstance(found, OSError):
                raise found

        def getsockname(self):
            return found, 9

    monkeypatch.setattr(pairing.socket, "socket", Asking)
    assert home_address() == address
