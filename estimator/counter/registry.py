"""All pages, in one list: a page is a module under `pages` with a blueprint called `page`."""

from __future__ import annotations

from estimator.counter.pages import (
    before_the_log,
    board,
    board_steps,
    book,
    book_copies,
    book_files,
    day_steps,
    hours,
    light,
    look_back,
    money,
    new,
    on_the_go,
    paper,
    phones,
    setting_up,
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
    hours.page,
    undo.page,
    book.page,
    book_copies.page,
    book_files.page,
    setting_up.page,
    before_the_log.page,
)
