"""A board of the shop of `making.fits`, waiting and begun, whose owner asks for more or for less."""

from dataclasses import replace

from estimator.forecast.scope_change import asked_since, draw_more
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import ON_BENCH, WAITING
from making.fits import SETTINGS, made_fit

JUDGED = {"area": 2.0, "pieces": 3.0, "colours": 1.0, "brittle": 0.0, "masking": 0.0}
BOARD = KnownBoard("26-014", "red nine-four", "major", WAITING, 2.84, 0.56, assessed=JUDGED)
BEGUN = replace(
    BOARD,
    state=ON_BENCH,
    found={"pieces": 5.0, "brittle": 1.0},
    booked=(("strip", 9.0, True), ("infill", 3.0, False)),
)
EXACT = made_fit(loading=0.0, noise=1e-9)
FIT = made_fit(n=200, unsure=0.1)
N = 4000


def more(board=BOARD, fit=FIT, settings=SETTINGS, **added):
    then, _ = asked_since(board, added, settings)
    return draw_more(fit, board, then, settings, n_draws=N)
