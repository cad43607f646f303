"""The columns of a log."""

from estimator.log.columns import csv_headers
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage


def test_every_quantity_has_its_three_columns_and_nothing_is_named_twice():
    shop = Settings(
        drivers={"glass": Driver("glass")},
        modifiers={"wet": Modifier("wet")},
        stages={"redo": Stage("redo", happens="sometimes"), "sand": Stage("sand")},
    )
    headers = csv_headers(shop)

    assert list(headers) == [
        "boards.csv",
        "hours.csv",
        "told.csv",
        "waits.csv",
        "weights.csv",
        "notes.csv",
        "money.csv",
    ]
    assert {file: " ".join(columns) for file, columns in headers.items()} == {
        "boards.csv": (
            "board called owner reach kind aim wanted_by asked quoted accepted started ready collected paid_on "
            "state outline cost_time length width judged_with assessed_glass found_glass later_glass assessed_wet found_wet "
            "later_wet assessed_redo found_redo later_redo guess guess_low guess_high from_memory price_quoted "
            "price_charged materials deposit paid returned hold_until promised_first promised_last decided decided_why "
            "for_love total_hours total_grain note"
        ),
        "hours.csv": "board date until stage hours done again note",
        "told.csv": "board date hours_low hours_high price terms first last odds because paid_by adds_hours adds_days",
        "waits.csv": "board from until for note",
        "weights.csv": "board date weight",
        "notes.csv": "board date note photo",
        "money.csv": "date in out what boards note",
    }
    assert all(len(set(columns)) == len(columns) for columns in headers.values())
