"""Numbers with units as they are written: lengths, widths, areas, weights; lengths said in feet and inches."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from numbers import Real

from estimator.words.errors import UnreadableError

NONE = frozenset({"none", "nil", "no", "zero", "-"})  # words for nought

_PLAIN = str.maketrans(
    {
        **{
            glyph: " " + unicodedata.normalize("NFKC", glyph).replace("\u2044", "/")
            for glyph in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
        },
        **dict.fromkeys("\u2044\u2215", "/"),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
        **dict.fromkeys("\u2018\u2019\u201b\u2032\u02b9\u02bc\u00b4`", "'"),
        **dict.fromkeys("\u201c\u201d\u201f\u2033\u02ba", '"'),
        "²": "^2",
        "\ufeff": "",
    }
)
_DECIMAL = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:e[+-]?[0-9]{1,3})?")
_FRACTION = re.compile(r"([+-]?)(?:([0-9]{1,9})[ -])?([0-9]{1,9})/([0-9]{1,9})")
MOST_FIGURES = 18  # of a whole number; a book can hold no more
_LONGEST = 40  # characters of a cell that a message repeats
_MOST_READ = 400  # characters of a text that may be a number, a day, hours or money: some numbers have 330
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def printable(text: str) -> str:
    r"""The text without control characters and what else is no letter of XML; tabs and line ends stay.

    Source: XML 1.0, 2.2, Char; and without the second set of control characters, which it only discourages.

    >>> printable("red\x1b[31m nine\x00-four\n")
    'red[31m nine-four\n'
    """
    return text if text.isprintable() else _CONTROL.sub("", text)


def tidy(text: str) -> str:
    r"""The text in small letters with plain quotes, dashes, fractions and single spaces.

    >>> tidy(" 9’ 6½” "), tidy("1–2  M²")
    ('9\' 6 1/2"', '1-2 m^2')
    """
    if not text.isascii():
        text = text.translate(_PLAIN)
    return " ".join(text.lower().replace("''", '"').split())


def number_in(text: str) -> float | None:
    """The number that a tidy text is, or None where it is no number.

    A comma is a decimal comma; a mixed number has a proper fraction. May be negative or infinite.

    >>> number_in("2,5"), number_in("4 1/2"), number_in("22-5/8"), number_in("3/4"), number_in("2,5o")
    (2.5, 4.5, 22.625, 0.75, None)
    """
    if _DECIMAL.fullmatch(text):
        return float(text.replace(",", "."))
    parts = _FRACTION.fullmatch(text)
    if not parts:
        return None
    sign, whole, above, below = parts.groups()
    if int(below) == 0 or (whole and int(above) >= int(below)):
        return None
    size = int(whole or 0) + int(above) / int(below)
    return -size if sign == "-" else size


def whole_number(text: str) -> int | None:
    """The whole number from 0 up that plain figures write, 18 of them at most; None for anything else.

    >>> whole_number("26"), whole_number("-1"), whole_number("2.5"), whole_number("9" * 19)
    (26, None, None, None)
    """
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= MOST_FIGURES else None


def number(value: float | None) -> str:
    """A number with all its figures, and no more; empty where there is none.

    >>> number(55.0), number(53.25), number(1e-05), number(None)
    ('55', '53.25', '0.00001', '')
    """
    return "" if value is None else f"{Decimal(repr(value)):f}".removesuffix(".0")


def quoted(value: object) -> str:
    """What stands in a cell, in quotation marks, short enough for a message.

    >>> quoted(9.0), quoted("  2,5O ")
    ('"9"', '"2,5O"')
    """
    text = f"{value:.12g}" if isinstance(value, float) else " ".join(str(value).split())
    return f'"{text[: _LONGEST - 1]}…"' if len(text) > _LONGEST else f'"{text}"'


def unreadable(value: object, says: str, cure: str = "") -> UnreadableError:
    """The error of a value that is not what it should be; says: what is said of it, as "is not a date".

    >>> str(unreadable("soon", "is not a date", "Write it as 2026-09-30."))
    '"soon" is not a date. Write it as 2026-09-30.'
    """
    return UnreadableError(says, cure, found=quoted(value))


def number_or_text(value: object, cure: str) -> float | str:
    """A cell's finite number, or its tidy text, never empty.

    Raises UnreadableError with this cure for an empty cell, a yes or no, what is neither number nor text, and a text
    that is far too long to be any of these.

    >>> number_or_text(3, ""), number_or_text("2 H", "")
    (3.0, '2 h')
    """
    if isinstance(value, str):
        if len(value) > _MOST_READ:
            raise unreadable(value, f"is far too long: it has {len(value):,} characters", cure)
        text = tidy(value)
        if not text:
            raise UnreadableError("nothing is written", cure)
        return text
    if value is None:
        raise UnreadableError("nothing is written", cure)
    if isinstance(value, bool):
        raise UnreadableError("that is a yes or no", cure)
    if isinstance(value, (float, int, Decimal, Real)):
        try:
            number = float(value)
        except (OverflowError, ValueError):  # too many digits; a Decimal that signals
            number = math.inf
        if math.isnan(number):
            raise UnreadableError("nothing is written", cure)
        if math.isinf(number):
            raise UnreadableError("that number is without end", cure)
        return number
    raise unreadable(value, "is neither number nor text", cure)


# what it measures, and its size in m, m2 or kg as a fraction; foot and pound as defined in 1959
UNITS = {
    "m": ("a length", 1, 1),
    "cm": ("a length", 1, 100),
    "mm": ("a length", 1, 1000),
    "ft": ("a length", 3048, 10**4),
    "in": ("a length", 254, 10**4),
    "m2": ("an area", 1, 1),
    "cm2": ("an area", 1, 10**4),
    "ft2": ("an area", 3048**2, 10**8),
    "in2": ("an area", 254**2, 10**8),
    "kg": ("a weight", 1, 1),
    "g": ("a weight", 1, 1000),
    "lb": ("a weight", 45359237, 10**8),
    "oz": ("a weight", 45359237, 16 * 10**8),
}
_SPELT = {
    "m": "m metre metres meter meters",
    "cm": "cm cms centimetre centimetres centimeter centimeters",
    "mm": "mm millimetre millimetres millimeter millimeters",
    "ft": "ft foot feet",
    "in": "in ins inch inches",
    "kg": "kg kgs kilo kilos kilogram kilograms",
    "g": "g gram grams",
    "lb": "lb lbs pound pounds",
    "oz": "oz ounce ounces",
}
_SPELLINGS = {word: unit for unit, words in _SPELT.items() for word in words.split()} | {'"': "in", "'": "ft"}
_SPELLINGS |= {
    area.format(word): f"{unit}2"
    for unit in ("m", "cm", "ft", "in")
    for word in _SPELT[unit].split()
    for area in ("{}2", "{}^2", "sq {}", "sq. {}", "sq{}", "square {}")
}
_WITH_UNIT = re.compile(r"(.*?[0-9.,]) ?([a-z\"'][a-z0-9^\". ]*)")


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """The same quantity in another unit; units are m, cm, mm, ft, in, m2, cm2, ft2, in2, kg, g, lb, oz.

    Raises KeyError for any other unit, ValueError for an area made into a weight and the like.
    Source: the international yard and pound of 1959: 1 ft = 0.3048 m, 1 lb = 0.45359237 kg, exactly.

    >>> round(convert(1.0, "m2", "ft2"), 4), convert(9.5, "ft", "m")
    (10.7639, 2.8956)
    """
    (what, over, under), (wanted, to_over, to_under) = UNITS[from_unit], UNITS[to_unit]
    if what != wanted:
        raise ValueError(f"{from_unit} is {what}, {to_unit} is {wanted}")
    return value if from_unit == to_unit else value * (over * to_under) / (under * to_over)


def in_unit(value: object, found: float | str, unit: str, cure: str) -> float:
    """A number in `unit`, of what `number_or_text` found in a cell; "" counts and takes no unit.

    Raises UnreadableError with this cure for what is no number, or in a unit of something else.

    >>> round(in_unit("14 sq ft", "14 sq ft", "m2", ""), 4)
    1.3006
    """
    number = found if isinstance(found, float) else number_in(found)
    if number is not None:
        return number
    assert isinstance(found, str)
    parts = _WITH_UNIT.fullmatch(found)
    number = number_in(parts[1]) if parts else None
    if not parts or number is None:
        raise unreadable(value, "is not a number that can be read", cure)
    written = _SPELLINGS.get(parts[2]) or _SPELLINGS.get(parts[2].removesuffix("."))
    if written is None:
        raise unreadable(value, "is in a unit that is not known here", cure)
    if not unit:
        raise unreadable(value, f"is {UNITS[written][0]}, and this is counted", cure)
    if UNITS[written][0] != UNITS[unit][0]:
        raise unreadable(value, f"is {UNITS[written][0]}, not {UNITS[unit][0]}", cure)
    return convert(number, written, unit)


FOOT_M = convert(1, "ft", "m")
INCH_M = convert(1, "in", "m")

OUTLINE_AREA = {"gun": 0.74, "short": 0.76, "fish": 0.795, "long": 0.82, "": 0.78}  # of length times width
_USUAL_WIDTHS_IN = ((6.2, 19.6), (7.5, 21.2), (9.4, 22.6))  # length in feet: width in inches

_USUAL_M = (5 * FOOT_M, 10.5 * FOOT_M)
_LIGHTEST_KG, _HEAVIEST_KG = 0.5, 60.0
_MOST = 100_000.0  # of anything on one board
_HAIR_M = 1e-9

_INCHES = r"([0-9]+(?: [0-9]+/[0-9]+|[.,][0-9]+)?|[0-9]+/[0-9]+) ?(?:\"|in\.?|ins\.?|inch|inches)?"
_FEET = re.compile(rf"([0-9]+(?:[.,][0-9]+)?) ?('|ft\.?|foot|feet)(?: ?-? ?{_INCHES})?")
_DASHED = re.compile(rf"([0-9]+)( ?- ?)(?![0-9]+/){_INCHES}")
_POUNDS = re.compile(r"([0-9]+) ?(?:lbs?|pounds?) ?([0-9]+(?:[.,][0-9]+)?) ?(?:oz|ounces?)?")


@dataclass(frozen=True, slots=True)
class _Size:
    """What is measured along or across a board, between which limits in metres, and how to write it."""

    what: str
    least_m: float
    most_m: float
    cure: str

    def fits(self, size_m: float) -> bool:
        """Whether a surfboard can be so long or so wide."""
        return self.least_m - _HAIR_M <= size_m <= self.most_m + _HAIR_M


_LENGTH = _Size(
    "length",
    3 * FOOT_M,
    13 * FOOT_M,
    "Write feet and inches as 6'1\" or 6'1 1/2, or metric as 185 cm or 1.85 m.",
)
_WIDTH = _Size("width", 14 * INCH_M, 32 * INCH_M, "Write inches as 22 5/8 or 22.6, or metric as 57 cm.")
_WEIGHT_CURE = "Write the weight as 8.4 kg or 18.5 lb; a bare number is kilograms."


def face_area_m2(length_m: float, width_m: float, outline: str = "") -> float:
    """The area of one face of a board, in m2, from its greatest length and width in metres.

    outline: gun, short, fish, long, or empty where it is not known. Off by about 4 %; without outline by 6 %.

    Raises KeyError for another outline.
    Source: shares of the enclosing rectangle, ours, by integrating smooth outlines of eight sorts of board.

    >>> round(face_area_m2(112 * 0.0254, 22.5 * 0.0254, "long"), 3)
    1.333
    """
    return OUTLINE_AREA[outline] * length_m * width_m


def usual_width_m(length_m: float) -> float:
    """The width in metres that boards of this length usually have, for boards whose width is not known.

    Between short, mid and long boards in a straight line; beyond them as they. Common practice, no source.

    >>> round(usual_width_m(9.4 * 0.3048) / 0.0254, 1)
    22.6
    """
    length_ft = length_m / FOOT_M
    lower = _USUAL_WIDTHS_IN[0]
    for upper in _USUAL_WIDTHS_IN:
        if length_ft <= upper[0]:
            share = (length_ft - lower[0]) / (upper[0] - lower[0]) if length_ft > lower[0] else 0.0
            return (lower[1] + share * (upper[1] - lower[1])) * INCH_M
        lower = upper
    return lower[1] * INCH_M


def odd_length(length_m: float) -> bool:
    """Whether a length in metres lies outside 5'0" to 10'6", where a board is rare enough to ask again.

    >>> odd_length(9.5 * 0.3048), odd_length(11 * 0.3048)
    (False, True)
    """
    return not _USUAL_M[0] - _HAIR_M <= length_m <= _USUAL_M[1] + _HAIR_M


def read_length_m(value: object) -> float:
    r"""A board's length in metres, from 3 to 13 ft, in any spelling: 6'1 1/2, 6-1, 6 ft 1 in, 73", 185 cm.

    A bare number is read where only one unit makes a board of it (185, 1.85, 9); a bare 9.6 never is.
    Raises UnreadableError for anything else.

    >>> round(read_length_m("9'6\""), 4), read_length_m("185 cm")
    (2.8956, 1.85)
    """
    return _read_size(value, _LENGTH)


def read_width_m(value: object) -> float:
    """A board's width in metres, from 14 to 32 in; a bare 22 5/8 or 22.6 is inches.

    Raises UnreadableError for anything that is not such a width.

    >>> round(read_width_m("22 1/2"), 4), read_width_m("57 cm")
    (0.5715, 0.57)
    """
    return _read_size(value, _WIDTH)


def read_weight_kg(value: object) -> float:
    """A board's weight in kilograms, from 0.5 to 60; a bare number is kilograms, 18 lb 6 oz is understood.

    Raises UnreadableError for anything that is not such a weight.

    >>> round(read_weight_kg("18 lb 8 oz"), 3), read_weight_kg("8,4")
    (8.391, 8.4)
    """
    found = number_or_text(value, _WEIGHT_CURE)
    if isinstance(found, str) and (parts := _POUNDS.fullmatch(found)):
        ounces = float(parts[2].replace(",", "."))
        if ounces >= 16:
            raise unreadable(value, f"has {ounces:g} ounces after the pounds", _WEIGHT_CURE)
        weight_kg = convert(float(parts[1]) + ounces / 16, "lb", "kg")
    else:
        weight_kg = in_unit(value, found, "kg", _WEIGHT_CURE)
    if not _LIGHTEST_KG <= weight_kg <= _HEAVIEST_KG:
        raise unreadable(value, "is no weight of a surfboard", _WEIGHT_CURE)
    return weight_kg


def read_quantity(value: object, unit: str) -> float:
    """How much of a driver there is, in the driver's own unit: 1.2, 1,2, ½, 14 sq ft, none.

    unit: m2, ft2, m, ft, kg, lb, or empty for a count. A unit after the number is converted to it; a number
    alone is in it. A comma is a decimal comma. An empty cell and "?" cannot be read: the caller knows what
    they mean.

    Raises UnreadableError for what is no number, negative, beyond 100,000, or in a unit of something else.

    >>> read_quantity("2 1/2", ""), read_quantity("none", "m2"), round(read_quantity("10 sq ft", "m2"), 4)
    (2.5, 0.0, 0.929)
    """
    cure = f"Write a number{f' in {unit}' if unit else ''}, or none."
    found = number_or_text(value, cure)
    if isinstance(found, str) and found in NONE:
        return 0.0
    size = in_unit(value, found, unit, cure)
    if size < 0:
        raise unreadable(value, "is less than nothing", cure)
    if size > _MOST:
        raise unreadable(value, "is more than any board has", cure)
    return size + 0.0  # never -0


def feet_and_inches(length_m: float) -> str:
    """A length as it is called: feet and inches, as a board has them in its name.

    >>> feet_and_inches(9.5 * 0.3048)
    "9'6"
    """
    return say_length(length_m).partition(" (")[0].rstrip('"')


def say_length(length_m: float) -> str:
    r"""A length in metres as feet and inches with metric beside; under 3 ft as inches, as widths are.

    To the eighth of an inch where it was measured so, else to the nearest half.

    >>> say_length(9.5 * 0.3048), say_length(22.625 * 0.0254), say_length(1.85)
    ('9\'6" (2.90 m)', '22 5/8" (57.5 cm)', '6\'1" (1.85 m)')
    """
    inches = length_m / INCH_M
    eighths = round(inches * 8)
    if abs(inches * 8 - eighths) > 0.02:
        eighths = 4 * math.floor(inches * 2 + 0.5)
    whole, part = divmod(eighths, 8)
    up = math.gcd(part, 8)
    fraction = f"{part // up}/{8 // up}" if part else ""
    if length_m < _LENGTH.least_m - _HAIR_M:
        size = f"{whole} {fraction}".strip() if whole or not part else fraction
        return f'{size}" ({length_m * 100:.1f} cm)'.replace(".0 cm", " cm")
    feet, over = divmod(whole, 12)
    return f"{feet}'{f'{over} {fraction}'.strip()}\" ({length_m:.2f} m)"


def _read_size(value: object, size: _Size) -> float:
    """A length or a width in metres."""
    if hasattr(value, "isoformat"):
        raise UnreadableError(
            f"the spreadsheet has made a date or a time of this {size.what}",
            f"Set the cell to text. {size.cure}",
        )
    found = number_or_text(value, size.cure)
    number = found if isinstance(found, float) else number_in(found)
    if number is not None:
        return _bare(value, found, number, size)
    assert isinstance(found, str)
    size_m = _feet_and_inches(value, found, size.cure)
    if size_m is None:
        size_m = in_unit(value, found, "m", size.cure)
    if not size.fits(size_m):
        raise unreadable(value, f"is no {size.what} of a surfboard", size.cure)
    return size_m


def _feet_and_inches(value: object, text: str, cure: str) -> float | None:
    """Metres from 6'1 1/2, 6 ft 1 in or 6-1; None where the text is not of that form."""
    parts = _FEET.fullmatch(text) or _DASHED.fullmatch(text)
    if not parts:
        return None
    feet, mark, inches = parts[1].replace(",", "."), parts[2], parts[3]
    over = number_in(inches) if inches else 0.0
    if over is None:
        return None
    if "." in feet:
        if inches:
            raise unreadable(value, "has parts of a foot, and inches too", cure)
        if mark == "'":
            raise _two_readings(value, feet)
    if over >= 12:
        raise unreadable(value, f"has {over:g} inches after the feet", cure)
    return convert(float(feet) * 12 + over, "in", "m")


