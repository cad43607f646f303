"""Settings on their pages: changed in place, comments stay; wrong values are said at the field; things added and retired."""

import re
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from making.books import book
from making.counter import client
from making.folders import TODAY, folder
from making.working_day import MAY, in_a_book

from estimator.counter.forms import PageForm
from estimator.counter.pages import settings as page
from estimator.counter.setting_fields import in_page_words
from estimator.log.starter import starter_text
from estimator.words.problems import Place, Problem
from estimator.words.settings.manual import settings_manual
from estimator.words.settings.reader import parse_settings


@pytest.fixture
def counter(tmp_path):
    place = tmp_path / "shop"
    place.mkdir()
    in_a_book(place)
    return client(place, today=MAY)


def text_of(counter):
    return (counter.app.extensions["counter"].folder / "workshop.toml").read_text("utf-8")


def now(counter):
    return counter.app.extensions["counter"].shop.snapshot(MAY)


def fields(page):
    """What the one form of a page would send as it stands."""
    body = page[page.index('<form method="post" action="/settings/') :].partition("</form>")[0]
    found = {}
    for tag in re.findall(r"<input[^>]*>", body):
        name = re.search(r'name="([^"]*)"', tag)[1]
        value = re.search(r' value="([^"]*)"', tag)
        if ('type="radio"' in tag or 'type="checkbox"' in tag) and " checked" not in tag:
            continue
        found.setdefault(name, []).append(plain(value[1]) if value else "")
    for name, text in re.findall(r'<textarea[^>]* name="([^"]*)"[^>]*>\n(.*?)</textarea>', body, re.DOTALL):
        found[name] = [plain(text)]
    return found


def plain(text):
    return (
        text.replace("&#39;", "'")
        .replace("&#34;", '"')
        .replace("&amp;", "&")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
    )


def changed(counter, path, **more):
    """Sends a page's form with some fields otherwise."""
    return counter.send(path, path, **{**fields(counter.page(path)), **more})


def pages(counter):
    raw = tomllib.loads(text_of(counter))
    yield from ("/settings/workshop", "/settings/bench")
    yield from (
        f"/settings/{part}/{name}"
        for part in ("stages", "drivers", "modifiers", "kinds")
        for name in raw[part]
    )


def test_every_setting_stands_there_with_what_its_manual_says(counter):
    said = {one.name: one for one in settings_manual()}
    for path in ("/settings/workshop", "/settings/bench", "/settings/stages/strip", "/settings/drivers/logos", "/settings/modifiers/wetness", "/settings/kinds/major"):  # fmt: skip
        page = plain(counter.page(path)).casefold()
        for key in said[path.split("/")[2]].keys:
            assert key.key == "retired" or in_page_words(key.says).casefold().rstrip(".") in page, (
                path,
                key.key,
            )


def test_a_form_sent_as_it_stands_changes_nothing(counter):
    before = text_of(counter)
    for path in [*pages(counter), "/settings/rules/" + tomllib.loads(before)["rules"][0]["name"]]:
        answer = changed(counter, path)
        assert answer.status_code == 303, (path, answer.get_data(as_text=True))
    assert text_of(counter) == before


def test_a_value_is_changed_in_place_and_its_comment_stays_and_one_press_undoes_it(counter):
    before = text_of(counter)
    assert changed(counter, "/settings/bench", places="4", winter_drying="1,5").status_code == 303
    assert text_of(counter) == before.replace("places = 3 ", "places = 4 ").replace(
        "winter_drying = 1.35", "winter_drying = 1.5"
    )
    assert re.search(r"places = 4 +# boards on the go", text_of(counter))
    page = counter.page("/settings")
    assert "settings of bench: places, winter drying" in page
    counter.send("/undo", "/settings", act=re.search(r'name="act" value="(\d+)"', page)[1])
    assert text_of(counter) == before


