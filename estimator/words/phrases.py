"""The one place where numbers become words: hours, counts, spans, parts and times."""

from __future__ import annotations

import math
from collections.abc import Sequence

_SMALL = (
    *("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
    "twenty",
)
_SIGNS = {"m2": "m²", "ft2": "ft²", "cm2": "cm²", "in2": "in²"}


def round_hours(hours: float) -> float:
    """The hours as they are shown: to the half under 10, the whole under 40, the nearest 5 above.

    A difference may be negative and is rounded as its size.

    >>> [round_hours(h) for h in (1.3, 9.8, 23.5, 61.5, 97.5, -3.2)]
    [1.5, 10.0, 24.0, 60.0, 100.0, -3.0]
    """
    size = abs(hours)
    step = 0.5 if size < 10 else 1.0 if size < 40 else 5.0
    return math.copysign(_nearest(size, step), hours) + 0.0


def say_hours(hours: float) -> str:
    """Hours in words, rounded as they are shown.

    >>> say_hours(4.6), say_hours(1), say_hours(66), say_hours(0.1)
    ('4½ hours', '1 hour', '65 hours', 'less than ½ hour')
    """
    one = 0 < abs(round_hours(hours)) <= 1 or (round_hours(hours) == 0 and hours != 0)
    return f"{hours_in_figures(hours)} {'hour' if one else 'hours'}"


def hours_in_figures(hours: float) -> str:
    """The same hours without their unit.

    >>> hours_in_figures(4.6), hours_in_figures(0.1)
    ('4½', 'less than ½')
    """
    rounded = round_hours(hours)
    return "less than ½" if rounded == 0 and hours != 0 else _figure(rounded)


def say_range(low: float, high: float, *, unit: bool = True) -> str:
    """A range of hours in words; unit: False where hours stand beside it.

    >>> say_range(53.2, 81), say_range(3.1, 4.6), say_range(8.9, 9.1), say_range(0.1, 2)
    ('between 55 and 80 hours', 'between 3 and 4½ hours', 'about 9 hours', 'up to 2 hours')
    """
    head, least, most = _ends(low, high)
    end = say_hours(high) if unit else most
    return f"between {least} and {end}" if least else f"{head}{end}"


def range_in_figures(low: float, high: float) -> str:
    """The same range without its unit, for a cell under hours.

    >>> range_in_figures(53.2, 81), range_in_figures(3.1, 4.6), range_in_figures(8.9, 9.1), range_in_figures(0.1, 2)
    ('55 to 80', '3 to 4½', 'about 9', 'up to 2')
    """
    head, least, most = _ends(low, high)
    return f"{least} to {most}" if least else f"{head}{most}"


def _ends(low: float, high: float) -> tuple[str, str, str]:
    """The two ends of a range in figures; where one end says it all, a word in front of that instead of the first."""
    least, most = round_hours(low), round_hours(high)
    if most == 0:
        return "", "", hours_in_figures(high)
    if least == most:
        return "about ", "", _figure(most)
    return ("up to ", "", _figure(most)) if least == 0 else ("", _figure(least), _figure(most))


def say_middle(hours: float) -> str:
    """Hours that are a place on the tape and not the end of a promise, in figures: to the half, from 10 on whole.

    So are said the even chance, and hours that were worked.

    >>> say_middle(66.4), say_middle(4.3)
    ('66', '4½')
    """
    return _figure(_nearest(hours, 0.5 if hours < 10 else 1.0))


def say_shown(hours: float) -> str:
    """Hours of `shown_to_add_up`, without their sign, in figures as they stand.

    >>> say_shown(66.0), say_shown(-15.5)
    ('66', '15½')
    """
    return _figure(abs(hours))


def round_middle(hours: float) -> float:
    """Hours that are a place on the tape, as they are shown: to the half under 10, else to the whole.

    >>> round_middle(66.4), round_middle(4.3)
    (66.0, 4.5)
    """
    return round_hours(hours) if abs(hours) < 10 else float(math.floor(hours + 0.5))


def shown_to_add_up(hours: Sequence[float], total: float) -> list[float]:
    """Parts of an even chance, shown as it is, then nudged by single steps where they'd miss the shown total.

    Each nudge falls on the figure that it takes least away from what it truly is, in steps of that figure. Where only
    figures of ten and more are left and half an hour is missing, one of them is shown to the half.

    >>> shown_to_add_up([13.4, 9.3, 3.4], 26.0), shown_to_add_up([-15.3, 10.8], -4.5)
    ([13.0, 9.5, 3.5], [-15.5, 11.0])
    """
    shown = [round_middle(h) for h in hours]
    while abs(left := total - math.fsum(shown)) > 1e-9:
        way = math.copysign(1.0, left)
        nudged = [(i, at + way * _step(at)) for i, at in enumerate(shown) if _step(at) <= abs(left) + 1e-9]
        kept = [(i, at) for i, at in nudged if at * hours[i] > 0 or at == 0]
        if not kept and abs(left) < 1:
            nudged = [(i, at + left) for i, at in enumerate(shown) if at]
            kept = [place for place in nudged if abs(place[1]) < 10] or nudged
        if not kept:
            break
        best, at = min(kept, key=lambda place: abs(place[1] - hours[place[0]]) / _step(place[1]))
        shown[best] = at
    return shown


def say_ten_boards(low: float, likely: float, high: float, odds: float = 0.8) -> str:
    """A range as a count of boards: the sentence that stands for the drawing of ten boards, or of twenty.

    >>> say_ten_boards(55, 66, 80)
    'Of ten boards like this, eight take 55 to 80 hours, one less, one more; half take more than 66.'
    >>> say_ten_boards(45, 66, 97, 0.95)
    'Of twenty boards like this, nineteen take 45 to 95 hours, one less or more; half take more than 66.'
    """
    boards, inside = next(
        ((of, round(odds * of)) for of in (10, 20) if _splits(odds * of, of)),
        (20, min(math.floor(odds * 20 + 0.5), 19)),
    )
    outside = boards - inside
    beyond = (
        f"{_SMALL[outside]} less or more"
        if outside % 2
        else f"{_SMALL[outside // 2]} less, {_SMALL[outside // 2]} more"
    )
    least, most = round_hours(low), round_hours(high)
    hours = f"about {say_hours(high)}" if least == most else f"{_figure(least)} to {say_hours(high)}"
    of = "ten" if boards == 10 else "twenty"
    middle = say_middle(likely)
    return f"Of {of} boards like this, {_SMALL[inside]} take {hours}, {beyond}; half take more than {middle}."


def capital(text: str) -> str:
    """The same with a capital letter in front.

    >>> capital("two boards")
    'Two boards'
    """
    return text[:1].upper() + text[1:]


def inside(label: str) -> str:
    """A label as it stands inside a sentence; one that begins with an abbreviation stays as it is.

    >>> inside("Foam pieces to let in"), inside("UV resin")
    ('foam pieces to let in', 'UV resin')
    """
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]


