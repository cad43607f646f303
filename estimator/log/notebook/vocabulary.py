"""The words that a notebook has for stages, for what is done again, for days off and for work on no board."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from estimator.log.notebook.spelling import is_slip
from estimator.log.notebook.tokens import Token, listed, tokens_of
from estimator.words.records import AGAIN, SHOP, Entry
from estimator.words.settings.schema import REDO, Settings

STAGE, AGAINST, DONE, DAY_OFF, NO_BOARD, DITTO, TO_COME, STATE = MEANINGS = (
    "stage",
    "again",
    "done",
    "away",
    "shop",
    "ditto",
    "to come",
    "state",
)

# usual words of the trade for its stages; common practice, no source. Several stages: it can be any of them
_STAGE_WORDS: Mapping[str, str] = {
    "assess": "look it over, looked it over, look over, looked over, assess, assessed, assessing, assessment, "
    "inspect, "
    "inspected, looked at, measured up, weighed and measured",
    "clean": "clean, cleaned, cleaning, dewax, dewaxed, dewaxing, de wax, de waxed, wax off, "
    "trace, traced, tracing, clean and trace",
    "strip": "strip, stripped, stripping, glass off, old glass, old glass off, peel, peeled, peeling, took "
    "glass off, deck off, bottom off",
    "drying": "drying check, drying checks, dry check, dry checks, drying, moisture check, on the scales, scales, "
    "weighed, weigh in, weighing, weight check, checked weight, checked drying, check drying",
    "infill": "let in, letting in, infill, infills, infilled, infilling, foam in, foam pieces, let in foam, dug "
    "out",
    "stringer": "stringer, stringers, stringer repair, mend stringer, mended stringer",
    "block": "block, blocks, blk, blks, nose blk, tail blk, nose block, tail block, noseblock, tailblock",
    "reshape": "fair, faired, fairing, reshape, reshaped, reshaping, re shape, re shaped, re shaping, shape, "
    "shaped, "
    "shaping, faired foam, fair foam, fairing foam, planed, planing",
    "stain": "stain, stains, base coat, basecoat, seal coat, stain work, sealed foam, seal foam",
    "spray": "spray, sprayed, spraying, mask, masked, masking, mask up, masked up, masking up, mask and spray, "
    "masked and sprayed, masking and spraying, col, cols, colour, colours, color, colors, paint, painted, "
    "painting, unmask, unmasked, unmasking, demask, demasked, demasking, "
    "laid out, lay out, laying out, touched up col, touched up colour",
    "logos": "logo, logos, redraw, redrew, redrawn, redrawing, redraw logo, redraw logos, redrew logo, redrew "
    "logos",
    "laminate": "patch, patched, patching, laminate, laminated, laminating, lam, lams, lamination, "
    "glassed, glassing, lapped, laps, lap, reglass, reglassed, reglassing, re glass, "
    "re glassed, re glassing",
    "fins": "fin, fins, fin box, fin boxes, finbox, fin on, fins on, foiled, foiling, foil, glassed fin, glass "
    "fin, "
    "glassed fin on, glassed fins on, glassed on, "
    "foiled and glassed on, glassed on fin, fin glassed on, fins glassed on, fin glassed in, fins and "
    "boxes",
    "filler": "filler, filler coat, filler coats, hot coat, hotcoat, hot coats, hotcoats, hot coated, hotcoated, "
    "sanding coat, fill coat",
    "sand": "sand, sanded, sanding, sand down, sanded down",
    "pinlines": "pinline, pinlines, pin line, pin lines, pinlining, pinlined",
    "gloss": "gloss, glossed, glossing, gloss coat, gloss coats, finish coat",
    "polish": "polish, polished, polishing, buff, buffed, buffing, cut and polish, rub down and polish, rubbed "
    "out, "
    "rub out, wet rub, wet rubbed, wet rubbing, compound, compounded, compounding",
    "owner_change": "change of mind, changed his mind, changed her mind, changed their mind, owner change",
    "handover": "hand over, handed over, handover, handing over",
}
# words that may be one of several stages: asked, unless the board is at one of them only
_EITHER: Mapping[str, tuple[str, ...]] = {
    "glass": ("strip", "laminate"),
    "rub down": ("sand", "polish"),
    "rubbed down": ("sand", "polish"),
    "rubbing down": ("sand", "polish"),
    "foam": ("infill", "reshape"),
    "coat": ("filler", "gloss", "spray"),
    "coats": ("filler", "gloss", "spray"),
    "resin": ("laminate", "filler", "gloss"),
    **dict.fromkeys(("filled", "filling", "fill"), ("infill", "filler")),
    **dict.fromkeys(("wet sand", "wet sanded", "wet sanding", "wet and dry"), ("polish", "sand")),
    **dict.fromkeys(("tape", "taped", "taping", "tape up", "taped up"), ("spray", "pinlines", "laminate")),
    **dict.fromkeys(("pull tape", "pulled tape", "pulling tape", "tape off"), ("spray", "pinlines")),
}
# what is of another stage by its word, and of this one where a line begins with it: stripy pinlines: taped 1, painted ½
WITHIN = frozenset({("pinlines", "spray")})
# what has been put on sets by itself: no work, whatever stage it was
_SETS = (
    "glue, resin, paint, lacquer, primer, gloss, gloss coat, hot coat, hotcoat, filler coat, coat, glass, lam, "
    "patch"
)
_SETTING = (
    "drying, drying off, curing, going off, gone off, setting, hardening, tacky, still tacky, still soft"
)
# what is no work done again with re before it: a board is glassed anew, and weighed again and again
_DONE_ANEW = frozenset({"laminate", "drying"})
# a stage done once more, in one word
_ONCE_MORE: Mapping[str, str] = {
    "sand": "resand, resanded, resanding, re sand, re sanded, re sanding",
    "gloss": "regloss, reglossed, reglossing, re gloss, re glossed, re glossing",
    "spray": "respray, resprayed, respraying, re spray, re sprayed, re spraying, repaint, repainted, "
    "repainting, re mask, "
    "re masked, remasked, re paint, re painted",
    "polish": "repolish, repolished, repolishing, re polish, re polished, re polishing",
    "filler": "re hot coat, re hotcoat, re filler, rehotcoated",
}
# what one stage does to what another has left: sanded the filler coat
OBJECTS = frozenset({("sand", "filler"), ("polish", "gloss"), ("reshape", "infill")})
# why something was done again, by one of AGAIN; the first of each is how it is printed
REASONS: Mapping[str, str] = {
    "sand-through": "sand through, sanded through, sand throughs, sanded thru, burn through, burned through, burnt "
    "through, went through, rubbed through",
    "paint": "paint lifted, paint bled, paint ran, paint reacted, paint pulled, bled under the tape, bled under "
    "tape, tape bled, tape leaked, "
    "tape lifted paint, tape pulled paint, colour bled, colour lifted",
    "resin": "resin trouble, resin went off, resin did not go off, resin didn't go off, pinholes, gassed, gas out, "
    "gassed out, stayed tacky, did not go off, didn't go off, went off too soon, went off too fast",
    "me": "my fault, my own fault, my mistake, my doing, botched it",
    "owner": "owner wanted it, owner's wish, for the owner, owner changed his mind, owner changed her mind",
}
_AGAIN = (
    "again, redo, redone, redid, re do, re did, redoing, did again, done again, once more, a second time, "
    "second time, 2nd time, third time, second go, one more time"
)
_DONE = "done, finished, all done, complete, completed, ✓, ✔"
_NOT_DONE = "not done, not finished, unfinished, not done yet, not yet done, not finished yet, isn't done, not complete"
_STILL = (
    "all but done, as good as done, more or less done, mostly done, partly done, part done, all but finished, "
    "nearly done, almost done, half done, nearly finished, almost finished, half finished, not quite done"
)
_AWAY = (
    "away, waves, swell, good waves, good swell, dentist, doctor, hospital, beach, surf, surfed, surfing, went "
    "surfing, off, day off, had the day off, took the day off, holiday, on holiday, "
    "holidays, ill, sick, poorly, in bed, not in, away surfing, off sick, family, out of town, funeral, "
    "wedding, flu, closed, shut, shop closed, shop shut"
)
NOT_WORKED = (
    "did not work, didn't work, no work, nothing done, did nothing, nothing, nowt, no hours, nil, none"
)
_NOT_WRITTEN = "not written down, didn't write it down, can't recall, can't remember, don't remember, no idea"
_NO_BOARD = (
    "sweep, swept, sweeping, sweep up, swept up, sweeping up, tidy, tidied, tidying, tidy up, tidied up, "
    "tidying up, "
    "tidied shop, tidied the shop, accounts, accountant, bookkeeping, books, paperwork, invoices, tip, tip run, "
    "dump run, emails, phone, phone calls, messages, ordering, shopping, van, fetched resin, resin run, "
    "extraction, filters, fixed the compressor, compressor, shop, the shop, on the shop, in the shop, workshop, "
    "admin, book keeping, sharpening, sharpened, sharpened tools, tools, "
    "drying checks of all boards, clearing up, cleared up, cleaned the shop, cleaned shop, cleaning the shop, "
    "clean up, "
    "cleaned up, cleaning up, clean down, cleaned down, ordered resin, ordered cloth, ordered, picked up resin, "
    "collected resin, fetched cloth, fetched, supplier, all boards, all of them, the rack, rack, everything, "
    "drying checks on the rack"
)
_DITTO = "ditto, same again, same, as above, the same"
_TO_COME = (
    "tomorrow, next week, need to, needs to, must, should, have to, has to, going to, will, want to, wants to, "
    "to do, needs, "
    "plan to, order, remember to, don't forget, didn't, did not, haven't, couldn't start, instead of"
)

# what one does within a stage; any other word that nobody knows may be a board
DOINGS = listed(
    "pull cut trim squirt scrape plane prep wipe flat dig dug route glue stuck scrub dust mix file level"
)
VERB_ENDINGS = ("ing", "ed")

# what is left out of a note where it stands alone
SMALL = listed(
    "the a an on of to in at for and with then was it its is did do doing worked work by from some i my his her "
    "h hrs "
    "hours hour about board board's bit more still up that this went got had has be been so his her their our just "
    "also plus day hr only as over took spent put another made today into onto gave carried kept going went me we "
    "finally actually well between mr mrs ms miss dr"
)
# words for parts of a board, never a board's own where no name has them
PARTS = listed(
    "deck bottom rail rails nose tail side sides first second third fourth fifth last both one two three other "
    "half "
    "1st 2nd 3rd 4th 5th coat coats edge edges pcs pieces piece end whole all lot rest near old new "
    "am pm morning afternoon evening noon lunch "
    "after before early late"
)
# what a number right before it counts; by driver where the settings have it
COUNTED: Mapping[str, str] = {
    **dict.fromkeys(listed("pcs pc pieces piece infills infill insets bits plugs"), "infills"),
    **dict.fromkeys(listed("logos logo"), "logos"),
    **dict.fromkeys(listed("pinlines pinline"), "pinlines"),
    **dict.fromkeys(listed("colours colors cols colour color col"), "spray_colours"),
    **dict.fromkeys(listed("patches patch"), "patches"),
    **dict.fromkeys(listed("blocks block"), "blocks"),
    **dict.fromkeys(listed("stringers stringer"), "stringers"),
    **dict.fromkeys(
        listed(
            "sides side coats coat layers layer fins fin boxes box dings ding holes hole checks check lines "
            "line spots spot "
            "panels panel bands band rails rail passes runs rolls sheets boards boxes corner cracks crack oz "
            "ounce ounces grit g kg lb lbs ml l "
            "litres mm cm inch inches ft feet m2 % grams degrees deg blisters bubbles pinholes places cracks "
            "corners "
            "strips stripes tins owners people"
        ),
        "",
    ),
}
# measures, after any figure
MEASURES = listed(
    "oz ounce ounces grit g kg lb lbs ml l litres mm cm inch inches ft feet m2 % grams degrees deg c °"
)
UNSURE_COUNTS = frozenset({"col", "colour", "color", "logo", "pinline", "block", "stringer", "fin", "infill"})

Phrase = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a phrase says. of: of MEANINGS; value: the stages it may be, the reason, and the like; kept: it is "
    "a note too; again: once more
    """

    of: str
    value: tuple[str, ...] = ()
    kept: bool = False
    again: bool = False