@pytest.mark.parametrize(
    ("path", "typed", "value"),
    [
        ("/settings/bench", {"hours_by_weekday.4": "3½".replace("½", ",5")}, [6, 6, 6, 6, 3.5, 0, 0]),
        ("/settings/bench", {"away": "2026-08-03 to 2026-08-16\n2026-12-24"}, None),
        ("/settings/workshop", {"requote": "1: 0.9\n1.5: 0.3"}, [[1, 0.9], [1.5, 0.3]]),
        ("/settings/workshop", {"two_pack": "yes"}, True),
        ("/settings/workshop", {"ready": "polished"}, "polished"),
        ("/settings/workshop", {"name": "Tide & Foam “two”"}, "Tide & Foam “two”"),
        ("/settings/stages/gloss", {"wait_days": "2 to 4"}, {"low": 2, "high": 4}),
        ("/settings/stages/owner_change", {"reopens": "Sand: 0.3\ngloss: 1"}, {"sand": 0.3, "gloss": 1}),
        ("/settings/modifiers/masking", {"grades": "none\nbands\ncurves\nnested"}, ["none", "bands", "curves", "nested"]),
        ("/settings/kinds/minor", {"usual": "Foam pieces to let in: 1 to 3"}, {"infills": [1, 3]}),
        ("/settings/drivers/logos", {"label": "Logos to paint anew"}, "Logos to paint anew"),
    ],
)  # fmt: skip
def test_each_sort_of_value_is_read_as_the_file_has_it(counter, path, typed, value):
    answer = changed(counter, path, **typed)
    assert answer.status_code == 303, plain(answer.get_data(as_text=True))
    table = tomllib.loads(text_of(counter))
    for name in path.split("/")[2:]:
        table = table[name]
    key = next(iter(typed)).partition(".")[0]

    if value is None:
        assert [(str(one["first"]), str(one["last"])) for one in table[key]] == [("2026-08-03", "2026-08-16"), ("2026-12-24", "2026-12-24")]  # fmt: skip
    else:
        assert table[key] == value
    assert parse_settings(text_of(counter))[1] == ()


@pytest.mark.parametrize(
    ("path", "typed", "field"),
    [
        ("/settings/bench", {"places": "many"}, "places"),
        ("/settings/bench", {"places": "0"}, "places"),
        ("/settings/bench", {"hours_by_weekday.0": "30"}, "hours_by_weekday"),
        ("/settings/bench", {"away": "some day"}, "away"),
        ("/settings/bench", {"away": "2026-08-16 to 2026-08-03"}, "away"),
        ("/settings/bench", {"holidays": "Nowhere"}, "holidays"),
        ("/settings/workshop", {"requote": "much"}, "requote"),
        ("/settings/workshop", {"dates": "backwards"}, "dates"),
        ("/settings/stages/gloss", {"drivers": []}, "drivers"),
        ("/settings/stages/gloss", {"after": ["gloss"]}, "after"),
        ("/settings/stages/gloss", {"wait_days": "soon"}, "wait_days"),
        ("/settings/stages/gloss", {"sessions": "nobody"}, "sessions"),
        ("/settings/modifiers/wetness", {"grades": "wet"}, "grades"),
        ("/settings/kinds/minor", {"usual": "Nothing known: 1 to 3"}, "usual"),
    ],
)
def test_a_wrong_value_is_said_at_its_field_and_nothing_is_written(counter, path, typed, field):
    before = text_of(counter)
    answer = changed(counter, path, **typed)
    page = answer.get_data(as_text=True)

    assert answer.status_code == 422
    assert f'id="e-{field}"' in page
    assert text_of(counter) == before


def test_what_would_make_the_log_unreadable_is_refused(tmp_path):
    place = tmp_path / "shop"
    store = book(place, boards=[{"board": "26-001", "assessed_wet": "soaked"}])
    counter = client(place, today=TODAY)
    before = store.settings_text()
    answer = changed(counter, "/settings/modifiers/wet", grades="dry\ndamp")

    assert answer.status_code == 422
    assert "could no longer be read" in answer.get_data(as_text=True)
    assert store.settings_text() == before