def say_count(count: int, thing: str) -> str:
    """So many things: the noun in its plural where there is not one.

    >>> say_count(1, "board"), say_count(4, "rule of thumb"), say_count(0, "fin box")
    ('1 board', '4 rules of thumb', 'no fin boxes')
    """
    if count == 1:
        return f"1 {thing}"
    noun, of, rest = thing.partition(" of ")
    if noun.endswith(("s", "x", "ch", "sh")):
        noun += "es"
    elif noun.endswith("y") and noun[-2:-1] not in "aeiou":
        noun = noun[:-1] + "ies"
    else:
        noun += "s"
    return f"{f'{count:,}' if count else 'no'} {noun}{of}{rest}"


def say_small(count: int) -> str:
    """A count as a word up to twenty, in figures above.

    >>> say_small(0), say_small(7), say_small(21)
    ('none', 'seven', '21')
    """
    return "none" if count == 0 else _SMALL[count] if count < len(_SMALL) else f"{count:,}"


def say_one_in(chance: float) -> str:
    """How seldom luck alone does what has happened, for a chance up to an even one; above it, that it is no news.

    Raises ValueError for a number that is no chance.

    >>> say_one_in(0.322), say_one_in(0.0087), say_one_in(0.6), say_one_in(1e-6)
    ('one time in three', 'one time in 110', 'more than one time in two', 'less than one time in 1,000')
    """
    if not 0 <= chance <= 1:
        raise ValueError(f"{chance} is no chance")
    if chance > 0.5:
        return "more than one time in two"
    if chance < 0.001:
        return "less than one time in 1,000"
    seldom = 1 / chance
    step = next((step for most, step in ((20.5, 1), (50, 5), (200, 10)) if seldom < most), 100)
    return f"one time in {say_small(math.floor(seldom / step + 0.5) * step)}"