# sandpaper as it is sold, by the number of the grit; FEPA standards 42 and 43, the usual ones, from memory
GRITS = listed("40 60 80 100 120 150 180 220 240 320 400 500 600 800 1000 1200 1500 2000 2500 3000")
BY_GRIT = Meaning(STAGE, ("sand", "polish"))  # what is done with sandpaper


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What phrases mean, by their words; longest: of them, in words."""

    phrases: Mapping[Phrase, Meaning]
    longest: int

    def at(self, tokens: tuple[Token, ...], place: int) -> tuple[Meaning, int] | None:
        """The longest phrase that begins at a place, and the place behind it."""
        words: list[str] = []
        best = None
        at = place
        while at < len(tokens) and len(words) < self.longest:
            token = tokens[at]
            if token.joins and words and not token.apart and not tokens[min(at + 1, len(tokens) - 1)].apart:
                at += 1
                continue
            if token.kind == "line end" or (token.kind == "mark" and token.plain not in {"✓", "✔"}):
                break
            words.append(token.plain)
            at += 1
            if meaning := self.phrases.get(tuple(words)):
                best = (meaning, at)
        return best

    def slip(self, word: str, of: Collection[str]) -> Meaning | None:
        """What a word means that is of some kinds but for a slip of the pen, or a stage's cut short; None if unsure."""
        plain = word.casefold()
        near = {
            meaning.value: meaning
            for (known, *more), meaning in self.phrases.items()
            if not more
            and meaning.of in of
            and not meaning.again
            and not meaning.kept
            and _stands_for(plain, known, of)
        }
        return next(iter(near.values())) if len(near) == 1 else None


