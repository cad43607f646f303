"""What studies found is kept with the command, the commit and the seeds that it was found with."""

import re
from pathlib import Path

import pytest
from studies.results import RESULTS, keeping

STUDIES = RESULTS.parent
HEAD = re.compile(r"`python tests/studies/(\w+\.py)[^`]*`, commit [0-9a-f]{7,}\+?, seeds .+\.")


@pytest.mark.parametrize("file", sorted(RESULTS.glob("*.md")), ids=lambda file: file.stem)
def test_a_result_names_its_study_and_says_how_it_was_found(file):
    lines = file.read_text("utf-8").splitlines()
    told = HEAD.fullmatch(lines[2])

    assert lines[0] == f"# {file.stem}"
    assert told
    assert (STUDIES / told[1]).exists()
    assert f'"{file.stem}"' in (STUDIES / told[1]).read_text("utf-8")


def test_what_is_printed_is_kept_and_nothing_where_it_breaks_off(tmp_path, capfd):
    with keeping("whole", "1 to 3", where=tmp_path):
        print("held .8")
    with pytest.raises(ZeroDivisionError), keeping("broken", "1", where=tmp_path):
        print(1 / 0)

    text = Path(tmp_path / "whole.md").read_text("utf-8")
    assert capfd.readouterr().out == "held .8\n"
    assert text.startswith("# whole\n\n`python tests/studies/")
    assert text.endswith(", seeds 1 to 3.\n\n```\nheld .8\n```\n")
    assert [file.name for file in tmp_path.iterdir()] == ["whole.md"]
