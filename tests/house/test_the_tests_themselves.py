"""The tests stand in the rooms of what they test, and none is skipped unsaid."""

import ast
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
ROOMS = TESTS.parent / "estimator"
OTHER = {"house", "logs", "making", "published", "studies"}  # about the whole, or what tests are made of
NOT_RUN = {"skip", "skipif", "skipIf", "skipUnless", "SkipTest", "xfail", "importorskip", "skipTest"}
MAY_BE_SKIPPED = {  # file under tests/: why
    "cli/test_process.py": "as POSIX has it; where there is /dev/full",
    "counter/pages/test_book_in_a_browser.py": "a machine need not have a browser; where BROWSER=must is set it must",
    "counter/test_a_month_on_the_page.py": "a machine need not have a browser; where BROWSER=must is set it must",
    "counter/test_access.py": "a machine need not have a browser or axe-core; where BROWSER=must is set it must",
    "counter/test_looking_back_in_a_browser.py": "a machine need not have a browser; where BROWSER=must is set it must",
    "counter/test_phone_in_a_browser.py": "a machine need not have a browser; where BROWSER=must is set it must",
    "counter/test_pages_in_a_browser.py": "a machine need not have a browser; where BROWSER=must is set it must",
    "counter/test_setting_up_in_a_browser.py": "a machine need not have a browser; where BROWSER=must is set it must",
    "counter/test_taps.py": "a machine need not have a browser; where BROWSER=must is set it must",
    "log/exchange/test_with_a_spreadsheet_program.py": "a machine need not have one; the study has",
    "log/test_cache.py": "where memory can be limited",
    "log/test_files.py": "where a file can be a pipe",
    "record/test_workers.py": "where one process can tell another to stop",
}


def skips(source: str) -> list[int]:
    """Lines on which a test is skipped, or may fail."""
    return sorted(
        {
            node.lineno
            for node in ast.walk(ast.parse(source))
            if (isinstance(node, ast.Attribute) and node.attr in NOT_RUN)
            or (isinstance(node, ast.Name) and node.id in NOT_RUN)
            or (isinstance(node, ast.alias) and node.name in NOT_RUN)
        }
    )


def test_no_test_is_skipped_unsaid():
    found = {
        str(path.relative_to(TESTS)): lines
        for path in TESTS.rglob("*.py")
        if (lines := skips(path.read_text("utf-8")))
    }
    assert sorted(found) == sorted(MAY_BE_SKIPPED), found


def test_the_walk_finds_what_it_looks_for():
    assert skips("import pytest\n@pytest.mark.skipif(1)\ndef test_a():\n    pytest.importorskip('x')") == [
        2,
        4,
    ]
    assert skips("from pytest import xfail\n'skip'\n") == [1]


def test_tests_stand_in_the_rooms_of_what_they_test():
    folders = {
        path.parent.relative_to(TESTS)
        for path in TESTS.rglob("test_*.py")
        if path.relative_to(TESTS).parts[0] not in OTHER
    }
    assert len(folders) > 12
    assert [str(folder) for folder in sorted(folders) if not (ROOMS / folder).is_dir()] == []


def test_every_test_of_a_room_with_folders_stands_in_one_of_them():
    """Where a room has folders, a test of what lies in one stands in the folder of that name."""
    for room in ROOMS.rglob("__init__.py"):
        folder = room.parent.relative_to(ROOMS)
        if len(folder.parts) == 2:
            assert list((TESTS / folder).glob("test_*.py")), f"no test stands in tests/{folder}"
