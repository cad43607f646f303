"""All pages, in one list: a page is a module under `pages` with a blueprint called `page`."""

from __future__ import annotations

from estimator.counter.pages import board_steps, day_steps, light, new, today

PAGES = (
    today.page,
    light.page,
    board_steps.page,
    day_steps.page,
    new.page,
)
