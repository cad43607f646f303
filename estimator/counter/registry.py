"""All pages, in one list: a page is a module under `pages` with a blueprint called `page`."""

from __future__ import annotations

from estimator.counter.pages import light, today

PAGES = (
    today.page,
    light.page,
)
