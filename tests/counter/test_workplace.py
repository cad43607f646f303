"""What a page has before it: an answer of now or an older one, asked for where it is not of now; and what may be written."""

import datetime as dt

import pytest
from making.counter import HOST, client
from making.working_day import MAY, in_a_book, in_files

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion
from estimator.counter.workplace import Counter, begin_if_empty
from estimator.words.errors import UsageError

BOARD = PageQuestion("board", "26-001")


class Asked(list):
    """A worker that is only asked."""

    gone = False

    def ask(self, question, as_of):
        self.append((question, as_of))

    def close(self):
        pass


@pytest.fixture
def app(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    in_files(folder)
    return client(folder, today=MAY, seed=3, worker=Asked()).app


def at(app):
    return app.test_request_context("/", headers={"Host": HOST})


def test_an_answer_of_now_is_fresh_and_any_other_is_shown_and_asked_for_anew(app):
    counter = app.extensions["counter"]
    with at(app):
        now = counter.as_of
        assert (now.day, now.seed, counter.now.seed) == ("2026-05-04", 3, 3)
        assert counter.answer(BOARD) == (None, False)
        for other in (
            AsOf(now.revision, "2026-05-03", 3),
            AsOf("before", now.day, 3),
            AsOf(now.revision, now.day, 4),
        ):
            KeptAnswer(other, {"range": ("Old.",)}).save(BOARD, counter.folder)
            found, fresh = counter.answer(BOARD)
            assert (found.parts, fresh) == ({"range": ("Old.",)}, False)
        KeptAnswer(now, {"range": ("New.",)}).save(BOARD, counter.folder)
        found, fresh = counter.answer(BOARD)

    assert (found.parts, fresh) == ({"range": ("New.",)}, True)
    assert counter.worker == [(BOARD, now)] * 4


def test_without_a_worker_nobody_is_asked(app):
    counter = app.extensions["counter"]
    counter.worker = None
    with at(app):
        assert counter.answer(BOARD) == (None, False)


@pytest.mark.parametrize(
    ("fill", "said", "writes"),
    [(in_files, None, False), (in_files, True, True), (in_a_book, None, True), (in_a_book, False, False)],
)
def test_a_book_is_written_and_files_are_shown_unless_it_is_said(tmp_path, fill, said, writes):
    (tmp_path / "shop").mkdir()
    fill(tmp_path / "shop")
    counter = Counter(tmp_path / "shop", lambda: MAY, writes=said)

    assert counter.writes == writes
    if writes:
        counter.refuse_read_only()
    else:
        with pytest.raises(UsageError, match="writes nothing"):
            counter.refuse_read_only()


def test_each_request_looks_from_the_day_of_its_own(tmp_path):
    (tmp_path / "shop").mkdir()
    in_files(tmp_path / "shop")
    days = [MAY]
    app = client(tmp_path / "shop", clock=lambda: days[0]).app
    counter = app.extensions["counter"]
    with at(app):
        assert counter.now.today == MAY
        days[0] += dt.timedelta(1)
        assert counter.now.today == MAY  # frozen while the request lasts
    with at(app):
        assert counter.now.today == days[0]


def test_a_folder_with_anything_in_it_is_left_as_it_is(tmp_path):
    (tmp_path / "notes.txt").write_text("mine", "utf-8")

    assert not begin_if_empty(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]
    with pytest.raises(UsageError, match="cannot be looked into"):
        begin_if_empty(tmp_path / "notes.txt")
