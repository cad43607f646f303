import re

import pytest

from estimator.words.labels import LABELS, MONEY_FOR, label
from estimator.words.records import COST_TIME, STATES

VIEWS = ("before", "opened", "finished", "now")
VERDICTS = ("holds", "too low", "too high", "too sure", "not enough boards")
FORBIDDEN = """interval score|crps|bias|biased|band|draw|draws|drawn|fit|fitted|prior|priors|posterior|quantile|quantiles|
    percentile|median|mean|variance|coverage|confidence|credible|likelihood|distribution|sigma|sample|stretch|driver|modifier|
    assessed|invalid|p-value|estimator"""


def test_words_of_the_code_have_the_restorers_words():
    said = {
        "weigh": "Take it on?",
        "driver": "what there is to do",
        "modifier": "makes it slower",
        "rate": "usual time",
        "assessed": "looked like",
        "found": "turned out",
        "asked later": "asked for since",
        "surprise": "hidden work",
        "pace slower": "this board is going slower than usual",
        "rule": "rule of thumb",
        "starter": "lent rule of thumb, not yet yours",
        "record": "Did I get it right?",
        "beyond": "bigger than any you've written down",
        "state withdrawn": "owner dropped it",
        "state declined": "I said no",
        "state waiting": "in line",
        "state on bench": "on the go",
        "on rack": "on the rack",
        "overrun": "went over",
        "chance kept": "chance I'm in time",
    }
    assert {word: label(word) for word in said} == said


def test_a_word_without_a_label_is_our_mistake():
    with pytest.raises(KeyError):
        label("widget")


def test_every_state_view_and_verdict_has_a_label():
    for word in (*(f"state {s}" for s in STATES), *(f"view {v}" for v in VIEWS), *VERDICTS):
        assert label(word)


def test_every_answer_to_what_cost_the_time_has_a_label():
    for word in COST_TIME:
        assert label(f"cost {word}")
    assert label("cost") == "no reason written"


@pytest.mark.parametrize("word", LABELS)
def test_no_label_speaks_statistics(word):
    forbidden = "|".join(part.strip() for part in FORBIDDEN.split("|"))
    assert not re.search(rf"\b({forbidden})\b", LABELS[word].lower())


def test_the_check_of_forbidden_words_can_fail():
    forbidden = "|".join(part.strip() for part in FORBIDDEN.split("|"))
    assert re.search(rf"\b({forbidden})\b", "the posterior median")
    assert len(forbidden.split("|")) > 20


def test_the_table_cannot_be_changed():
    with pytest.raises(TypeError):
        LABELS["weigh"] = "Weigh"