def test_a_stage_is_added_where_it_belongs_relabelled_and_retired(counter):
    answer = counter.send("/settings-add/stages", "/settings-add/stages", label="Wax off", after_this="clean")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/settings/stages/wax_off")
    order = list(now(counter).settings.stages)
    assert order.index("wax_off") == order.index("clean") + 1
    assert now(counter).settings.stages["wax_off"].sometimes
    assert changed(counter, "/settings/stages/wax_off", label="Old wax off").status_code == 303
    assert now(counter).settings.label("wax_off") == "Old wax off"
    path = "/boards/26-001/write/hours"
    assert "Old wax off" in counter.page(path)
    answer = counter.send("/settings/stages/wax_off/use", "/settings/stages/wax_off", retired="yes")
    assert answer.status_code == 303
    assert now(counter).settings.stages["wax_off"].retired
    assert "Old wax off" not in counter.page(path)
    assert "No longer used" in counter.page("/settings")
    counter.send("/settings/stages/wax_off/use", "/settings/stages/wax_off", retired="no")
    assert "Old wax off" in counter.page(path)


@pytest.mark.parametrize("part", ["drivers", "modifiers", "kinds"])
def test_other_things_are_added_and_a_name_that_is_there_is_said(counter, part):
    assert counter.send(f"/settings-add/{part}", f"/settings-add/{part}", label="Tail pad").status_code == 303
    assert "tail_pad" in tomllib.loads(text_of(counter))[part]
    assert "Tail pad" in counter.page("/settings")
    again = counter.send(f"/settings-add/{part}", f"/settings-add/{part}", label="Tail pad")
    assert again.status_code == 422
    assert 'href="#f-label"' in again.get_data(as_text=True)
    for odd in ("", "???", "once"):
        assert counter.send(f"/settings-add/{part}", f"/settings-add/{part}", label=odd).status_code == 422


def test_what_is_retired_is_asked_no_more_and_what_is_written_of_it_stays(counter):
    page = "/new/26-002?here=yes"
    assert 'name="looked.infills"' in counter.page(page)
    counter.send("/new/26-002", page, **{"looked.infills": "2", "put_by": "yes"})
    counter.send("/settings/drivers/infills/use", "/settings/drivers/infills", retired="yes")

    assert 'name="looked.infills"' not in counter.page(page)
    assert now(counter).whole_log.by_id["26-002"].assessed["infills"] == 2.0
    assert now(counter).whole_log.by_id["26-001"].assessed.get("infills") == 0.0
    assert now(counter).problems == ()


def test_a_rule_is_added_said_anew_and_taken_out(counter):
    before = text_of(counter)
    answer = counter.send(
        "/settings-add/rules",
        "/settings-add/rules",
        name="my strip",
        text="A long one takes a day",
        stage="strip",
        low="5",
        high="9,5",
    )
    assert answer.status_code == 303
    rule = now(counter).settings.rules[-1]
    assert (rule.name, rule.low, rule.high, rule.odds, rule.said, rule.own) == (
        "my strip",
        5.0,
        9.5,
        0.8,
        MAY,
        True,
    )
    lent = tomllib.loads(before)["rules"][0]
    path = f"/settings/rules/{lent['name']}"
    assert changed(counter, path, high=str(lent["high"] * 2)).status_code == 303
    own = now(counter).settings.rules[0]
    assert (own.high, own.source, own.said) == (lent["high"] * 2, "own", MAY)
    assert changed(counter, path, low="90", high="3").status_code == 422
    assert counter.send(f"{path}/use", path).status_code == 303
    assert now(counter).settings.rules[0].name != lent["name"]
    again = counter.send(
        "/settings-add/rules", "/settings-add/rules", name="my strip", stage="strip", low="5", high="9"
    )
    assert again.status_code == 422
    assert 'href="#f-name"' in again.get_data(as_text=True)
    for wrong in (
        {"name": "", "low": "1", "high": "2"},
        {"name": "x", "low": "", "high": ""},
        {"name": "x", "low": "9", "high": "2"},
    ):
        assert counter.send("/settings-add/rules", "/settings-add/rules", **wrong).status_code == 422


