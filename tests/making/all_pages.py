"""Two small books whose pages between them hold all that a page can hold: a day's at the bench, and an evening's."""

import datetime as dt

from estimator.counter.app import create_app
from estimator.log.exchange.importing import ImportChoices, import_folder
from estimator.log.steps.enquiry import NewBoard, OwnerAnswered, QuestionsAnswered
from estimator.log.steps.hours import HoursNow
from estimator.log.steps.leaving import BoardReady
from estimator.log.steps.standing import Noted, Stopped, WeighedIn
from estimator.log.steps.telling import ToldOwner
from estimator.log.store import Sent
from making import quarters
from making.working_day import MAY, AtOnce, in_a_book

FORMS = (
    "hours",
    "again",
    "found",
    "told",
    "stopped",
    "ready",
    "collected",
    "note",
)  # steps that differ in their fields
RED, FISH, TAN, EGG = "26-001", "26-002", "26-003", "26-004"
DAY = (
    "/",
    "/on-the-go",
    f"/boards/{RED}",
    f"/boards/{FISH}",
    f"/boards/{TAN}",
    f"/boards/{EGG}",
    "/new",
    f"/new/{FISH}",
    f"/new/{FISH}?here=yes&seen=yes",
    "/hours",
    f"/take-it-on/{FISH}",
    f"/boards/{RED}/write/asked-since?more.spray_colours=1",
    *(f"/boards/{RED}/write/{verb}" for verb in FORMS),
    "/setting-up/rules",
)
EVENING = (
    "/look-back?quarter=2026-Q3",
    "/otherwise",
    "/money",
    "/settings",
    "/settings/workshop",
    "/settings/bench",
    "/settings/stages/sand",
    "/settings-add/rules",
    "/book",
    "/setting-up",
    "/setting-up/week",
    "/first-start",
    "/promised",
    "/diary",
    "/phones",
    "/let-in",
    "/nowhere",
    "/",
)
NO_PAGES = {
    "static",
    "paper.sheet",
    "paper.calendar",
    "money.lines",
    "light.here",
    "new.hours",
    "book_files.export",
}


def at_a_day(folder):
    """The counter of a bench with a board begun, one asked for, one drying and stopped, and one ready."""
    folder.mkdir()
    in_a_book(folder)
    app = create_app(folder, today=MAY)
    counter = app.extensions["counter"]
    for step in (
        NewBoard(owner="Tam Ludd", called="tan log", kind="major", length="9'6", wanted_by="2026-09-01"),
        NewBoard(owner="Wen", called="teal egg", kind="minor", length="6'2"),
        QuestionsAnswered(RED, {"infills": "2", "wetness": "damp", "brittle_glass": "crisp"}),
        ToldOwner(RED, hours="20-30", price="2000", last="2026-05-08"),
        HoursNow(RED, "strip", "4", note="<b>sanded</b> through"),
        QuestionsAnswered(TAN, {"wetness": "wet"}, guess="60"),
        OwnerAnswered(TAN, yes=True),
        HoursNow(TAN, "strip", "3", done=True),
        WeighedIn(TAN, "9.4"),
        Stopped(TAN, "owner"),
        Noted(TAN, "רץ"),
        OwnerAnswered(EGG, yes=True),
        HoursNow(EGG, "sand", "1"),
        BoardReady(EGG),
    ):
        counter.shop.do(step, Sent(dt.datetime.combine(MAY, dt.time(8))))
    counter.worker = AtOnce(counter)
    return app


def in_the_evening(folder):
    """The counter of a workshop of six quarters, in a book."""
    quarters.write(folder)
    import_folder(folder, dt.datetime.combine(quarters.TODAY, dt.time(8)), ImportChoices())
    app = create_app(folder, today=quarters.TODAY, home="192.0.2.7")  # RFC 5737: an address for examples
    counter = app.extensions["counter"]
    counter.worker = AtOnce(counter)
    return app