def say_from(boards: int, rules: int, lent: int = 0) -> str:
    """What an answer rests on: past boards of the shop, and rules of thumb, of which so many are lent.

    >>> say_from(31, 4)
    'from 31 of your boards and 4 rules of thumb'
    >>> say_from(0, 8, 5)
    'All from rules of thumb (5 lent, not yet yours), none from your log.'
    """
    borrowed = f" ({lent} lent, not yet yours)" if lent else ""
    if boards == 0 and rules == 0:
        return "From no board of your log and no rule of thumb."
    if boards == 0:
        return f"All from {'' if lent else 'your '}rules of thumb{borrowed}, none from your log."
    own = f"from {boards:,} of your boards"
    return f"{own} and {say_count(rules, 'rule of thumb')}{borrowed}" if rules else own


def say_value(value: float, unit: str = "", grades: Sequence[str] = ()) -> str:
    """A driver's or a condition's value: its grade's word, or a short number with its unit; 0 is none.

    grades: words for 0, 1, 2 ...; "no" and "yes" for a condition without grades; empty for a driver.

    >>> say_value(1.3331, "m2"), say_value(2), say_value(0.5), say_value(2, grades=("dry", "damp", "wet"))
    ('1.33 m²', '2', '½', 'wet')
    >>> say_value(3.75), say_value(0.25)
    ('3¾', '¼')
    """
    if grades:
        return grades[min(max(math.floor(value + 0.5), 0), len(grades) - 1)]
    if value == 0:
        return "none"
    quarters = value * 2 % 1 == 0 or (not unit and value > 0 and value * 4 % 1 == 0)
    figure = _figure(value) if quarters else f"{float(f'{value:.3g}'):,g}"
    return f"{figure} {unit_sign(unit)}".strip()


def unit_sign(unit: str) -> str:
    """A unit as it is shown.

    >>> unit_sign("m2"), unit_sign("cm")
    ('m²', 'cm')
    """
    return _SIGNS.get(unit, unit)


def _step(shown: float) -> float:
    """The step in which an even chance of this size is shown."""
    return 0.5 if abs(shown) < 10 else 1.0


def _splits(inside: float, of: int) -> bool:
    """Whether so many boards inside are whole boards, with as many left over on each side."""
    each = (of - inside) / 2
    return abs(inside - round(inside)) < 1e-9 and abs(each - round(each)) < 1e-9


def _nearest(size: float, step: float) -> float:
    """The nearest multiple of a step; halfway is up."""
    return math.floor(size / step + 0.5) * step


def _figure(number: float) -> str:
    """A whole number with its quarters, as 4, ½ or 4¾.

    >>> _figure(4.0), _figure(0.5), _figure(-4.75), _figure(1250.0)
    ('4', '½', '−4¾', '1,250')
    """
    whole, part = divmod(abs(number), 1)
    sign = "−" if number < 0 else ""
    return f"{sign}{'' if part and not whole else f'{whole:,.0f}'}{_QUARTERS[round(part * 4)]}"


