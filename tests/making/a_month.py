"""Pieces of a month of an invented shop that several tests live through: what boards looked like, and steps."""

from estimator.log.steps.enquiry import OwnerAnswered, OwnGuess, QuestionsAnswered
from estimator.log.steps.hours import Found, HoursNow, StageDone
from estimator.log.steps.leaving import BoardReady, CollectedAndPaid, DepositCame, GaveItBack
from estimator.log.steps.standing import GoingAgain, Stopped, WeighedIn
from estimator.log.steps.telling import ToldOwner

RED, FISH, TAN = "26-001", "26-002", "26-003"
TAN_LOOKS = {
    "sides_stripped": "2", "infills": "2", "wetness": "dry", "brittle_glass": "crisp", "spray_colours": "2",
    "sides_coated": "2", "gloss": "2", "pinlines": "1", "masking": "bands",
}  # fmt: skip
FISH_LOOKS = {
    "infills": "1",
    "wetness": "dry",
    "brittle_glass": "sound",
    "glass_stripped": "0.1 m2",
    "sides_coated": "0.3",
}
STAGES = (
    *(("assess", "0.5"), ("clean", "0.5"), ("strip", "1"), ("infill", "2"), ("reshape", "1")),
    *(("laminate", "1.5"), ("filler", "1"), ("sand", "1")),
)


def stripped(do):
    """A week of work on the large one."""
    do(HoursNow(TAN, "clean", "1.5"), 3)
    for n in (3, 4, 7, 8):
        do(HoursNow(TAN, "strip", "4"), n)
    do(StageDone(TAN, "strip"), 8)


def wet_inside(do):
    """What was found in it."""
    do(Found(TAN, {"wetness": "wet", "infills": "5"}), 8)
    do(Found(TAN, as_thought=True), 8)


def hung_up(do):
    """It dries, and its owner hears of it."""
    do(Stopped(TAN, "drying"), 8)
    do(WeighedIn(TAN, "7.9"), 8)
    do(ToldOwner(TAN, price="2500", because="hidden work", paid_by="half"), 8)


def small_one(do, about):
    """Another board meanwhile: small, and sanded through."""
    do(QuestionsAnswered(FISH, FISH_LOOKS, about), 10)
    do(OwnGuess(FISH, "9"), 10)
    do(ToldOwner(FISH, price="640"), 10)
    do(OwnerAnswered(FISH, yes=True), 10)
    for stage, hours in STAGES:
        do(HoursNow(FISH, stage, hours, done=True), 11)
    for stage in ("drying", "stain"):
        do(StageDone(FISH, stage, needed=False), 14)
    do(HoursNow(FISH, "sand", "1.5", again="sand-through"), 14)
    do(Found(FISH, as_thought=True), 14)


def handed_over(do):
    """The small one goes."""
    do(HoursNow(FISH, "handover", "0.5", done=True), 15)
    do(BoardReady(FISH, "me", materials="45.50"), 15)
    do(CollectedAndPaid(FISH), 16)


def given_back(do):
    """One is given back, and the large one goes on."""
    do(HoursNow(RED, "clean", "2", done=True), 16)
    do(HoursNow(RED, "strip", "3"), 17)
    do(DepositCame(RED, "300"), 17)
    do(GaveItBack(RED, kept="260", returned="40"), 18)
    do(GoingAgain(TAN), 22)
