"""What words mean: those of the trade as far as the workshop has the stages, and those that its log has taught."""

import datetime as dt

from making.notebooks import SETTINGS

from estimator.log.notebook.vocabulary import DAY_OFF, NO_BOARD, STAGE, Meaning, vocabulary_of
from estimator.words.records import SHOP, Entry
from estimator.words.settings.schema import Settings, Stage

MAY = dt.date(2026, 5, 4)


def test_a_shop_of_two_stages_knows_no_words_for_others():
    phrases = vocabulary_of(Settings(stages={"sand": Stage("sand"), "filler": Stage("filler")}), ()).phrases

    assert phrases[("coat",)].value == ("filler",)  # no gloss coat there, and no spray
    assert phrases[("rub", "down")].value == ("sand",)
    assert not {("resprayed",), ("still", "wet"), ("glassed",), ("pull", "tape")} & phrases.keys()
    assert phrases[("resanded",)] == Meaning(STAGE, ("sand",), again=True)
    assert phrases[("no", "idea")] == Meaning(DAY_OFF, ("",))


def test_redo_is_work_done_again_and_no_stage():
    stages = {"sand": Stage("sand"), "redo": Stage("redo", label="Put right")}
    phrases = vocabulary_of(Settings(stages=stages), ()).phrases

    assert phrases[("redo",)] == Meaning("again", ("",))
    assert ("put", "right") not in phrases


def taught(note, stage, times=3, **more):
    """What the log teaches of a note that stands with a stage so many times."""
    entries = [Entry("a", MAY + dt.timedelta(days=n), stage, 1.5, note=note, **more) for n in range(times)]
    return vocabulary_of(SETTINGS, entries).phrases


def test_three_notes_with_one_stage_alone_teach_a_word_and_what_is_known_stays():
    assert taught("Lay the red bands", "spray")[("lay", "the", "red", "bands")] == Meaning(
        STAGE, ("spray",), kept=True
    )
    assert ("lay", "the", "bands") not in taught("lay the bands", "spray", 2)
    assert ("lay", "the", "red", "bands", "on") not in taught("lay the red bands on", "spray")
    assert taught("bands", "redo", of="gloss")[("bands",)].value == ("gloss",)
    assert ("deck",) not in taught("deck", "sand")
    assert ("lunch",) not in taught("lunch", "supper")  # which is no stage
    assert taught("fins", "sand")[("fins",)] == Meaning(STAGE, ("fins",))
    assert taught("paint lifted", "spray")[("paint", "lifted")].of == "again"


def test_work_on_no_board_teaches_its_words_where_it_took_hours():
    shop = [Entry(SHOP, MAY, "rat catching", 0.5), Entry(SHOP, MAY, "moon gazing", 0.0)]
    phrases = vocabulary_of(SETTINGS, shop).phrases

    assert phrases[("rat", "catching")] == Meaning(NO_BOARD)
    assert ("moon", "gazing") not in phrases


def test_a_slip_is_of_no_word_for_again_and_of_none_that_the_log_taught():
    notes = [Entry("a", MAY + dt.timedelta(days=n), "spray", 1.0, note="stencils") for n in range(3)]
    known = vocabulary_of(SETTINGS, notes)

    assert known.slip("stencilz", {STAGE}) is None
    assert known.slip("resandd", {STAGE}) is None
    assert known.slip("pol", {STAGE}).value == ("polish",)
    assert known.slip("po", {STAGE}) is None
    assert known.slip("Glosss", {STAGE}).value == ("gloss",)
    assert known.slip("finish", {STAGE}) is None