def test_the_same_form_twice_adds_once(counter):
    key = re.search(r'name="key" value="([^"]+)"', counter.page("/settings-add/kinds"))[1]
    for _ in range(2):
        assert counter.send("/settings-add/kinds", "/on-the-go", key=key, label="Tail pad").status_code == 303


def test_files_are_shown_and_not_written(tmp_path):
    reader = client(folder(tmp_path / "shop"), today=TODAY)
    before = text_of(reader)

    assert "Keep it so" not in reader.page("/settings/bench")
    assert reader.send("/settings/bench", "/on-the-go", places="4").status_code == 422
    assert reader.send("/settings/stages/strip/use", "/on-the-go", retired="yes").status_code == 422
    assert text_of(reader) == before


@pytest.mark.parametrize("path", ["/settings/nothing", "/settings/rules", "/settings/stages/nobody", "/settings/rules/nobody", "/settings-add/bench", "/settings/bench/places"])  # fmt: skip
def test_what_is_not_there_is_said(counter, path):
    assert counter.get(path).status_code == 404


@pytest.fixture(scope="module")
def odd(tmp_path_factory):
    place = tmp_path_factory.mktemp("odd") / "shop"
    place.mkdir()
    in_a_book(place)
    return client(place, today=MAY)


ODD = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), max_size=30)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_no_odd_value_fails_or_spoils_the_file(odd, data):
    path = data.draw(st.sampled_from(["/settings/bench", "/settings/stages/gloss", "/settings/modifiers/wetness", "/settings/kinds/minor", "/settings-add/stages", "/settings-add/rules"]))  # fmt: skip
    page = odd.page(path)
    names = sorted(
        set(re.findall(r' name="([a-z_.0-9]+)"', page)) - {"token", "key", "act", "back", "evening"}
    )
    typed = data.draw(st.dictionaries(st.sampled_from(names), ODD, max_size=3))
    there = fields(page) if "-add" not in path else {}
    answer = odd.send(path, path, **{**there, **typed})

    assert answer.status_code in {303, 422}
    assert parse_settings(text_of(odd))[1] == ()


def test_the_starters_own_settings_have_no_problem():
    assert parse_settings(starter_text())[1] == ()


@pytest.mark.parametrize(
    ("path", "raw", "said"),
    [
        ("/settings/bench", "auto", "the log, once it has 26 weeks"),
        ("/settings/workshop", "month-day", "4 March"),
        ("/settings/stages/strip", "queue", "no room"),
    ],
)
def test_what_can_be_chosen_stands_there_in_words(counter, path, raw, said):
    page = counter.page(path)

    assert f'value="{raw}"' in page
    assert f"<span>{said}</span>" in page
    assert f"<span>{raw}</span>" not in page


def test_a_row_that_nobody_could_read_before_is_no_reason_to_refuse(tmp_path):
    rows = [{"board": "26-001", "assessed_wet": "drenched"}, {"board": "26-002", "assessed_wet": "damp"}, {"board": "26-003", "assessed_wet": "soaked"}]  # fmt: skip
    store = book(tmp_path / "shop", boards=rows)
    counter = client(tmp_path / "shop", today=TODAY)
    assert changed(counter, "/settings/modifiers/wet", grades="dry\ndamp\nsoaked\nflooded").status_code == 303
    before = store.settings_text()
    answer = changed(counter, "/settings/modifiers/wet", grades="dry\ndamp\nflooded")

    assert answer.status_code == 422
    said = answer.get_data(as_text=True)
    assert "soaked" in said.partition("could no longer be read")[2].partition("</a>")[0]
    assert "drenched" not in said
    assert store.settings_text() == before


def test_of_rows_that_would_be_lost_the_first_is_named(tmp_path):
    book(
        tmp_path / "shop",
        boards=[{"board": "26-001", "assessed_wet": "soaked"}, {"board": "26-002", "assessed_wet": "damp"}],
    )
    counter = client(tmp_path / "shop", today=TODAY)
    answer = changed(counter, "/settings/modifiers/wet", grades="dry\nflooded")
    said = plain(answer.get_data(as_text=True)).partition("could no longer be read")[2].partition("</a>")[0]

    assert "soaked" in said
    assert "“damp”" not in said


