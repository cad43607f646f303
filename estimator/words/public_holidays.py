"""Public holidays by a country's or a region's code, from the holidays library, imported when first asked."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Mapping
from functools import cache

CLOSE = 0.6  # likeness from which a code is offered as the one that was meant


@cache
def _regions() -> Mapping[str, tuple[str, ...]]:
    """Every country's codes, of two letters and of three, with the codes of its regions."""
    from holidays.utils import list_supported_countries

    return {country: tuple(regions) for country, regions in list_supported_countries().items()}


def _country(code: str) -> str:
    """The country's part of a code."""
    return code.partition("-")[0]


def known(code: str) -> bool:
    """Whether a country or a region, as "GB" or "GB-SCT" (ISO 3166), has its holidays known.

    >>> known("GB"), known("GB-SCT"), known("XX"), known("GB-XX")
    (True, True, False, False)
    """
    country, dash, region = code.partition("-")
    return country in _regions() and (not dash or region in _regions()[country])


def nearest_code(code: str) -> str:
    """The cure for an unknown code: the nearest known one, or how a code is written.

    >>> nearest_code("GB-SCO"), nearest_code("gb")
    ('The nearest code known here is GB-SCT.', 'The nearest code known here is GB.')
    """
    country = _country(code.upper())
    if "-" in code and country in _regions():
        codes = [f"{country}-{region}" for region in _regions()[country]]
        close = max(codes, key=lambda one: difflib.SequenceMatcher(None, one, code).ratio(), default=country)
    else:
        close = next(iter(difflib.get_close_matches(country, _regions(), n=1, cutoff=CLOSE)), "")
    if close:
        return f"The nearest code known here is {close}."
    return "Write a country as GB, a region as GB-SCT, or leave it empty."


@cache
def public_holidays(code: str, year: int) -> frozenset[dt.date]:
    """The days of a year on which a country or region keeps a public holiday; none for an empty code.

    Raises KeyError for a code that is not known.

    >>> dt.date(2026, 12, 25) in public_holidays("GB-SCT", 2026), public_holidays("", 2026)
    (True, frozenset())
    """
    if not code:
        return frozenset()
    if not known(code):
        raise KeyError(code)
    from holidays import country_holidays

    country, _, region = code.partition("-")
    return frozenset(country_holidays(country, subdiv=region or None, years=year))
