"""The steps of a board: the likely two on its page, the others under something else, each with a form of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from flask import Blueprint, current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import NotFound

from estimator.counter.answer_files import PageQuestion
from estimator.counter.forms import PageForm, done
from estimator.counter.sent_steps import step_from
from estimator.counter.step_forms import MORE, StepForm, form_of
from estimator.counter.step_questions import SINCE, TELLING, figures, since_about
from estimator.counter.taking import TypedIn, note, said_after, take, take_step
from estimator.counter.workplace import at_counter
from estimator.log.steps.hours import not_found_yet
from estimator.log.steps.telling import AskedSince
from estimator.words.actions import Action
from estimator.words.errors import EstimatorError
from estimator.words.money import say_price
from estimator.words.records import Board
from estimator.words.step_labels import AS_THOUGHT, form_word, step_name
from estimator.working_day import as_written, next_steps_of

page = Blueprint("steps", __name__)
page.record_once(
    lambda state: state.app.jinja_env.globals.update(board_steps=board_steps, form_word=form_word)
)
FIGURE = "shown."  # before the name of a figure that a form carries
OTHERWISE = {"found", "collected"}
AT_ONCE = {"hours"}  # likely steps whose whole form stands on the board's page
TAKE_IT_ON = "take_it_on.show"


@dataclass(frozen=True, slots=True)
class OfferedStep:
    """A step as it is offered: pressed at once, a form that stands there, or a way to its form.

    address: where it is sent, or asked for; words: on its button; hidden: fields that are sent with it
    shape: press, form or way; form, fields: of a form that stands there
    """

    address: str
    words: str
    shape: str
    hidden: Mapping[str, str]
    form: PageForm | None = None
    fields: StepForm | None = None


@dataclass(frozen=True, slots=True)
class BoardSteps:
    """What can be written of a board: the likely steps, the others, and what is to be said after the last one."""

    likely: tuple[OfferedStep, ...]
    others: tuple[OfferedStep, ...]
    said: tuple[str, ...]


def board_steps(board: str) -> BoardSteps:
    """The steps of a board as its page offers them; none where pages may not write."""
    counter = at_counter()
    said = said_after(request.args.get("said", ""))
    if not counter.writes:
        return BoardSteps((), (), said)
    steps = next_steps_of(counter.now, board)
    row = as_written(counter.now).board(board)
    likely = [_offered(action, row) for action in steps.likely]
    pressed = [action for action, one in zip(steps.likely, likely, strict=True) if one.shape == "press"]
    # beside a button that says all at once, the form in which it can be said otherwise
    forms = [_way(action) for action in pressed if action.verb in OTHERWISE]
    return BoardSteps((*likely, *forms), tuple(_way(action) for action in steps.others), said)


def _offered(action: Action, board: Board) -> OfferedStep:
    """A likely step: at once, where nothing has to be said with it."""
    verb, stage = action.verb, str(action.fields.get("stage", ""))
    now, write = as_written(at_counter().now), url_for("steps.write", board=action.board, slug=slug_of(verb))
    form = PageForm.blank()
    if verb == "found" and any(name in board.assessed for name in not_found_yet(now, board)):
        return OfferedStep(write, f"{step_name(verb)} {AS_THOUGHT}", "press", {"as_thought": "yes"}, form)
    if verb == "done" and stage:
        words = f"{now.settings.label(stage)}: {step_name('done').lower()}"
        return OfferedStep(write, words, "press", {"stage": stage}, form)
    fields = form_of(verb, now, board, stage)
    if verb == "going" and not fields.fields:
        return OfferedStep(write, step_name(verb), "press", {}, form)
    if verb == "collected" and fields.fields[0].value not in {"", "0"} and not board.collected:
        amount = fields.fields[0].value
        said = say_price(float(amount), now.settings.workshop.currency)
        return OfferedStep(
            write, f"{step_name(verb)}: {said}", "press", {"amount": amount, "what": "both"}, form
        )
    if verb in AT_ONCE:
        return OfferedStep(write, step_name(verb), "form", {}, form, fields)
    return _way(action)


def _way(action: Action) -> OfferedStep:
    """The way to a step's own form."""
    stage = str(action.fields.get("stage", ""))
    address = url_for("steps.show", board=action.board, slug=slug_of(action.verb), stage=stage or None)
    if action.verb in {"answers", "guess"}:
        address = url_for("new.board", board=action.board, here="yes")
    if action.verb == "weigh up" and TAKE_IT_ON in current_app.view_functions:
        address = url_for(TAKE_IT_ON, board=action.board)
    return OfferedStep(address, step_name(action.verb), "way", {})


