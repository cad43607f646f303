import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.verdicts import verdict

from estimator.record.rules.verdicts import Verdicts
from estimator.sheets.drawing.style import BROKEN, figure
from estimator.sheets.figures.rules import RuleRow, draw_rule, rule_rows, save_rules
from estimator.sheets.layouts.letters import points
from estimator.sheets.layouts.tape import FIRM


def on_paper(row, wide=640, high=260):
    sheet = figure(wide, high)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_rule(axes, row)
    return axes


def brackets(axes):
    return [line for line in axes.lines if len(line.get_xdata()) == 4]


def test_the_restorer_is_pencil_and_the_log_is_ink():
    axes = on_paper(rule_rows(Verdicts((verdict(),), None))[0])
    log, own = brackets(axes)

    assert [text.get_text() for text in axes.texts] == [
        "“Sanding takes 3 to 4½ hours”: too low, 1 of 15 within",
        "your log 5½ to 8½ hours",
        "you say 3 to 4½ h",
    ]
    assert sorted(set(own.get_xdata())) == [3.0, 4.5]
    assert sorted(set(log.get_xdata())) == [5.3, 8.6]
    assert own._unscaled_dash_pattern == BROKEN
    assert log.get_linestyle() == "-"
    assert log.get_linewidth() == points(FIRM)
    assert max(own.get_ydata()) > max(log.get_ydata()) > 0
    strokes = [line for line in axes.lines if line.get_label() == "_case"]
    assert [line.get_xdata()[0] for line in strokes] == [4.0 + n / 4 for n in range(15)]
    assert axes.get_xlabel() == "hours; each stroke is a past board"


def test_a_log_of_few_boards_is_guessed_too():
    row = rule_rows(Verdicts((verdict(of=4, cases=(("a", 4.0),)),), None))[0]

    assert row.brackets[1] == ("your log 5½ to 8½ hours, guessed", 5.3, 8.6, True)
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
        (f"you say {low:.3g} to {low * times:.3g} days", low, low * times, n == 0)
        for n, (low, times) in enumerate(ends)
    )
    row = RuleRow(f"“{words}”: too low, 1 of 15 within", marks, tuple(cases), "days")
    assert collisions(on_paper(row, wide, 330).get_figure()) == []


def test_same_rules_same_bytes(tmp_path):
    rows = rule_rows(Verdicts((verdict(), verdict(name="other", form="wait")), None))
    for name in ("a.svg", "b.svg"):
        save_rules(tmp_path / name, rows, title="Your rules of thumb", wide_px=320)

    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    assert "you say 3 to 4½ h; your log 5½ to 8½ hours" in (tmp_path / "a.svg").read_text("utf-8")
