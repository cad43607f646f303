"""Verdicts on rules of thumb as a restorer reads them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence

from estimator.record.rules.verdicts import HOLDS, SharedError, Verdict, Verdicts
from estimator.said.parts import Action, Heading, Part, Table
from estimator.words.labels import label
from estimator.words.odds import say_odds
from estimator.words.phrases import capital, say_count, say_share, say_value

LENT_LOOKS = {
    "low": "your boards take longer",
    "high": "your boards take less",
    "narrow": "your boards spread more",
}
MISSES = {"low": "misses lie above", "high": "misses lie below"}


NONE_OWN = "None of the rules of thumb is your own yet."
CALLED_WRONG = (
    "However often you look, a right rule of yours is called wrong in fewer than 1 workshop in 10. That is so even "
    "where the boards of a quarter share some of their luck, but not where those of a whole year do."
)
KEPT = "Kept beside your words"


def verdict_words(verdict: Verdict) -> str:
    """The verdict in a few words; of a lent rule what sets this shop apart, if anything does."""
    if verdict.lent and verdict.looks:
        if verdict.share is not None:
            return "it happens more here" if verdict.looks == "low" else "it happens less here"
        return LENT_LOOKS[verdict.looks]
    if verdict.verdict == HOLDS and verdict.share is None and verdict.looks in MISSES:
        return f"{label(HOLDS)}, but {MISSES[verdict.looks]}"
    said = _called(verdict.verdict)
    return f"{said}, {label(f'looks {verdict.looks}')}" if verdict.looks else said


def side_words(verdict: Verdict) -> str:
    """How many past boards missed a rule that is wrong, and which way; of a chance how often it happened."""
    if verdict.share is not None:
        return f"It happened on {verdict.inside} of {verdict.of} boards."
    side = {
        "too low": f"{verdict.above} of {verdict.of} took longer",
        "too high": f"{verdict.below} of {verdict.of} took less",
        "too sure": f"{verdict.below} of {verdict.of} took less, and {verdict.above} took longer",
    }[verdict.verdict]
    return f"{side}."


def would_do_words(verdict: Verdict) -> str:
    """How many boards it takes in all, where there are too few."""
    return f"if they go as you said, {verdict.would_do} in all would do"


def past_words(verdict: Verdict) -> str:
    """How past boards fell, and what they say instead of a rule that is wrong, for a rule that stands by itself."""
    if not verdict.of:
        return "No past board tells of it yet."
    if verdict.share is not None:
        said = f"You say {verdict.own_words}. {side_words(verdict)}"
    elif verdict.accused:
        said = f"{side_words(verdict)} {suggested_words(verdict)}".strip()
    else:
        fell = [f"{n} took {way}" for n, way in ((verdict.below, "less"), (verdict.above, "more")) if n]
        missed = f", {' and '.join(fell)}" if fell else ""
        said = f"{verdict.inside} of {say_count(verdict.of, 'board')} within{missed}."
    if verdict.verdict == "not enough boards" and verdict.would_do:
        said += f" {capital(would_do_words(verdict))}."
    if verdict.accepted:
        said += f" {KEPT}: {verdict.said(*verdict.accepted)}."
    return said


def summary_words(own: Sequence[Verdict]) -> str:
    """How many of the restorer's own rules came to each verdict."""
    if not own:
        return NONE_OWN
    counts = Counter(_called(verdict.verdict) for verdict in own)
    came = ", ".join(f"{words} {n}" for words, n in counts.items())
    return f"{say_count(len(own), 'rule of thumb')}: {came}."


def _called(verdict: str) -> str:
    """The verdict by itself."""
    return verdict if verdict == "not enough boards" else label(verdict)


def lent_words(lent: Sequence[Verdict]) -> str:
    """How many rules are lent, and of how many a past board tells."""
    if not lent:
        return ""
    are = "is" if len(lent) == 1 else "are"
    beside = f"Beside these, {say_count(len(lent), 'rule of thumb')} {are} lent, not yet yours"
    return f"{beside}; your boards tell of {sum(1 for verdict in lent if verdict.of)}."


def suggested_words(verdict: Verdict) -> str:
    """The range that the log suggests instead, at the same odds; empty where it has none, or that one is kept."""
    if verdict.suggested is None or verdict.odds is None:
        return ""
    if verdict.accepted and verdict.said(*verdict.accepted) == verdict.said(*verdict.suggested):
        return ""
    return f"By your log it is {verdict.said(*verdict.suggested)}, {say_odds(verdict.odds)}."