@pytest.mark.parametrize(
    ("part", "name", "heading"),
    [
        ("rules", "my strip", 'rule "my strip"'),
        ("stages", "strip", "[stages.strip]"),
        ("bench", "", "[bench]"),
    ],
)
def test_problems_are_of_a_section(part, name, heading):
    assert page._heading(part, name) == heading


@pytest.mark.parametrize("path", ["/settings/nothing", "/settings/rules", "/settings/stages", "/settings-add/bench", "/settings-add/workshop", "/settings/stages/nobody", "/settings/rules/nobody", "/settings/bench/places/use"])  # fmt: skip
def test_nothing_is_written_where_nothing_is(counter, path):
    before = text_of(counter)
    assert counter.send(path, "/settings/bench", label="More", places="4").status_code == 404
    assert text_of(counter) == before


@pytest.fixture
def shown(monkeypatch):
    """What a page hands to its template."""
    held = {}
    monkeypatch.setattr(page, "render_template", lambda _, **given: held.update(given) or "")
    return held


def test_the_list_of_settings_names_each_thing_and_says_what_is_lent_or_no_longer_used(counter, shown):
    for path in ("/settings/drivers/logos/use", "/settings/stages/clean/use"):
        counter.send(path, "/on-the-go", retired="yes")
    low = {"text": "Looking it over takes long", "low": "3", "high": "5", "odds": "0.8"}
    assert counter.send("/settings/rules/look it over", "/on-the-go", **low).status_code == 303
    counter.get("/settings")
    parts = shown["parts"]

    assert list(parts) == ["stages", "drivers", "modifiers", "kinds", "rules"]
    assert [(one.name, one.label, one.address, one.more) for one in (*parts["stages"][:2], parts["modifiers"][1], parts["kinds"][0])] == [
        ("assess", "Look it over", "/settings/stages/assess", ""), ("clean", "Clean and trace", "/settings/stages/clean", "No longer used"),
        ("wetness", "Wet foam", "/settings/modifiers/wetness", ""), ("minor", "Small repair", "/settings/kinds/minor", ""),
    ]  # fmt: skip
    assert [(one.name, one.label) for one in parts["drivers"] if one.more] == [("logos", "Logos to redraw")]
    assert [(one.label, one.more) for one in parts["rules"][:2]] == [
        ("Looking it over takes long", ""),
        ("Getting ready to clean and trace takes 0.4 to 1 hours", "lent, not yet yours"),
    ]
    counter.get("/settings/stages/clean")
    assert (shown["retired"], shown["label"]) == (True, "Clean and trace")


@pytest.mark.parametrize(
    ("path", "label", "says"),
    [
        ("/settings/stages/strip", "Strip old glass", "A step of the work that hours are booked to."), ("/settings/drivers/logos", "Logos to redraw", "A quantity of work known or guessed beforehand."),
        ("/settings/kinds/minor", "Small repair", "A sort of job."), ("/settings/bench", "", "How many boards, how many hours, and when not."),
        ("/settings/rules/sweep", None, ""),
    ],
)  # fmt: skip
def test_a_form_of_settings_is_headed_by_what_it_is_of_and_sent_to_it(counter, shown, path, label, says):
    if label is None:
        label = now(counter).settings.rules[0].name
        path = f"/settings/rules/{label}".replace(" ", "%20")
    counter.get(path)

    assert (shown["label"], shown["says"], shown["action"], shown["retired"]) == (label, says, path, False)
    assert shown["typed"] is None


def test_a_stage_more_stands_after_the_last_unless_another_place_is_chosen(counter, shown):
    counter.get("/settings-add/stages")
    assert (shown["order"][:2], shown["last"]) == (
        [("", "first of all"), ("assess", "Look it over")],
        "handover",
    )
    assert [name for name, _ in shown["order"][1:]] == list(now(counter).settings.stages)
    counter.get("/settings-add/kinds")
    assert (shown["order"], shown["fields"]) == ([], [])
    assert (
        counter.send("/settings-add/stages", "/on-the-go", label="Wax off", after_this="").status_code == 303
    )
    assert next(iter(now(counter).settings.stages)) == "wax_off"