def _bare(value: object, found: float | str, number: float, size: _Size) -> float:
    """A number without a unit, read where only one unit makes a board of it."""
    if size is _LENGTH and 3 <= number <= 13 and number != round(number):
        raise _two_readings(value, found.replace(",", ".") if isinstance(found, str) else f"{number:.12g}")
    if size is _WIDTH and size.fits(number * INCH_M):
        return convert(number, "in", "m")
    fits = [unit for unit in ("ft", "in", "m", "cm", "mm") if size.fits(convert(number, unit, "m"))]
    if not fits:
        raise unreadable(value, f"is no {size.what} of a surfboard, in any unit", size.cure)
    if len(fits) > 1:
        readings = " or ".join(f"{number:g} {unit}" for unit in fits)
        raise unreadable(value, f"could be {readings}", size.cure)
    return convert(number, fits[0], "m")


def _two_readings(value: object, number: str) -> UnreadableError:
    """The refusal of 9.6, which may mean 9 ft 6 in and may mean 9.6 ft."""
    feet, _, inches = number.partition(".")
    if inches.isdecimal() and int(inches) < 12:
        return unreadable(
            value,
            f"could be {feet} ft {int(inches)} in or {number} ft",
            f"Write {feet}'{int(inches)}\" for the one, {number} ft for the other.",
        )
    return unreadable(
        value,
        "does not say whether it is feet",
        f"Write {number} ft, or feet and inches as 6'1\".",
    )
