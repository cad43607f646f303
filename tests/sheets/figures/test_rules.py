import itertools
import struct
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.verdicts import verdict

from estimator.record.rules.verdicts import Verdicts
from estimator.sheets.drawing.style import BROKEN, figure
from estimator.sheets.figures.rules import draw_rule, save_rules
from estimator.sheets.layouts.letters import points
from estimator.sheets.layouts.rules import RuleBracket, RuleLayout, RuleRow, legend, rule_rows
from estimator.sheets.layouts.tape import FIRM


def on_paper(row, wide=640):
    layout = RuleLayout(row, wide - 24)
    high = layout.above + layout.below + 24
    sheet = figure(wide, high)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_rule(axes, layout)
    return axes


def brackets(axes):
    return [line for line in axes.lines if len(line.get_xdata()) == 4]


def test_the_restorer_is_pencil_and_the_log_is_ink():
    axes = on_paper(rule_rows(Verdicts((verdict(),), None))[0])
    log, own = brackets(axes)

    assert [text.get_text() for text in axes.texts] == [
        "“Sanding takes 3 to 4½ hours”: too low, 1 of 15 within",
        "you say 3 to 4½ h",
        "your log 5½ to 8½ hours",
    ]
    assert sorted(set(own.get_xdata())) == [3.0, 4.5]
    assert sorted(set(log.get_xdata())) == [5.3, 8.6]
    assert own._unscaled_dash_pattern == BROKEN
    assert log.get_linestyle() == "-"
    assert log.get_linewidth() == points(FIRM)
    assert max(own.get_ydata()) > max(log.get_ydata()) > 0
    assert axes.get_xlabel() == "hours"


def test_boards_stand_where_they_fell_within_and_lie_to_the_side_that_they_missed():
    row = rule_rows(
        Verdicts((verdict(low=4.0, cases=(("a", 1.0), ("b", 4.2), ("c", 4.5), ("d", 9.0))),), None)
    )[0]
    axes = on_paper(row)
    boxes = [patch.get_extents() for patch in axes.patches]
    lying = [box.width > box.height for box in boxes]

    assert lying == [True, False, False, True]
    assert [axes.transData.inverted().transform((box.x0 + box.width / 2, 0))[0] for box in boxes[1:3]] == [
        pytest.approx(4.2),
        pytest.approx(4.5),
    ]
    place = axes.transData.transform([(1.0, 0), (9.0, 0)])[:, 0]
    assert boxes[0].x1 == pytest.approx(
        place[0], abs=0.5
    )  # it was quicker, and lies to the left of its place
    assert boxes[3].x0 <= place[1] + 0.5  # it took longer, and lies to the right, as far as the tape goes
    assert len(axes.collections) == 1  # and hatched


def test_of_many_cases_the_latest_twenty_are_drawn_and_that_is_said():
    row = rule_rows(Verdicts((verdict(cases=tuple((f"b{n}", 1.0 + n / 8) for n in range(50))),), None))[0]

    assert len(on_paper(row).patches) == 20
    assert legend([row]).endswith("Of more than 20 the latest are drawn.")
    assert legend([replace(row, cases=row.cases[:20])]).endswith("lies to the side that it missed.")
    assert not legend([replace(row, cases=())])


def test_boards_never_lie_on_one_another():
    row = rule_rows(Verdicts((verdict(cases=tuple((f"b{n}", 3.0 + n / 40) for n in range(20))),), None))[0]
    boxes = [patch.get_extents() for patch in on_paper(row).patches]
    for a, b in itertools.combinations(boxes, 2):
        assert min(a.x1, b.x1) - max(a.x0, b.x0) < 0.5 or min(a.y1, b.y1) - max(a.y0, b.y0) < 0.5


def test_a_dozen_rules_fit_a_sheet_of_paper(tmp_path):
    """Twelve rules with twenty boards each are no higher than two screens: 2,400 dots at two a pixel."""
    rows = [rule_rows(Verdicts((verdict(),), None))[0]] * 12
    save_rules(tmp_path / "a.png", rows, title="Your rules of thumb, and what your log says")

    assert struct.unpack(">II", (tmp_path / "a.png").read_bytes()[16:24])[1] < 2400


def test_a_log_of_few_boards_is_guessed_too():
    row = rule_rows(Verdicts((verdict(of=4, cases=(("a", 4.0),)),), None))[0]

    assert row.brackets[1] == RuleBracket("your log 5½ to 8½ hours, guessed", 5.3, 8.6, True)
    assert [line.get_linestyle() for line in brackets(on_paper(row))] == ["--", "--"]


def test_only_own_ranges_are_drawn():
    chance = verdict(form="chance", share=0.4, low=None, high=None)
    lent, none = verdict(lent=True), verdict(log=None, of=0, cases=())
    rows = rule_rows(Verdicts((chance, lent, none), None))

    assert [row.words for row in rows] == ["“Sanding takes 3 to 4½ hours”: too low, no case yet"]
    assert on_paper(rows[0]).get_xlabel() == "hours"
    with pytest.raises(ValueError, match="no rule"):
        save_rules("a.png", (), title="")


amount = st.floats(0.01, 500)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.sampled_from(
        ["Sand", "A rule of thumb in rather more words than anyone would want to read at a bench"]
    ),
    st.lists(st.tuples(amount, st.floats(1.01, 20)), min_size=1, max_size=2),
    st.lists(amount, max_size=5),
    st.sampled_from([320, 640, 1200]),
)
def test_words_never_collide(collisions, words, ends, cases, wide):
    marks = tuple(
        RuleBracket(f"you say {low:.3g} to {low * times:.3g} days", low, low * times, n == 0)
        for n, (low, times) in enumerate(ends)
    )
    row = RuleRow(f"“{words}”: too low, 1 of 15 within", marks, tuple(cases), "days")
    assert collisions(on_paper(row, wide).get_figure()) == []


def test_same_rules_same_bytes(tmp_path):
    rows = rule_rows(Verdicts((verdict(), verdict(name="other", form="wait")), None))
    for name in ("a.svg", "b.svg"):
        save_rules(tmp_path / name, rows, title="Your rules of thumb", wide_px=320)

    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    assert "you say 3 to 4½ h; your log 5½ to 8½ hours" in (tmp_path / "a.svg").read_text("utf-8")


def test_a_board_that_counts_as_within_on_another_reading_is_not_drawn_beside_the_range():
    """As many lie as are counted outside, whatever amounts their hours come to as booked."""
    cases = (("a", 7.0), ("b", 12.0), ("c", 19.0), ("d", 20.0))
    said = verdict(low=10.0, high=16.0, cases=cases, sides=(0, 0, 0, 1), inside=3, below=0, above=1, of=4)
    (row,) = rule_rows(Verdicts((said,), None))

    assert row.cases == (10.0, 12.0, 16.0, 20.0)
    assert [row.side(amount) for amount in row.cases] == [0, 0, 0, 1]
