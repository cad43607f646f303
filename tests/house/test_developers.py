"""DEVELOPERS.md names files, rooms and studies that there are, and its decisions in order."""

import re
from pathlib import Path

from house.test_imports_run_one_way import ORDER

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "DEVELOPERS.md").read_text("utf-8")
GUIDE = PAGE.partition("\n## The model in one page")[0]
DECISIONS = PAGE.partition("\n## Decisions\n")[2]
FOUR_PAGES = 2000  # words, at 500 a printed page


def test_every_file_that_it_names_is_there():
    named = set(re.findall(r"[\w/.]+\.(?:py|typ|toml|md)\b", PAGE)) - {"workshop.toml"}

    assert len(named) > 50
    for name in sorted(named):
        assert (ROOT / name).is_file() or (ROOT / "estimator" / name).is_file(), name


def test_every_folder_that_it_names_is_there():
    named = set(re.findall(r"`([\w/]+/)`", PAGE))

    assert len(named) > 10
    for name in sorted(named):
        assert (ROOT / name).is_dir() or (ROOT / "estimator" / name).is_dir(), name


def test_the_map_has_every_room_in_the_order_of_imports():
    rooms = re.findall(r"^\| `(\w+)(?:/|\.py)` \|", PAGE, re.MULTILINE)
    folders = [room for room in rooms if (ROOT / "estimator" / room).is_dir()]

    assert folders == [room for room in ORDER if room]
    assert set(rooms) - set(folders) <= set(ORDER[""].split())


def test_every_study_is_a_file_and_every_file_a_study():
    run = re.findall(r"^python (tests/studies/\w+\.py) ", PAGE, re.MULTILINE)

    assert len(run) == len(set(run))
    assert all((ROOT / file).is_file() for file in run)
    assert {f"tests/studies/{file.name}" for file in (ROOT / "tests/studies").glob("study_*.py")} <= set(run)


def test_decisions_stand_in_order_each_with_what_carries_it():
    texts = [" ".join(text.split()) for text in re.split(r"^(\d+)\. ", DECISIONS, flags=re.MULTILINE)[1:]]
    numbers, said = [int(number) for number in texts[::2]], texts[1::2]

    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) >= 46
    for number, text in zip(numbers, said, strict=True):
        assert re.search(r"`tests/[\w/]+\.py`|Chosen\.|[Nn]o study is kept\.", text), number
        assert len(text.split()) < 75, number


def test_the_guide_has_four_pages_at_most():
    assert 1000 < len(GUIDE.split()) < FOUR_PAGES


def test_code_cites_decisions_that_there_are():
    last = DECISIONS.count(". **")
    cited = [
        int(number)
        for path in sorted((ROOT / "estimator").rglob("*.py"))
        for number in re.findall(r"DEVELOPERS\.md, decision (\d+)", path.read_text("utf-8"))
    ]

    assert cited
    assert all(1 <= number <= last for number in cited)
