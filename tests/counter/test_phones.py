"""A phone is let in by letters from the laptop's screen, once, for ten minutes; and can be forgotten."""

import re

import pytest
from making.counter import Visitor
from making.folders import TODAY, folder

from estimator.counter.app import create_app
from estimator.counter.pairing import LETTERS, MOST_TRIES, PhoneBook

HOME = "127.0.0.2"  # stands for the home network: another address of this machine


class Phone(Visitor):
    """A browser that calls the machine by its other address."""

    at = HOME

    def get(self, path, **headers):
        return super().get(path, **{"Host": self.at, **headers})

    def send(self, path, shown="/", headers=None, **fields):
        ours = {"Host": self.at, "Origin": f"http://{self.at}"}
        return super().send(path, shown, {**ours, **(headers or {})}, **fields)

    def let_in(self, letters):
        return self.send("/let-in", "/let-in", letters=letters)


@pytest.fixture
def app(tmp_path):
    return create_app(folder(tmp_path / "shop"), today=TODAY, home=HOME)


def letters_of(app):
    page = Visitor(app).send("/phones/add", "/phones").get_data(as_text=True)
    return re.search(r"<p class=\"lead\">([A-Z]{4}) ([A-Z]{4})</p>", page).expand(r"\1\2")


def test_a_phone_that_is_not_known_sees_nothing_but_the_question(app):
    phone = Phone(app)
    for path in ("/", "/on-the-go", "/boards/26-001", "/phones", "/nowhere", "/paper/week", "/here"):
        answer = phone.get(path)
        assert answer.status_code == 401, path
        assert "nine-four" not in answer.get_data(as_text=True)
    assert phone.get("/static/counter.css").status_code == 200
    assert phone.send("/light", "/let-in").status_code == 401


def test_eight_letters_let_one_phone_in_once(app):
    letters, phone, other = letters_of(app), Phone(app), Phone(app)

    assert phone.let_in(f" {letters[:4].lower()} {letters[4:]} ").status_code == 303
    assert phone.get("/on-the-go").status_code == 200
    assert other.let_in(letters).status_code == 403
    assert other.get("/on-the-go").status_code == 401


def test_letters_are_worth_ten_tries(app):
    letters, phone = letters_of(app), Phone(app)
    for _ in range(MOST_TRIES):
        assert phone.let_in("AAAAAAAA").status_code == 403

    assert phone.let_in(letters).status_code == 403


def test_letters_last_ten_minutes(tmp_path):
    now = [0.0]
    book = PhoneBook(tmp_path / "phones", 1, lambda: now[0])
    letters = book.new_letters()
    now[0] = 599.0
    assert book.let_in(letters, HOME)
    letters = book.new_letters()
    now[0] += 601.0
    assert book.let_in(letters, HOME) is None


def test_new_letters_end_those_before(tmp_path):
    book = PhoneBook(tmp_path / "phones", 1)
    first, second = book.new_letters(), book.new_letters()

    assert len(first) == 8
    assert set(first) <= set(LETTERS)
    assert book.let_in(first, HOME) is None
    assert book.let_in(second, HOME)


def test_a_phone_is_known_at_that_address_alone_and_after_a_restart(app, tmp_path):
    phone = Phone(app)
    phone.let_in(letters_of(app))
    again = create_app(tmp_path / "shop", today=TODAY, home=HOME)
    elsewhere = create_app(tmp_path / "shop", today=TODAY, home="127.0.0.3")
    token = phone.browser.get_cookie("phone-0", domain=HOME).value

    def asked(app, host):
        new = app.test_client()
        new.set_cookie("phone-0", token, domain=host)
        return new.get("/on-the-go", headers={"Host": host}).status_code

    assert asked(again, HOME) == 200
    assert asked(elsewhere, "127.0.0.3") == 401


def test_tokens_are_kept_hashed_and_a_phone_can_be_forgotten(app, tmp_path):
    phone, laptop = Phone(app), Visitor(app)
    phone.let_in(letters_of(app))
    token = phone.browser.get_cookie("phone-0", domain=HOME).value
    kept = (tmp_path / "shop/.estimator/counter/phones").read_text("utf-8")
    assert token not in kept

    name = re.search(r'name="phone" value="(\w+)"', laptop.page("/phones"))[1]
    assert phone.send("/phones/forget", "/phones", phone=name).status_code == 404
    assert laptop.send("/phones/forget", "/phones", phone=name).status_code == 303
    assert phone.get("/on-the-go").status_code == 401