def test_words_that_stand_for_two_sides_of_one_thing_are_not_changed_for_each_other():
    from estimator.words.page_labels import PAGE_LABELS
    from estimator.words.step_labels import CHOICE_WORDS, FIELD_WORDS, FORM_WORDS, STEP_NAMES

    pages = {
        "money-in": "It came in", "money-out": "It went out", "from-day": "From", "to-day": "To",
        "settings-low": "The low end", "settings-high": "The high end", "su-yes": "Yes", "su-no": "No",
        "settings-yes": "yes", "settings-no": "no", "settings-retire": "Use it no longer",
        "settings-bring-back": "Use it again", "su-target": "Pay an hour that you want, before rent",
        "su-floor": "The least you'd take, an hour", "su-quickest": "the quickest takes about",
        "su-slowest": "the slowest takes about", "su-from": "First day away", "su-to": "Last day away",
        "su-hours": "hours", "su-days": "days", "choice-dates-day-month": "3 April", "choice-dates-month-day": "4 March",
        "choice-blank-none": "there is none", "choice-blank-unknown": "it is not known yet",
        "choice-on-bench": "on the bench", "choice-on-rack": "on the rack", "choice-colour_on-foam": "on the foam",
        "choice-colour_on-filler": "on the filler coat", "su-colour-foam": "On the foam", "su-colour-filler": "On the filler coat",
        "su-ready-polished": "Once it is polished", "su-ready-hard": "Once it is hard enough to hand over",
        "su-ready-collected": "Once it is collected", "diary-rest-none": "Wasn't done", "diary-rest-unknown": "Isn't written down",
        "diary-finish-gloss": "Glossed too", "diary-finish-none": "Left sanded",
        "column-guess_low": "your own hours, at least", "column-guess_high": "your own hours, at most",
        "column-promised_first": "told: not before", "column-promised_last": "told: ready by",
        "set-target_pay": "What I want an hour", "set-floor_pay": "The least I'd take an hour",
        "day-away": "Away", "day-did not work": "Didn't work", "set-hours_in_a_day": "Hours in a day on a board",
        "settings-quickest": "Of ten such, the quickest takes about (hours)",
        "settings-slowest": "Of ten such, the slowest takes about (hours)",
        "boards-asked": "Asked for", "boards-on": "In hand", "boards-ready": "Ready, not fetched",
        "boards-gone": "Gone, or turned down", "this-quarter": "This quarter so far", "earlier-quarter": "The quarter before",
        "copies-here": "Copies in the workshop's folder", "copies-there": "Copies in the second place",
        "import-newer": "Where a row differs from the book, the file is right",
        "import-good": "Leave out rows with problems, and take the others", "su-answered": "answered",
        "su-skipped": "skipped", "su-open": "not asked yet", "choice-hours_from-log": "as they came in the log",
        "choice-hours_from-calendar": "as written here", "day-not written down": "Worked, not written down",
        "settings-share": "On how many of ten it happens", "settings-worth": "How many boards that counts for",
        "column-collected": "the day it was fetched", "column-paid_on": "the day it was paid",
        "column-started": "the day it was begun", "column-ready": "the day it was ready",
        "column-asked": "the day they asked", "column-quoted": "the day of the quote",
        "column-accepted": "the day they said yes",
    }  # fmt: skip
    assert {key: PAGE_LABELS.get(key) for key in pages} == pages
    fields = {
        "first": "Not before", "last": "Ready by", "kept": "Kept of the money", "returned": "Given back of the money",
        "more": "More", "less": "Less", "no_owner": "The owner dropped it", "no_me": "I said no", "told_hours": "Hours told",
        "guess": "Your own hours", "hours": "Hours", "price": "Price", "price_more": "What it adds to the price",
    }  # fmt: skip
    assert {key: FIELD_WORDS[key] for key in fields} == fields
    steps = {
        "stopped": "Stopped", "going": "Going again", "away": "Not in", "back": "Back in", "ready": "It is ready",
        "collected": "Collected and paid", "gave back": "Given back half done", "told": "I told the owner",
        "struck": "Strike out what was told", "done": "Stage done", "again": "Doing it again",
        "enquiry": "Somebody asks", "answered": "The owner said yes or no", "found": "What did you find?",
        "asked since": "Asked for since", "weight": "Weigh-in", "weigh up": "Take it on?",
    }  # fmt: skip
    assert {key: STEP_NAMES[key] for key in steps} == steps
    forms = {
        "week-before": "The week before", "week-after": "The week after", "week-end-yes": "Finished",
        "week-end-no": "Not yet", "write-them": "Write them down", "only-read": "Only read it back",
        "hours-kept": "They stand under their days.",
        "hours-were-kept": "These were kept already. They stand under their days.", "ring-told": "I told them",
        "ring-rang": "I rang", "ring-left it": "Leave it", "not-in-today": "Today", "not-in-till": "Till",
        "back-in": "Back in from today", "see-it": "Show it without my own hours", "work-out": "Work it out",
    }  # fmt: skip
    assert {key: FORM_WORDS[key] for key in forms} == forms
    assert CHOICE_WORDS["cause"] == {
        "drying": "drying", "owner": "waiting for the owner", "parts": "parts", "artwork": "artwork",
        "curing": "setting", "weather": "weather", "away": "I'm away", "queue": "no room",
    }  # fmt: skip
    assert CHOICE_WORDS["again"]["me"] == "my own doing"
    assert CHOICE_WORDS["again"]["owner"] == "the owner's wish"
    assert CHOICE_WORDS["paid_by"] == {"me": "I do", "owner": "the owner", "half": "half each"}
    assert CHOICE_WORDS["terms"] == {
        "fixed": "fixed price", "ceiling": "a price with a range", "open-first": "open it up first",
    }  # fmt: skip
    assert CHOICE_WORDS["because"]["late"] == "it is late"
    assert CHOICE_WORDS["because"]["asked later"] == "asked for since"
    labels = {
        "assessed": "looked like", "found": "turned out", "pace slower": "this board is going slower than usual",
        "pace quicker": "this board is going quicker than usual", "too low": "too low", "too high": "too high",
        "looks low": "but it looks low", "looks high": "but it looks high", "floor pay": "least I'd take",
        "target pay": "what I want", "pay per hour": "pay an hour, before rent", "pay after overheads": "pay an hour, after rent",
        "beyond": "bigger than any you've written down", "beyond below": "smaller than any you've written down",
        "view before": "before opening", "view opened": "opened up", "view finished": "finished",
        "terms fixed": "fixed price", "terms ceiling": "a price with a range", "terms open-first": "open it up first",
        "view now": "as it stands now", "state asked": "asked", "state stopped": "stopped, waiting for an answer",
        "state finished": "ready", "judged photos": "from photos", "judged in hand": "in hand",
        "judged scales": "on the scales", "judged opened": "opened up", "cost glass": "old glass",
        "cost foam": "the foam", "cost wet": "wet foam", "cost paint": "the paint", "cost owner": "the owner",
        "cost me": "me", "cost nothing": "nothing in particular", "holds": "holds", "too sure": "too sure of itself",
        "looks narrow": "but it looks too sure of itself", "own guess": "your own guess",
        "guess x usual": "your guess, times how it usually went", "median of past": "the middle of your past boards",
    }  # fmt: skip
    assert {key: LABELS[key] for key in labels} == labels


def test_what_money_is_for_in_other_words():
    said = {"advance": "deposit", "balance": "payment", "rest": "payment", "returned": "refund", "supplies": "materials",
            "power": "rent"}  # fmt: skip
    assert {word: what for what, words in MONEY_FOR.items() for word in words if word in said} == said