_QUARTERS = ("", "¼", "½", "¾")
NOTHING = 0.03  # a change by less is none worth a word
OF_HOURS, OF_DATES = "ranges", "ranges of dates"
ENDS = {OF_HOURS: ("quick", "slow"), OF_DATES: ("early", "late")}
_SHARES = (
    (1 / 20, "a twentieth"),
    (1 / 10, "a tenth"),
    (1 / 5, "a fifth"),
    (1 / 4, "a quarter"),
    (1 / 3, "a third"),
    (1 / 2, "half"),
    (2 / 3, "two thirds"),
    (3 / 4, "three quarters"),
)


def say_share(share: float) -> str:
    """A part of the whole, above 0 and below 1, by the nearest fraction that has a name.

    >>> say_share(0.11), say_share(0.23), say_share(0.6)
    ('a tenth', 'a quarter', 'two thirds')
    """
    return min(_SHARES, key=lambda named: abs(named[0] - share))[1]


def say_times(times: float) -> str:
    """So many times as much, above 0, as it stands before "as you guess" or "than you guess".

    >>> [say_times(t) for t in (1.24, 0.8, 1.01)]
    ['a quarter more than', 'a fifth less than', 'about as much as']
    >>> [say_times(t) for t in (0.5, 1.5, 1.96, 2.6, 0.2)]
    ['half as much as', 'half as much again as', 'twice as much as', '2½ times as much as', 'a fifth of what']
    """
    if _same(times):
        return "about as much as"
    if times < 0.4:
        return f"{say_share(times)} of what"
    if times < 1:
        share = say_share(1 - times)
        return "half as much as" if share == "half" else f"{share} less than"
    if times < 1.8:
        share = say_share(times - 1)
        return "half as much again as" if share == "half" else f"{share} more than"
    halves = math.floor(2 * times + 0.5) / 2
    return "twice as much as" if halves == 2 else f"{say_value(halves)} times as much as"


def say_stretch(low: float, high: float, ranges: str = OF_HOURS) -> str:
    """By what the two ends of ranges are moved for how past ranges went, and why; empty where by next to nothing.

    low, high: how many times as far the quick end and the slow end lie from the even chance, above 0
    ranges: what they are called, OF_HOURS or OF_DATES

    >>> say_stretch(1.1, 1.12)
    'Widened by a tenth: your last ranges were too tight.'
    >>> say_stretch(0.99, 1.22)
    'Widened by a fifth at the slow end: there your last ranges were too tight.'
    >>> say_stretch(1.02, 1.0)
    ''
    >>> say_stretch(1.0, 1.1, OF_DATES)
    'Widened by a tenth at the late end: there your last ranges of dates were too tight.'
    """
    quickest, slowest = ENDS[ranges]
    said = {
        end: (times > 1, say_share(abs(times - 1)))
        for end, times in ((slowest, high), (quickest, low))
        if not _same(times)
    }
    if not said:
        return ""
    if len(said) == 1:
        [(end, (out, share))] = said.items()
        return f"{_moved(out)} by {share} at the {end} end: there your last {ranges} were {_why(out)}."
    (slow_out, slow), (quick_out, quick) = said[slowest], said[quickest]
    if slow_out != quick_out:
        return " ".join(
            f"{_moved(out)} by {share} at the {end} end: there your last {ranges} were {_why(out)}."
            for end, (out, share) in said.items()
        )
    by = slow if slow == quick else f"{slow} at the {slowest} end and {quick} at the {quickest} end"
    return f"{_moved(slow_out)} by {by}: your last {ranges} were {_why(slow_out)}."


def _same(times: float) -> bool:
    """Whether so many times as much is as good as the same."""
    return abs(times - 1) < NOTHING


def _moved(out: bool) -> str:
    """What was done to an end."""
    return "Widened" if out else "Narrowed"


def _why(out: bool) -> str:
    """What the ranges were, for it to be done."""
    return "too tight" if out else "wider than they needed to be"
