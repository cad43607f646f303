"""The step that a form says: what was typed and tapped, as a step of a working day."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from estimator.counter.step_forms import LOOKED, MORE, OTHER, TURNED_OUT, Given
from estimator.log.steps.enquiry import NewBoard, OwnerAnswered, OwnGuess, QuestionsAnswered
from estimator.log.steps.hours import Found, HoursNow, StageDone
from estimator.log.steps.leaving import BoardReady, CollectedAndPaid, DepositCame, GaveItBack
from estimator.log.steps.ringing import RingAnswered
from estimator.log.steps.standing import BackIn, GoingAgain, Noted, NotIn, Stopped, WeighedIn
from estimator.log.steps.telling import AskedSince, DecisionMade, StruckOut, ToldOwner
from estimator.log.steps.writing import DayStep


def length_of(given: Given) -> str:
    """A length from feet and inches by button, or as it was typed.

    >>> class Sent(dict):
    ...     getlist = lambda self, name: [self[name]] if name in self else []
    >>> length_of(Sent(feet="9", inches="6")), length_of(Sent({"feet.other": "290 cm", "feet": "9"}))
    ("9'6", '290 cm')
    """
    if typed := given.get("feet" + OTHER, "").strip():
        return typed
    feet, inches = given.get("feet", ""), given.get("inches", "") or "0"
    return f"{feet}'{inches}" if feet else ""


def _or_other(given: Given, name: str) -> str:
    """What was typed beside the buttons, else the button."""
    return given.get(name + OTHER, "").strip() or given.get(name, "")


def _amounts(given: Given, prefix: str) -> dict[str, str]:
    """What is said of quantities, by name; nothing of those that are left."""
    names = [key.removeprefix(prefix).removesuffix(OTHER) for key in given.keys() if key.startswith(prefix)]  # noqa: SIM118
    said = {name: _or_other(given, prefix + name).strip() for name in dict.fromkeys(names)}
    return {name: much for name, much in said.items() if much}


def step_from(verb: str, board: str, given: Given, photos: Sequence[str] = ()) -> DayStep:
    """The step that a form says.

    photos: names under which those that came with it are kept

    Raises KeyError for a step that has no form.
    """
    get, on = given.get, given.get("on", "")
    match verb:
        case "enquiry":
            return NewBoard(
                owner=get("owner", ""),
                reach=get("reach", ""),
                called=get("called", ""),
                kind=get("kind", ""),
                length=length_of(given),
                aim=get("aim", ""),
                wanted_by=get("wanted_by", ""),
                note=get("note", ""),
                photos=tuple(photos),
                only_asked=bool(get("only_asked", "")),
            )
        case "answers":
            about = {
                name: get(name, "")
                for name in ("kind", "length", "width", "outline", "judged_with", "called")
            }
            about = {name: said for name, said in about.items() if said.strip()}
            guess, seen = get("guess", ""), bool(get("seen", ""))
            return QuestionsAnswered(board, _amounts(given, LOOKED), about, guess, seen)
        case "guess":
            return OwnGuess(board, get("guess", ""), seen=bool(get("seen", "")))
        case "answered":
            return OwnerAnswered(
                board, yes=get("answer") == "yes", mine=get("answer") == "me", why=get("why", ""), on=on
            )
        case "hours" | "again":
            return HoursNow(
                board,
                _or_other(given, "stage"),
                _or_other(given, "hours"),
                done=bool(get("done", "")),
                again=get("again", ""),
                on=on,
                note=get("note", ""),
            )
        case "done":
            return StageDone(board, _or_other(given, "stage"), needed=not get("not_needed", ""), on=on)
        case "found":
            return Found(board, _amounts(given, TURNED_OUT), as_thought=bool(get("as_thought", "")))
        case "asked since":
            return AskedSince(board, _amounts(given, MORE), price=get("price", ""), on=on)
        case "note":
            return Noted(board, get("text", ""), tuple(photos), on)
        case _:
            return _SHORT[verb](board, given)


def _collected_step(board: str, given: Given) -> DayStep:
    what = given.get("what", "both")
    return CollectedAndPaid(
        board,
        given.get("amount", ""),
        collected=what != "paid",
        paid=what != "collected",
        on=given.get("on", ""),
    )


def _of(*names: str) -> Callable[[Given], dict[str, str]]:
    """The texts of these fields."""
    return lambda given: {name: given.get(name, "") for name in names}


_SHORT: Mapping[str, Callable[[str, Given], DayStep]] = {
    "weight": lambda board, given: WeighedIn(board, **_of("weight", "on")(given)),
    "told": lambda board, given: ToldOwner(
        board,
        **_of("hours", "price", "terms", "first", "last", "because", "paid_by", "on")(given),
        said_yes=bool(given.get("said_yes", "")),
    ),
    "struck": lambda board, given: StruckOut(board, **_of("why", "on")(given)),
    "stopped": lambda board, given: Stopped(board, **_of("cause", "note", "on")(given)),
    "going": lambda board, given: GoingAgain(board, **_of("cause", "on")(given)),
    "deposit": lambda board, given: DepositCame(board, **_of("amount", "on")(given)),
    "ready": lambda board, given: BoardReady(
        board,
        **_of("cost_time", "materials", "on")(given),
        found_as_thought=bool(given.get("as_thought", "")),
    ),
    "collected": _collected_step,
    "gave back": lambda board, given: GaveItBack(board, **_of("kept", "returned", "why", "on")(given)),
    "weigh up": lambda board, given: DecisionMade(
        board, **_of("answer", "why")(given), for_love=bool(given.get("for_love", ""))
    ),
    "rung": lambda board, given: RingAnswered(board, **_of("why", "answer", "about")(given)),
    "away": lambda _, given: NotIn(given.get("until", "")),
    "back": lambda _, __: BackIn(),
}
