"""What the invented restorer sanded through and did again: written with the hours, in no column of the board's."""

from estimator.demo.workshop import demo_texts, make_shop


def test_what_was_done_again_stands_with_the_hours():
    shop = make_shop()
    again = [entry for entry in shop.log.entries if entry.again]

    assert len(again) >= 5
    assert {(entry.stage, entry.of, entry.again) for entry in again} == {("redo", "sand", "sand-through")}
    booked = sum(entry.hours for entry in again)
    whole = [shop.truth[board].hours["redo"] for board in {entry.board for entry in again}]
    assert 0 < booked <= sum(whole) * 1.25
    texts = demo_texts()
    assert "redo" not in texts["boards.csv"].partition("\n")[0]
    assert ",redo," not in texts["hours.csv"]
    assert "[stages.redo]" not in texts["workshop.toml"]