_SHORTEST = 3  # letters of a word that is cut short: str, pol


def _stands_for(word: str, known: str, of: Collection[str]) -> bool:
    """Whether a word is a known one with a slip, or the beginning of a stage's."""
    cut = STAGE in of and _SHORTEST <= len(word) < len(known) and known.startswith(word)
    return cut or is_slip(word, known)


def words_of(text: str) -> Phrase:
    """The words of a phrase, as the vocabulary knows them.

    >>> words_of("Owner's change-of mind")
    ('owner', 'change', 'of', 'mind')
    """
    return tuple(token.plain for token in tokens_of(text) if not token.joins)


def vocabulary_of(settings: Settings, entries: Iterable[Entry]) -> Vocabulary:
    """The words of the trade, of the settings, and those that the log has taught, the last before the first.

    >>> from estimator.words.settings.schema import Stage
    >>> known = vocabulary_of(Settings(stages={"sand": Stage("sand", label="Make it smooth")}), ())
    >>> known.phrases[("make", "it", "smooth")].value, known.phrases[("sanding",)].value
    (('sand',), ('sand',))
    """
    phrases: dict[Phrase, Meaning] = {}

    def add(words: str, meaning: Meaning) -> None:
        for one in words.split(","):
            phrases[words_of(one)] = meaning

    add(_TO_COME, Meaning(TO_COME))
    add(_NO_BOARD, Meaning(NO_BOARD))
    add(_AWAY, Meaning(DAY_OFF, ("away",)))
    add(NOT_WORKED, Meaning(DAY_OFF, ("did not work",)))
    add(_NOT_WRITTEN, Meaning(DAY_OFF, ("",)))
    for word, stages in _EITHER.items():
        if there := tuple(stage for stage in stages if stage in settings.stages):
            add(word, Meaning(STAGE, there))
    for stage, words in _STAGE_WORDS.items():
        if stage in settings.stages:
            add(words, Meaning(STAGE, (stage,)))
    for stage, words in _ONCE_MORE.items():
        if stage in settings.stages:
            add(words, Meaning(STAGE, (stage,), again=True))
    for phrase, meaning in tuple(phrases.items()):
        if meaning.of == STAGE and len(phrase) == 1 and phrase[0].endswith(_VERB):
            again = not _DONE_ANEW & set(meaning.value)
            phrases.setdefault((f"re{phrase[0]}",), Meaning(STAGE, meaning.value, again=again))
    for reason, words in REASONS.items():
        add(words, Meaning(AGAINST, (reason,)))
        for had in (" had", " has"):  # paint had lifted
            add(re.sub(r"\b(paint|colour|resin) ", rf"\1{had} ", words), Meaning(AGAINST, (reason,)))
    for thing in _SETS.split(", "):
        for state in _SETTING.split(", "):
            phrases[words_of(f"{thing} {state}")] = Meaning(STATE, kept=True)
    add(_AGAIN, Meaning(AGAINST, ("",)))
    add(_DONE, Meaning(DONE, ("yes",)))
    add(_NOT_DONE, Meaning(DONE, ("no",)))
    add(_STILL, Meaning(DONE, ("",), kept=True))
    add(_DITTO, Meaning(DITTO))
    if "drying" in settings.stages:
        add("still wet, still damp, not dry yet, dry at last", Meaning(STAGE, ("drying",), kept=True))
    for phrase, meaning in _learned(settings, entries):
        phrases.setdefault(phrase, meaning)
    for stage in settings.stages:
        if stage != REDO:
            for name in (stage.replace("_", " "), settings.label(stage)):
                phrases[words_of(name)] = Meaning(STAGE, (stage,))
    phrases.pop((), None)
    return Vocabulary(phrases, max(map(len, phrases)))


_VERB = ("ed", "ing")
TAUGHT = 3  # times that a note must have stood with one stage only, to be taken for it


def _learned(settings: Settings, entries: Iterable[Entry]) -> Iterable[tuple[Phrase, Meaning]]:
    """Notes that were written with one stage alone, and the words for work on no board."""
    stages: dict[Phrase, Counter[str]] = defaultdict(Counter)
    for entry in entries:
        stage = entry.of or entry.stage
        if entry.board == SHOP:
            if entry.hours > 0 and stage and (words := words_of(stage)):
                yield words, Meaning(NO_BOARD)
        elif entry.note and 0 < len(words := words_of(entry.note)) <= 4 and stage in settings.stages:
            stages[words][stage] += 1
    for words, seen in stages.items():
        (stage, many), *others = seen.most_common()
        if many >= TAUGHT and not others and not set(words) <= SMALL | PARTS:
            yield words, Meaning(STAGE, (stage,), kept=True)


assert set(REASONS) | {"yes"} == set(AGAIN)
