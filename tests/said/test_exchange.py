"""What came in, in words: each file is named once."""

import datetime as dt
import json

from making.added import write_small

from estimator.cli.printing import plain_lines
from estimator.log.exchange.importing import ImportChoices, import_folder
from estimator.said.exchange import import_parts
from estimator.shop import Shop

NOON = dt.datetime(2026, 5, 20, 12, tzinfo=dt.UTC)


def test_files_without_a_row_are_named_once(tmp_path):
    folder = write_small(tmp_path)
    with (folder / "hours.csv").open("a", encoding="utf-8") as file:
        file.write("26-003,2026-05-19,strip,2\n")
    for name, head in {"waits": "board,from,until,for", "weights": "board,date,weight"}.items():
        (folder / f"{name}.csv").write_text(f"{head}\n", "utf-8")
    done = import_folder(folder, NOON, ImportChoices())
    said = plain_lines(import_parts(done, only_try=False))

    assert said[0] == "boards.csv, hours.csv into a new book."
    assert said[-2:] == [
        "No row stands in waits.csv, weights.csv.",
        "The files stay where they are, and are no longer read.",
    ]
    assert "".join(said).count("weights.csv") == 1
    (act,) = Shop.open(folder).acts()
    assert act.sentence.endswith("from boards.csv, hours.csv")
    assert json.loads(json.dumps(done.as_dict(), default=str))["files"][-1] == "weights.csv"
