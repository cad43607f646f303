"""A module imports only what stands above it in ORDER, so no cycle can form."""

import ast
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

# package: its modules in the order in which they may import one another
ORDER = {
    "words": """json_form actions problems errors phrases labels page_labels step_labels measures
                worked_time dates odds records money settings.schema settings.values settings.rules
                settings.checks settings.manual settings.reader settings.edit settings.changes
                settings.own_rules settings.set_up kept_form""",
    "log": """files cache columns tables csv_tables parse.cells parse.boards parse.entries stage_hours
                checks history book.schema book.canonical book.opening book.synced starter notes money
                reading workbook_marks workbooks rows_before store book.act book.history book.backups
                book.photos book.owners book.store book.salvage kept_in exchange.marks exchange.rows
                exchange.writing exchange.export exchange.files_in notebook.page notebook.tokens
                exchange.numbers exchange.plan exchange.merge exchange.questions notebook.spelling
                notebook.amounts notebook.vocabulary names notebook.mentions notebook.typed
                notebook.diary_words exchange.usual_words exchange.strangers exchange.understanding
                exchange.translation exchange.rows_gone exchange.importing tellings edits steps.read_back
                steps.writing steps.hours steps.enquiry steps.standing steps.leaving steps.telling
                steps.ringing steps.next_steps booking steps.missing steps.week_end steps.money_line
                notebook.days_named notebook.diary notebook.promised steps.setting_up notebook.atom
                notebook.items notebook.questions notebook.another_board notebook.corrections
                notebook.respelled notebook.days_meant notebook.remarks notebook.stages_said
                notebook.draft_line notebook.counted notebook.atoms notebook.found notebook.days_asked
                notebook.heads notebook.no_hours notebook.sharing notebook.draft notebook.twice
                notebook.reader notebook.boxes steps.notebook_hours""",
    "regress": "mixture log_forms process_form additive_form stretch regressor",
    "model": """saved_fit quantities untaught matrices priors stage_sums likelihood posterior materials
                levels fit""",
    "forecast": "looks ranges calibration draws surprises views answers described scope_change",
    "bench": """calendar wait_cases waits drying jobs simulation orders promises call_log ics outlook
                morning past_jobs""",
    "record": """backtest.scores backtest.track_record backtest.rivals rules.verdicts rules.evidence
                rules.cases workers backtest.replay backtest.track backtest.run rules.judging more_boards""",
    "decide": """looks quarter.pay overruns.expected_by_scope overruns.parts overruns.variance_shares
                overruns.overruns weigh.terms weigh.worth weigh.open_first weigh.promise_impact
                weigh.weighing weigh.advice weigh.assess quarter.work_in_hand quarter.control_chart
                quarter.charges quarter.lost_time quarter.outcomes quarter.accounts quarter.suggestions
                quarter.review otherwise day_moves""",
    "said": """parts looks check history owner told telephone ten_boards rules record_scores record range
                added bench rings overruns quarter_page_two quarter weigh notes_and_money workshops exchange
                hours otherwise book day_moves setting_up past_boards""",
    "sheets": """layouts.letters drawing.style paper.board_facts paper.week_sheet paper.typesetting
                layouts.standing layouts.tape layouts.calendar layouts.ranges layouts.pay layouts.promises
                layouts.record layouts.overruns layouts.rules layouts.looks layouts.quarter layouts.money
                figures.reasons figures.money drawing.outlines drawing.tape figures.range figures.pay
                figures.stages figures.overruns figures.rules figures.record figures.promises
                figures.ready_dates figures.quarter paper.said_sheets paper.range_sheet paper.owner_sheet
                paper.handover_sheet pictures""",
    "": "as_of snapshot working_day shop papers",
    "demo": "texts recipe simulation stories notebook workshop",
    "counter": """shapes kept_parts answer_files question_order step_forms sent_steps step_questions
                step_answers own_process tapes at_once worker_desk paper_press workplace safety pairing
                forms showing pages.light pages.today pages.board pages.take_it_on pages.paper pages.phones
                diary_rows missing_days week_form setting_fields setting_rules pages.settings
                pages.otherwise kept_telling taking pages.board_steps pages.day_steps pages.new pages.undo
                pages.book pages.book_copies pages.book_files pages.setting_up pages.before_the_log
                pages.hours pages.look_back pages.money past_drawings looking_back answers worker
                pages.on_the_go registry app serving""",
    "cli": """at_work printing options settings_command bench check counter looks overruns range record
                quarter rules told undo weigh sheet workshops notes_and_money export_command import_command
                hours otherwise commands""",
}
PLACES = [
    f"{package}.{module}".strip(".") for package, modules in ORDER.items() for module in modules.split()
]
ENTRANCES = {"__init__", "__main__"}


def place(module: str) -> str | None:
    """Where `estimator.x.y` stands: the longest part of it that is a module, "x.y" or "x.y.z"; "x" under the top."""
    pieces = module.split(".")
    if pieces[0] != "estimator":
        return None
    for take in range(len(pieces), 1, -1):
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
    assert upward_imports("model.fit", "from estimator.cli import printing\nfrom estimator import shop") == [
        "model.fit imports shop, which stands below it",
        "model.fit imports cli.printing, which stands below it",
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


def test_layouts_are_plain_numbers_and_load_no_matplotlib():
    for spot, path in modules():
        if spot.startswith("sheets.layouts."):
            for node in ast.parse(path.read_text("utf-8")).body:
                heads = [node.module] if isinstance(node, ast.ImportFrom) else []
                heads += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
                assert not any(str(head).startswith("matplotlib") for head in heads), spot


def test_no_module_grows_past_the_cap():
    sizes = {spot: len(path.read_text("utf-8").splitlines()) for spot, path in modules()}
    assert {spot: n for spot, n in sizes.items() if n > 500} == {}


def test_class_names_are_unique():
    homes: dict[str, list[str]] = {}
    for spot, path in modules():
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ClassDef):
                homes.setdefault(node.name, []).append(spot)
    assert {name: spots for name, spots in homes.items() if len(spots) > 1} == {}


def test_what_makes_the_invented_workshop_is_imported_by_nothing_that_answers():
    for spot, path in modules():
        if not spot.startswith(("demo.", "cli.")):
            assert {
                other for other in imported_places(path.read_text("utf-8")) if other.startswith("demo.")
            } == set(), spot