def slug_of(verb: str) -> str:
    """A verb as it stands in an address.

    >>> slug_of("asked since")
    'asked-since'
    """
    return verb.replace(" ", "-")


def _asked(board: str, slug: str) -> tuple[str, Board, StepForm]:
    """The verb, the board and the form that an address asks for; raises NotFound where there is none."""
    verb, now = slug.replace("-", " "), as_written(at_counter().now)
    row = now.board(board)
    try:
        return verb, row, form_of(verb, now, row, request.values.get("stage", ""))
    except KeyError:
        raise NotFound from None


@page.get("/boards/<board:board>/write/<slug>")
def show(board: str, slug: str) -> ResponseReturnValue:
    """The form of a step."""
    verb, row, fields = _asked(board, slug)
    if verb == "asked since":
        return _since(row, fields)
    if verb == "told":
        at_counter().answer(PageQuestion(TELLING, row.board))  # so that it is there when it is written
    if request.args:
        fields = fields.offered(request.args)
    return render_template("step.html", form=PageForm.blank(), fields=fields, board=row, verb=verb)


@page.post("/boards/<board:board>/write/<slug>")
def write(board: str, slug: str) -> ResponseReturnValue:
    """The step, done; then the board's page."""
    verb, row, fields = _asked(board, slug)
    form = PageForm.sent()
    if verb == "asked since":
        return _agreed(row, form, fields)
    if form.errors or take(verb, row.board, form) is None:
        return form.again("step.html", fields=fields.with_given(TypedIn(form)), board=row, verb=verb)
    return to_board(row.board, form.key)


def to_board(board: str, key: str = "") -> ResponseReturnValue:
    """The page of a board, with what is to be said after a step, if anything is."""
    said = key if said_after(key) else None
    shows = "board.show" in current_app.view_functions
    return done(url_for("board.show", board=board, said=said) if shows else url_for("today.show"))


def _since(board: Board, fields: StepForm, form: PageForm | None = None) -> ResponseReturnValue:
    """What an owner asks for since: asked by this address, worked out on the same page, agreed by a form below it."""
    asked = PageForm({name: request.args.getlist(name) for name in request.args}) if form is None else form
    more = _more(asked)
    found, fresh = None, True
    if more:
        found, fresh = at_counter().answer(PageQuestion(SINCE, since_about(board.board, more)))
    carried = figures(found.parts.get("figures", ())) if found and fresh else {}
    shown = PageForm.blank(price=carried.get("extra", "").removeprefix("-"))
    if form is not None:
        shown.errors, shown.typed = form.errors, form.typed
    page_of = render_template(
        "since.html",
        form=shown,
        fields=fields.with_given(TypedIn(asked)),
        board=board,
        more={MORE + name: much for name, much in more.items()},
        carried={FIGURE + name: text for name, text in carried.items()},
        found=found,
        fresh=fresh,
    )
    return (page_of, 422) if form is not None else page_of


def _more(form: PageForm) -> dict[str, str]:
    """What is asked for, by name."""
    step = step_from("asked since", "", TypedIn(form))
    assert isinstance(step, AskedSince)
    return dict(step.more)


def _agreed(board: Board, form: PageForm, fields: StepForm) -> ResponseReturnValue:
    """What the owner agreed to, kept with what was shown of it."""
    carried = {
        name.removeprefix(FIGURE): form.text(name)
        for name in form.typed
        if name.startswith(FIGURE) and form.text(name)
    }
    try:
        step = AskedSince(board.board, _more(form), price=form.text("price"), worked_out=carried)
    except EstimatorError as error:
        note(form, error)
        return _since(board, fields, form)
    if form.errors or take_step(step, form) is None:
        return _since(board, fields, form)
    return to_board(board.board, form.key)
