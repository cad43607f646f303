"""What the command does before it serves: finds the counter that runs, refuses another's port, and needs a home for phones."""

import datetime as dt
import socket
import threading

import pytest

from estimator.counter import serving
from estimator.counter.serving import name_of, serve
from estimator.words.errors import UsageError


@pytest.fixture
def opened(monkeypatch):
    """What a browser was told to open; no server is begun."""
    pages = []
    monkeypatch.setattr(serving.webbrowser, "open", pages.append)
    monkeypatch.setattr(serving, "create_server", lambda *_, **__: pytest.fail("served"))
    monkeypatch.setattr(serving, "listening", lambda *_: pytest.fail("a port was taken"))
    return pages


def called(folder, **how):
    said = []
    serve(folder, dt.date.today, port=4217, say=said.append, **how)
    return said


@pytest.mark.parametrize(("window", "pages"), [(True, ["http://127.0.0.1:4217/"]), (False, [])])
def test_the_counter_that_runs_already_is_shown(tmp_path, monkeypatch, opened, window, pages):
    monkeypatch.setattr(serving, "served_at", lambda port: name_of(tmp_path) if port == 4217 else None)

    assert called(tmp_path, window=window) == ["The counter is open already, at http://127.0.0.1:4217/"]
    assert opened == pages
    assert list(tmp_path.iterdir()) == []  # nothing is begun


def test_another_workshop_s_port_is_refused(tmp_path, monkeypatch, opened):
    monkeypatch.setattr(serving, "served_at", lambda _: name_of(tmp_path / "other"))
    with pytest.raises(UsageError, match="another workshop") as told:
        called(tmp_path)

    assert told.value.field == "port"
    assert opened == []


def test_without_a_home_network_no_phone_can_come_in(tmp_path, monkeypatch, opened):
    monkeypatch.setattr(serving, "served_at", lambda _: None)
    monkeypatch.setattr(serving, "home_address", lambda: None)
    with pytest.raises(UsageError, match="in no home network") as told:
        called(tmp_path, phone=True)

    assert told.value.field == "phone"


def test_two_folders_have_two_names_and_one_has_one_however_it_is_written(tmp_path):
    (tmp_path / "a").mkdir()

    assert name_of(tmp_path / "a") == name_of(tmp_path / "b" / ".." / "a")
    assert name_of(tmp_path / "a") != name_of(tmp_path)
    assert len(name_of(tmp_path)) == 32


class Serving:
    """A server that ends at once."""

    closed = False

    def __init__(self, app, **how):
        Serving.app, Serving.how = app, how

    def run(self):
        raise KeyboardInterrupt

    def close(self):
        Serving.closed = True


@pytest.mark.parametrize(
    ("home", "sockets", "said"),
    [
        (None, [(4217,)], ["The counter is open at http://127.0.0.1:4217/"]),
        (
            "192.0.2.31",  # RFC 5737: an address for examples
            [(4217,), (4217, "192.0.2.31")],
            [
                "The counter is open at http://127.0.0.1:4217/",
                "Phones find it at http://192.0.2.31:4217/ once they are added at http://127.0.0.1:4217/phones",
            ],
        ),
    ],
)
def test_a_new_workshop_is_begun_and_opens_where_it_is_set_up(tmp_path, monkeypatch, home, sockets, said):
    taken, pages = [], []
    monkeypatch.setattr(serving, "served_at", lambda _: None)
    monkeypatch.setattr(serving, "home_address", lambda: home)
    monkeypatch.setattr(serving, "listening", lambda *given: taken.append(given) or given)
    monkeypatch.setattr(serving, "create_server", Serving)
    monkeypatch.setattr(serving.webbrowser, "open", pages.append)

    assert called(tmp_path / "new", phone=home is not None) == said
    assert taken == Serving.how["sockets"] == sockets
    assert pages == ["http://127.0.0.1:4217/setting-up"]
    assert Serving.closed
    app = Serving.app
    assert app.config["PLACE"] == name_of(tmp_path / "new")
    assert app.extensions["guard"].port == 4217
    assert ("phones" in app.extensions) == (home is not None)
    assert app.extensions["guard"].hosts == ("127.0.0.1", "localhost", *([home] if home else []))
    assert called(tmp_path / "new") == said[:1]
    assert pages[-1] == "http://127.0.0.1:4217/"  # it is there by now


def test_what_runs_at_a_port_is_another_program_or_nothing():
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]

        def hang_up():
            other.accept()[0].close()

        answering = threading.Thread(target=hang_up)
        answering.start()
        assert serving.served_at(port) == ""
        answering.join()
        with pytest.raises(UsageError, match=f"Port {port} of this machine is taken") as told:
            serving.listening(port)
        assert told.value.field == "port"
    assert serving.served_at(port) is None


def test_a_number_that_is_no_port_is_said_to_be_taken_too(monkeypatch):
    def too_large(*_, **__):
        raise OverflowError

    monkeypatch.setattr(serving.socket, "create_server", too_large)
    with pytest.raises(UsageError, match="Port 70000 of this machine is taken"):
        serving.listening(70_000)


def test_what_is_no_counter_is_not_called_one(tmp_path, monkeypatch, opened):
    def taken(*_):
        raise UsageError("It is taken by something else.")

    monkeypatch.setattr(serving, "served_at", lambda _: "")
    monkeypatch.setattr(serving, "listening", taken)
    with pytest.raises(UsageError, match="by something else"):
        called(tmp_path / "new")


def test_pages_look_from_the_day_and_with_the_draws_that_were_asked_for_and_the_worker_ends_with_them(
    tmp_path, monkeypatch
):
    monkeypatch.setattr(serving, "served_at", lambda _: None)
    monkeypatch.setattr(serving, "listening", lambda *given: given)
    monkeypatch.setattr(serving, "create_server", Serving)
    monkeypatch.setattr(serving.webbrowser, "open", lambda _: None)
    closed = []
    monkeypatch.setattr(serving.WorkerDesk, "close", lambda desk: closed.append(desk))  # noqa: PLW0108  it is bound
    called(tmp_path / "new", seed=5)
    held = Serving.app.extensions["counter"]

    assert (held.clock, held.seed, held.worker._command[-1]) == (dt.date.today, 5, "5")
    assert closed == [held.worker]
    assert Serving.how["max_request_body_size"] == 41_943_040
