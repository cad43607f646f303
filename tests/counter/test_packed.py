"""Pages go out packed where the browser can unpack them, and say the same either way."""

import gzip
from pathlib import Path

import pytest
from making.counter import client
from making.working_day import MAY, in_a_book

import estimator.counter


@pytest.fixture
def counter(tmp_path):
    (tmp_path / "shop").mkdir()
    in_a_book(tmp_path / "shop")
    return client(tmp_path / "shop", today=MAY)


@pytest.mark.parametrize("path", ["/on-the-go", "/static/counter.css"])
def test_a_page_is_the_same_packed_and_not(counter, path):
    plain = counter.get(path)
    packed = counter.get(path, **{"Accept-Encoding": "gzip, deflate"})

    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert int(packed.headers["Content-Length"]) == len(packed.data) < len(plain.data) / 2
    assert len(gzip.decompress(packed.data)) == len(plain.data)
    assert "Accept-Encoding" in plain.headers["Vary"]


def test_an_answer_without_a_page_and_what_is_no_text_stay_as_they_are(counter):
    unpacks = {"Accept-Encoding": "gzip"}

    assert "Content-Encoding" not in counter.get("/nowhere", **unpacks).headers
    whole = counter.get("/static/counter.css")
    again = counter.get("/static/counter.css", **unpacks, **{"If-None-Match": whole.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    part = counter.get(
        "/static/counter.css", **unpacks, Range="bytes=0-4999"
    )  # long enough to be worth packing
    assert (part.status_code, part.data) == (206, whole.data[:5000])
    face = next(Path(estimator.counter.__file__).with_name("static").glob("*.woff2"))
    font = counter.get(f"/static/{face.name}", **unpacks)
    assert "Content-Encoding" not in font.headers
    assert font.data == face.read_bytes()
