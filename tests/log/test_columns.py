"""Names of columns in other spellings, and what is said of those that are none."""

import pytest

from estimator.log.columns import columns_of, csv_headers, names_of_sheets


@pytest.fixture(scope="module")
def names(shop):
    return names_of_sheets(shop)


@pytest.mark.parametrize(
    ("written", "column"),
    [
        ("Board", "board"),
        (" BOARD id", "board"),
        ("finished", "ready"),
        ("Wanted by", "wanted_by"),
        ("wanted-by", "wanted_by"),
        ("Assessed infills", "assessed_infills"),
        ("assessed foam pieces", "assessed_infills"),
        ("Looked like: infills", ""),
        ("looked like infills", "assessed_infills"),
        ("Turned out old glass to take off", "found_glass_stripped"),
        ("asked for since logos", "later_logos"),
        ("asked later logos", "later_logos"),
        ("found wetness", "found_wetness"),
        ("found redo", "found_redo"),
        ("infills", ""),
    ],
)
def test_a_column_is_known_in_other_spellings(names, written, column):
    assert names["boards"].find(written) == column


def test_every_column_of_the_log_is_known_by_its_own_name(names, shop):
    for file, columns in csv_headers(shop).items():
        sheet = file.removesuffix(".csv")
        assert columns_of(columns, names[sheet]) == ({name: at for at, name in enumerate(columns)}, [])
        assert len(columns) >= 3


def test_an_unknown_name_is_said_with_the_nearest(names):
    header = ["board", "lenght", "infills", "xyzzy", "", "Finished", "ready"]
    places, troubles = columns_of(header, names["boards"])
    assert places == {"board": 0, "ready": 5}
    assert troubles == [
        (
            1,
            "boards has no column of this name, and it is not read",
            "The nearest is length: rename it, or take it out.",
        ),
        (
            2,
            "this name does not say whether as judged before work or as it turned out",
            "Name it assessed_infills or found_infills.",
        ),
        (3, "boards has no column of this name, and it is not read", "Rename it, or take it out."),
        (6, "two columns are read as ready, and only the first counts", "Take one of them out."),
    ]
