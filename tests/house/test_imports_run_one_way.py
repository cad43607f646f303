"""A module imports only what stands above it in ORDER, so no cycle can form."""

import ast
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

# package: its modules in the order in which they may import one another
ORDER = {
    "words": """problems errors numerals units lengths worked_time dates money odds plain shares labels records rules
                settings settings_values public_holidays settings_amounts settings_rules settings_sections settings_check settings_file
                settings_accept manual""",
    "log": """headers columns tables csv_rows csv_edits workbooks cells blanks quantity_cells states board_rows rows sources
              standing checks missing reading stage_hours as_it_stood cache starter names own_row tellings decisions later_cells
              demo_dice demo_hours demo_recipe demo_money demo_waits demo_calendar demo_queue demo_names
              demo_stories demo_boards demo_diary demo_mess demo_files demo""",
    "regress": """columns mixture shrinkage reference_class forms_log forms_process forms_additive stretch stacking averaged
                  regressor""",
    "model": "saved_fit quantities matrices log_rows priors sums in_hand likelihood posterior correction materials fit",
    "forecast": "ranges normal stretched draws usual surprises views prices support described answers added what_ifs",
    "bench": "calendar weeks jobs wait_cases wait_law waits drying floor simulate orders arrivals seen plans hand promises rung ics outlook morning",
    "record": "scores track_record own_guesses least_squares gamma_regression rivals rivals_then replay stretch then against track replay_dates dates look_back verdicts evidence past cases log_alone said_by_log judging",
    "decide": """periods pay control till kept gaps stood usual overruns story shares effects goes_with all_overruns terms
                 asked worth mean_hours openings board_draws moved asked_since weighing advice weigh afterwards charges change suggestions in_hand review quarter""",
    "said": "parts verdict_words nearer_words date_record_words price_words added_words range_words rule_words record_numbers record_words bench_words overruns_words quarter_over_words quarter_sorts_words quarter_decided_words quarter_page_two quarter_words weigh_words",
    "sheets": """style board_outlines tape tape_marks range_drawing range_figures pay_drawing pay_figures stage_figures reason_figures overrun_figures rule_figures
                 record_drawing nearer_figures record_figures calendar_tape mixed_words promise_drawing
                 promise_figures ten_on_calendar cautions board_facts letters range_sheet owner_words owner_sheet rules_sheet
                 record_sheet week_sheet printed quarter_figures said_blocks weigh_sheet quarter_sheet""",
    "": "folder workbench shop papers",
    "cli": "options tables lines_used bench_calendar pictures overruns_command record_command quarter_command rules_command told_command weigh_command bench_command sheet_command more_commands commands",
}
PLACES = [
    f"{package}.{module}".strip(".") for package, modules in ORDER.items() for module in modules.split()
]
ENTRANCES = {"__init__", "__main__"}


def place(module: str) -> str | None:
    """Where `estimator.x.y` stands: "x.y", or "x" for a module right under the top."""
    pieces = module.split(".")
    if pieces[0] != "estimator":
        return None
    for take in (3, 2):
        name = ".".join(pieces[1:take])
        if name in PLACES:
            return name
    return None


def imported_places(source: str) -> set[str]:
    """The places that the given source text imports, at any depth."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        else:
            continue
        found |= {spot for name in names if (spot := place(name))}
    return found


def upward_imports(spot: str, source: str) -> list[str]:
    return [
        f"{spot} imports {other}, which stands below it"
        for other in sorted(imported_places(source), key=PLACES.index)
        if PLACES.index(other) >= PLACES.index(spot)
    ]


def modules() -> list[tuple[str, Path]]:
    tree = ROOT / "estimator"
    found = []
    for path in sorted(tree.rglob("*.py")):
        if path.stem in ENTRANCES:
            continue
        found.append((".".join(path.relative_to(tree).with_suffix("").parts), path))
    return found


def test_every_module_has_a_place_and_looks_only_up():
    assert len(modules()) > 10
    for spot, path in modules():
        assert spot in PLACES, f"give {spot} a place in ORDER"
        assert upward_imports(spot, path.read_text("utf-8")) == []


def test_every_place_has_a_module():
    assert sorted(PLACES) == sorted(spot for spot, _ in modules())


def test_the_check_itself_can_fail():
    assert upward_imports("words.errors", "from estimator.words.problems import Problem") == []
    assert upward_imports("words.problems", "def f():\n    import estimator.words.errors") == [
        "words.problems imports words.errors, which stands below it"
    ]
    assert upward_imports("model.fit", "from estimator.cli import tables\nfrom estimator import shop") == [
        "model.fit imports shop, which stands below it",
        "model.fit imports cli.tables, which stands below it",
    ]


def test_forecast_is_numpy_and_the_standard_library_only():
    allowed = {"numpy", "estimator"}
    import sys

    for spot, path in modules():
        if not spot.startswith("forecast."):
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom):
                heads = [str(node.module).split(".")[0]]
            elif isinstance(node, ast.Import):
                heads = [alias.name.split(".")[0] for alias in node.names]
            else:
                continue
            assert all(head in allowed or head in sys.stdlib_module_names for head in heads), (spot, heads)


def test_no_module_grows_past_the_cap():
    sizes = {spot: len(path.read_text("utf-8").splitlines()) for spot, path in modules()}
    assert {spot: n for spot, n in sizes.items() if n > 300} == {}
