"""The command: one port, an empty folder, a second call, a clean end."""

import http.client
import re
import signal
import socket
import subprocess
import sys
import time

import pytest
from making.folders import folder

from estimator.counter.own_process import surroundings
from estimator.counter.serving import served_at
from estimator.words.errors import UsageError


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as sock:
        return sock.getsockname()[1]


def begun(place, port, *words):
    command = [
        sys.executable,
        "-m",
        "estimator",
        "counter",
        "--shop",
        str(place),
        "--port",
        str(port),
        "--no-window",
        *words,
    ]
    return subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=surroundings()
    )


def wait_until_served(port, process):
    end = time.monotonic() + 30
    while served_at(port) is None:
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < end
        time.sleep(0.05)


def page(port, path="/"):
    asking = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    asking.request("GET", path)
    answer = asking.getresponse()
    text = answer.read().decode()
    asking.close()
    return answer, text


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_it_serves_a_folder_finds_itself_and_ends_cleanly(tmp_path, how):
    place, port = folder(tmp_path / "shop"), free_port()
    process = begun(place, port)
    try:
        wait_until_served(port, process)
        answer, text = page(port)
        assert answer.status == 200
        assert "Today" in text
        assert "erver" not in {name for name, _ in answer.getheaders() if "aitress" in name}
        assert not re.search("waitress|Werkzeug|Python", str(answer.getheaders()))

        again = begun(place, port)
        said, wrong = again.communicate(timeout=30)
        assert (again.returncode, wrong) == (0, "")
        assert said.strip() == f"The counter is open already, at http://127.0.0.1:{port}/"

        other = begun(folder(tmp_path / "other"), port)
        _, wrong = other.communicate(timeout=30)
        assert other.returncode == UsageError.exit_code
        assert "another workshop" in wrong
        assert "--port" in wrong
    finally:
        process.send_signal(how)
        said, wrong = process.communicate(timeout=30)
    assert (process.returncode, wrong) == (0, "")
    assert said.startswith(f"The counter is open at http://127.0.0.1:{port}/")
    assert served_at(port) is None


def test_that_many_ask_at_once_is_no_news_to_the_one_at_the_terminal(tmp_path):
    place, port = folder(tmp_path / "shop"), free_port()
    process = begun(place, port)
    try:
        wait_until_served(port, process)
        request = f"GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n".encode()
        askers = [socket.create_connection(("127.0.0.1", port)) for _ in range(24)]
        for one in askers:
            one.sendall(request)
        for one in askers:
            assert one.recv(12) == b"HTTP/1.1 200"
            one.close()
    finally:
        process.send_signal(signal.SIGINT)
        _, wrong = process.communicate(timeout=30)
    assert wrong == ""


def test_an_empty_folder_becomes_a_workshop(tmp_path):
    port = free_port()
    process = begun(tmp_path / "new", port)
    try:
        wait_until_served(port, process)
        assert page(port)[0].status == 200
        assert page(port, "/on-the-go")[1].count("No board is written down yet.") == 1
        assert (tmp_path / "new/workshop.toml").exists()
    finally:
        process.terminate()
        assert process.communicate(timeout=30)[1] == ""


def test_a_port_that_something_else_has_is_said(tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as sock:
        process = begun(folder(tmp_path / "shop"), sock.getsockname()[1])
        _, wrong = process.communicate(timeout=30)

    assert process.returncode == UsageError.exit_code
    assert "taken by something else" in wrong