def test_each_act_on_settings_says_what_was_done(counter):
    rule = now(counter).settings.rules[0].name
    for path, fields in (
        ("/settings-add/kinds", {"label": "Tail pad"}), ("/settings/kinds/tail_pad/use", {"retired": "yes"}), ("/settings/kinds/tail_pad/use", {"retired": "no"}),
        (f"/settings/rules/{rule}/use", {}),
    ):  # fmt: skip
        assert counter.send(path, "/on-the-go", **fields).status_code == 303
    changed(counter, "/settings/drivers/logos", label="Logos to paint")

    assert [act.sentence for act in counter.app.extensions["counter"].store.acts(5)] == [
        "settings of logos: label", f"rule taken out: {rule}", "tail_pad: use it again", "tail_pad: no longer used", "added: tail_pad",
    ]  # fmt: skip


def test_what_was_typed_and_refused_stays_typed(counter, shown):
    assert (
        counter.send("/settings/bench", "/on-the-go", places="many", winter_drying="1.5").status_code == 422
    )
    assert (shown["typed"].text("places"), shown["typed"].text("winter_drying")) == ("many", "1.5")
    assert "places" in [one.field for one in shown["form"].errors]


def test_a_file_may_begin_with_the_sign_of_utf_8_and_say_outright_that_a_thing_is_used(tmp_path, shown):
    reader = client(folder(tmp_path / "shop"), today=TODAY)
    text = text_of(reader).replace('label = "Strip"', 'label = "Strip"\nretired = false')
    (tmp_path / "shop" / "workshop.toml").write_text(text, "utf-8-sig")
    reader.get("/settings")

    assert [(one.label, one.more) for one in shown["parts"]["stages"]] == [("Strip", ""), ("Gloss coat", "")]
    assert [(one.label, one.more) for one in shown["parts"]["rules"]] == [("square metre", ""), ("gloss", "")]
    reader.get("/settings/stages/strip")
    assert shown["retired"] is False


def test_what_is_added_is_called_without_blanks_beyond_one_and_why_it_is_not_added_stands_at_its_name(
    counter, shown
):
    assert counter.send("/settings-add/kinds", "/on-the-go", label=" Tail   pad ").status_code == 303
    assert now(counter).settings.kinds["tail_pad"].label == "Tail pad"
    assert counter.send("/settings-add/kinds", "/on-the-go", label="???").status_code == 422
    assert [one.field for one in shown["form"].errors] == ["label"]


def test_a_form_sent_as_it_stands_is_no_act(counter):
    acts = len(counter.app.extensions["counter"].store.acts(9))
    assert changed(counter, "/settings/bench").status_code == 303

    assert len(counter.app.extensions["counter"].store.acts(9)) == acts


def test_why_nothing_was_kept_is_said_once_and_not_that_it_was_not(counter, shown):
    assert counter.send("/settings/bench", "/on-the-go", places="many").status_code == 422
    assert not [one for one in shown["form"].errors if "Nothing was kept" in one.said]
    assert [one.field for one in shown["form"].errors].count("places") == 1


@pytest.mark.parametrize(
    ("path", "found", "field", "said"),
    [
        (("[bench]", "places, first"), "many", "places", "“many”: it is no number. Write one."),
        (("[bench]", "places"), "", "places", "It is no number. Write one."),
        (("[bench]",), "", "", "Workshop.toml, [bench]: it is no number. Write one."),
        (("[workshop]", "places"), "x", "", "Workshop.toml, [workshop], places: “x”: it is no number. Write one."),
    ],
)  # fmt: skip
def test_a_problem_stands_at_the_field_of_its_own_section_else_above_with_its_place(path, found, field, said):
    form = PageForm({})
    page._note(
        form, Problem(Place("workshop.toml", path=path), found, "it is no number", "Write one."), "[bench]"
    )

    assert [(one.field, one.said) for one in form.errors] == [(field, said)]
