"""What the worker works out, from a workshop whose answers are given by hand."""

from dataclasses import replace
from types import SimpleNamespace

from making.mornings import MORNING, TODAY, day

from estimator.cli.printing import plain_lines
from estimator.counter.answers import today_parts
from estimator.words.records import Log, Note
from estimator.words.settings.schema import Settings


def test_of_those_rung_only_the_ones_of_an_earlier_day_stand_as_still_open():
    """The straw gun's owner was rung yesterday, that of the plum egg today: of today's there is nothing more to say."""
    notes = (
        Note("26-004", day("06-08"), "ring: ready, 2026-06-08: told"),
        Note("26-021", TODAY, "ring: waiting for the owner, 2026-06-01: told"),
    )
    shop = SimpleNamespace(
        settings=Settings(),
        known=(Log(notes=notes), ()),
        bench=lambda: replace(MORNING, promises=(), touch=(), swap=None),
    )

    said = "\n".join(plain_lines(today_parts(shop, "", lambda *_: None)["day"]))

    assert "straw gun  on Mon 8 June  it has been ready since Mon 8 June" in said
    assert "plum egg" not in said
