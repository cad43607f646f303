"""Saved fits made by hand, so that what a forecast should be can be worked out."""

import numpy as np

from estimator.forecast.draws import Work
from estimator.model.saved_fit import SavedFit
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage

SETTINGS = Settings(
    drivers={
        "area": Driver("area", unit="m2"),
        "pieces": Driver("pieces", known="strip", blank="unknown"),
        "colours": Driver("colours"),
    },
    modifiers={
        "brittle": Modifier(
            "brittle", stages=("strip",), grades=("sound", "crisp", "brittle"), known="strip"
        ),
        "masking": Modifier("masking", stages=("spray",), grades=("none", "some", "much")),
    },
    kinds={"major": Kind("major"), "minor": Kind("minor", asks=("colours",))},
    stages={
        "strip": Stage("strip", drivers=("once", "area")),
        "infill": Stage("infill", drivers=("pieces",), after=("strip",)),
        "spray": Stage("spray", drivers=("once", "colours"), after=("infill",)),
        "stain": Stage("stain", happens="sometimes"),
        "check": Stage("check"),
    },
)
RATES = {
    ("strip", "once"): 1.0,
    ("strip", "area"): 3.0,
    ("infill", "pieces"): 1.5,
    ("spray", "once"): 4.0,
    ("spray", "colours"): 8.0,
    ("stain", "once"): 2.0,
    ("check", "once"): 0.5,
}
EFFECTS = {("strip", "brittle"): 0.3, ("spray", "masking"): 0.2}


def made_fit(
    settings=SETTINGS, rates=RATES, effects=EFFECTS, loading=0.2, noise=0.3, n=1, unsure=0.0, **more
):
    """A fit whose numbers are these, `n` draws of them, all spread by `unsure` on the log scale, noises twice so."""
    rng = np.random.default_rng(5)
    stages = tuple(settings.stages)
    log_rate = np.log(np.tile(list(rates.values()), (n, 1)))
    effect = np.tile(np.array(list(effects.values()), dtype=float), (n, 1))
    return SavedFit(
        as_of="2026-09-30",
        stages=stages,
        parts=tuple(rates),
        conditions=tuple(effects),
        log_rate=log_rate + unsure * rng.standard_normal(log_rate.shape),
        effect=effect * np.exp(unsure * rng.standard_normal(effect.shape)),
        loading=np.broadcast_to(loading, (n, len(stages)))
        * np.exp(unsure * rng.standard_normal((n, len(stages)))),
        noise=np.broadcast_to(noise, (n, len(stages)))
        * np.exp(2 * unsure * rng.standard_normal((n, len(stages)))),
        lean=np.zeros(n),
        scale=np.ones(n),
        **more,
    )


def work(values, stages, *, booked=None, done=(), coarse=None, counted=(), n=20_000):
    """Known work on the given stages."""
    happening = {stage: np.ones(n, dtype=bool) for stage in stages}
    return Work(values, happening, booked or {}, frozenset(done), coarse or {}, frozenset(counted))
