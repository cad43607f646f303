"""All pages, in one list: a page is a module under `pages` with a blueprint called `page`."""

from __future__ import annotations

from estimator.counter.pages import (
    board,
    board_steps,
    day_steps,
    light,
    look_back,
    money,
    new,
    on_the_go,
    paper,
    phones,
    settings,
    take_it_on,
    today,
    undo,
)

PAGES = (
    today.page,
    on_the_go.page,
    board.page,
    take_it_on.page,
    look_back.page,
    money.page,
    settings.page,
    paper.page,
    phones.page,
    light.page,
    board_steps.page,
    day_steps.page,
    new.page,
    undo.page,
)