def shared_words(shared: SharedError | None) -> str:
    """What error the restorer's rules share, as far as that is sure; else empty.

    Single rules may hold all the same: it is said of all of them taken together.

    >>> shared_words(SharedError(lean=0.182, scale=1.6, runs_low=0.95, too_sure=0.97))
    'Taken all together, your rules of thumb run a fifth low, and would be about right 1.6 times as wide.'
    >>> shared_words(SharedError(lean=0.02, scale=1.3, runs_low=0.6, too_sure=0.8))
    ''
    """
    said = []
    if shared and shared.leans:
        off = say_share(min(abs(math.expm1(shared.lean)), 0.75))
        said.append(f"run {off} {'low' if shared.lean > 0 else 'high'}")
    if shared and shared.overdone:
        narrow = f"would be about right {say_value(float(f'{shared.scale:.2g}'))} times as wide"
        said.append(narrow if shared.scale > 1 else "are wider than they need to be")
    return f"Taken all together, your rules of thumb {', and '.join(said)}." if said else ""


def rule_parts(verdicts: Verdicts) -> list[Part]:
    """Everything that `rules` says: own rules first, the lent ones apart."""
    own = [verdict for verdict in verdicts.rules if not verdict.lent]
    lent = [verdict for verdict in verdicts.rules if verdict.lent]
    if not verdicts.rules:
        return ["There is no rule of thumb in workshop.toml."]
    return [*_own(own, verdicts.shared), *_lent(lent)]


def _own(own: Sequence[Verdict], shared: SharedError | None) -> list[Part]:
    """The restorer's own rules: all in a table, then a few lines on those that need them."""
    if not own:
        return [NONE_OWN]
    parts: list[Part] = [Heading("Your rules of thumb, and how past boards went"), _table(own, "you said")]
    for verdict in own:
        if verdict.accused:
            parts += _wrong(verdict)
    parts += [*_few(own), *_accepted(own)]
    said = shared_words(shared)
    if said:
        parts += [Heading("All together"), said]
    parts.append(CALLED_WRONG)
    return parts


def _table(verdicts: Sequence[Verdict], said: str) -> Table:
    """One row a rule."""
    rows = tuple((v.name, v.own_words, *_counts(v), verdict_words(v)) for v in verdicts)
    return Table(("", said, "within", "less", "more", ""), rows, right=(2, 3, 4), guessed=False)


def _counts(verdict: Verdict) -> tuple[str, str, str]:
    """How many past cases fell within, below, above."""
    within = f"{verdict.inside} of {verdict.of}"
    if verdict.share is not None:
        return within, "", ""
    return within, str(verdict.below), str(verdict.above)


def _wrong(verdict: Verdict) -> list[Part]:
    """What past boards say instead of a rule that is wrong, and how to keep it."""
    parts: list[Part] = [Heading(f"{verdict.name}: {label(verdict.verdict)}"), f"You said: “{verdict.text}”."]
    parts.append(side_words(verdict))
    if instead := suggested_words(verdict):
        parts.append(f"{instead} Your words stay as they are; to keep this beside them:")
        parts.append(Action("accept", fields={"rule": verdict.name}))
    return parts


def _few(own: Iterable[Verdict]) -> list[Part]:
    """Of which rules there are too few boards, and how many would do."""
    few = [v for v in own if v.verdict == "not enough boards"]
    if not few:
        return []
    so_far = {v.name: f"{v.name}: {say_count(v.of, 'board')} so far" for v in few}
    lines = [f"{so_far[v.name]}; {would_do_words(v)}." if v.would_do else f"{so_far[v.name]}." for v in few]
    return [Heading("Not enough boards"), *lines]


def _accepted(own: Iterable[Verdict]) -> list[Part]:
    """Ranges that are kept beside rules."""
    kept = [f"{v.name}: {v.said(*v.accepted)}." for v in own if v.accepted]
    return [Heading(KEPT), *kept] if kept else []


def _lent(lent: Sequence[Verdict]) -> list[Part]:
    """Lent rules with any case; the others by their count."""
    seen = [verdict for verdict in lent if verdict.of]
    unseen = len(lent) - len(seen)
    parts: list[Part] = []
    if seen:
        parts += [Heading("Lent rules of thumb, not yet yours"), _table(seen, "lent")]
    if unseen:
        parts.append(f"On {say_count(unseen, 'lent rule')} of thumb your boards say nothing yet.")
    return parts


def accepted_parts(kept: Verdict) -> list[Part]:
    """What was kept beside a rule, and what that changes."""
    assert kept.suggested is not None
    return [
        f"Kept beside {kept.name}, in workshop.toml: {kept.said(*kept.suggested)}, from {kept.of} past cases.",
        "Your own words stay, and ranges still begin from them: what your log says is counted once, as hours.",
    ]