def test_a_machine_that_only_says_it_is_the_laptop_is_not(app):
    answer = app.test_client().get(
        "/", headers={"Host": "localhost"}, environ_base={"REMOTE_ADDR": "192.168.1.7"}
    )

    assert answer.status_code == 401


def test_without_phones_nobody_else_is_served(tmp_path):
    app = create_app(folder(tmp_path / "shop"), today=TODAY)

    assert Phone(app).get("/").status_code == 421
    assert "started for this machine alone" in Visitor(app).page("/phones")


@pytest.mark.parametrize(
    ("host", "address", "status"),
    [
        ("localhost", "127.0.0.1", 200),
        ("localhost", "::1", 200),
        ("localhost", "192.0.2.9", 401),
        (HOME, "127.0.0.1", 404),
        (HOME, "192.0.2.9", 404),
    ],
)
def test_only_the_laptop_itself_adds_a_phone(app, host, address, status):
    """Also where one that is let in asks: it is at the other address, or comes from elsewhere."""
    visitor = app.test_client()
    book = app.extensions["phones"]
    token = book.let_in(book.new_letters(), HOME)
    visitor.set_cookie(book.cookie, token, domain=HOME)
    page = visitor.get("/phones", headers={"Host": host}, environ_base={"REMOTE_ADDR": address})
    text = page.get_data(as_text=True)
    held = re.search(r'name="token" value="([0-9a-f]+)"', text)
    answer = visitor.post(
        "/phones/add",
        data={"token": held[1] if held else ""},
        headers={"Host": host, "Origin": f"http://{host}"},
        environ_base={"REMOTE_ADDR": address},
    )

    assert answer.status_code == (403 if status == 401 else status)  # no page, and so no token
    assert ('name="phone"' in text) == (status == 200)


@pytest.mark.parametrize("address", ["192.0.2.9", "127.0.0.2"])
def test_a_machine_let_in_under_the_laptop_s_name_neither_sees_adds_nor_forgets_a_phone(app, address):
    """It typed the letters, and calls the counter localhost; 192.0.2.9 is an example of RFC 5737."""
    visitor, book = app.test_client(), app.extensions["phones"]
    visitor.set_cookie(book.cookie, book.let_in(book.new_letters(), "localhost"), domain="localhost")
    from_there = {"environ_base": {"REMOTE_ADDR": address}}
    page = visitor.get("/let-in", headers={"Host": "localhost"}, **from_there)
    token = re.search(r'name="token" value="([0-9a-f]+)"', page.get_data(as_text=True))[1]
    [known] = book.known_phones()

    def sent(path, **at):
        ours = {"Host": "localhost", "Origin": "http://localhost"}
        return visitor.post(path, data={"token": token, "phone": known.name}, headers=ours, **at).status_code

    def shown(**at):
        text = visitor.get("/phones", headers={"Host": "localhost"}, **at).get_data(as_text=True)
        return f'value="{known.name}"' in text

    assert [shown(**from_there), shown(environ_base={"REMOTE_ADDR": "127.0.0.1"})] == [False, True]
    assert sent("/phones/add", **from_there) == 404
    assert sent("/phones/forget", **from_there) == 404
    assert book.known_phones() == [known]
    assert sent("/phones/add", environ_base={"REMOTE_ADDR": "127.0.0.1"}) == 200
    assert sent("/phones/forget", environ_base={"REMOTE_ADDR": "127.0.0.1"}) == 303
    assert book.known_phones() == []


def test_letters_of_the_square_code_stand_there_already(app):
    text = Phone(app).get("/let-in?letters=ABCDEFGH" + "X" * 40).get_data(as_text=True)

    assert f'value="ABCDEFGH{"X" * 12}"' in text
    assert (
        Visitor(app).send("/phones/forget", "/phones", **{"phone": "x", "from": "book"}).location
        == "/book#phones"
    )
    assert Visitor(app).send("/phones/forget", "/phones", phone="x").location == "/phones"


def test_the_square_code_leads_to_where_letters_are_asked_with_them(app, monkeypatch):
    from estimator.counter.pages import phones

    drawn, make = [], phones.segno.make_qr
    monkeypatch.setattr(phones.segno, "make_qr", lambda text, **how: drawn.append(text) or make(text, **how))
    letters = letters_of(app)

    assert drawn == [f"http://{HOME}/let-in?letters={letters}"]


def test_a_phone_is_let_in_for_a_year_and_no_script_reads_its_token(app):
    answer = Phone(app).let_in(letters_of(app))
    [cookie] = [one for one in answer.headers.getlist("Set-Cookie") if one.startswith("phone-0=")]

    assert {"Max-Age=31536000", "HttpOnly", "SameSite=Strict"} <= set(cookie.split("; "))
