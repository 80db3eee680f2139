"""What the documents and `--help` promise, each with a test that would fail if it were not so; what has none is struck out there.

Here is held that the list is whole for commands and options, that what it quotes is still said, and that each test is there.
"""

from __future__ import annotations

import ast
from functools import cache

from reportgen.catalogue.columns import SHEETS
from tests.documentation import ROOT
from tests.every import every
from tests.test_documentation import commands

RUN, DESK, BUSINESS = "endtoend/test_run.py", "endtoend/test_desk.py", "endtoend/test_business.py"
WORDS, INTO, REUSE = "endtoend/test_words.py", "endtoend/test_into.py", "commands/test_reuse.py"
EVERY = f"{WORDS}::test_every_command_tells_json_and_those_that_print_take_place_and_paper"
COPY = f"{INTO}::test_a_copy_is_added_to_by_every_command_and_what_stands_there_stays"
OWN = "endtoend/test_own_templates.py::test_a_missing_folder_of_templates_ends_every_command_before_the_work"

SHARED = {"--json": EVERY, "--out": EVERY, "--paper": EVERY, "--templates": OWN, "--into": COPY, "--jobs": EVERY}
"""Options that several commands take, in one way."""

HELP: dict[str, dict[str, str]] = {
    "run": {
        "": f"{RUN}::test_a_run_from_workbook_to_paper_and_back",
        "--only": f"{RUN}::test_only_and_season_choose_pairings",
        "--season": f"{RUN}::test_only_and_season_choose_pairings",
        "--scheduler": "endtoend/test_scheduler.py::test_one_core_two_and_the_workers_of_a_scheduler_give_the_same_bytes",
        "--no-pdf": f"{RUN}::test_a_missing_sheet_is_printed_again_without_being_worked_out",
        "--dry-run": f"{RUN}::test_into_and_dry_run_leave_the_workbook_alone",
        "--booklet": f"{RUN}::test_the_booklet_binds_every_sheet",
        "--fresh": f"{RUN}::test_fresh_works_everything_out_again_to_the_same_result",
        "--data": f"{WORDS}::test_curves_and_circuit_stand_beside_a_sheet_of_two_sides",
        "--pages": f"{WORDS}::test_curves_and_circuit_stand_beside_a_sheet_of_two_sides",
        "--keep": f"{WORDS}::test_keep_leaves_the_result_sheets_of_the_last_runs",
    },
    "check": {"": "catalogue/test_reading.py::test_all_problems_are_found_at_once"},
    "new": {
        "": "catalogue/test_blank.py::test_a_blank_reads_without_a_word",
        "--demo": "endtoend/test_demo_season.py::test_the_committed_demo_is_what_the_program_writes",
        "--next-season": f"{WORDS}::test_the_season_after_the_demo_reads_without_a_problem",
    },
    "screen": {
        "": f"{DESK}::test_a_screening_is_printed_written_and_shown",
        "--low": f"{DESK}::test_a_screening_is_printed_written_and_shown",
        "--application": f"{DESK}::test_an_enquirers_own_driver_is_screened_too",
        "--slopes": f"{DESK}::test_a_screening_is_printed_written_and_shown",
    },
    "answer": {
        "": f"{DESK}::test_every_open_enquiry_gets_a_page_and_a_text",
        "--only": f"{DESK}::test_answered_enquiries_are_left_unless_named",
    },
    "compare": {"": f"{DESK}::test_a_comparison_is_printed_written_and_shown"},
    "history": {"": f"{DESK}::test_histories_are_gathered_and_nothing_else_is_overwritten"},
    "recompute": {
        "": f"{DESK}::test_an_old_run_comes_out_the_same",
        "--run": f"{DESK}::test_an_old_run_comes_out_the_same",
        "--pdf": f"{DESK}::test_an_old_run_comes_out_the_same",
    },
    "supply": {"": f"{BUSINESS}::test_supply_counts_what_the_season_takes"},
    "withdraw": {"": f"{BUSINESS}::test_a_withdrawn_driver_is_replaced_where_it_stands"},
    "pricelist": {
        "": f"{BUSINESS}::test_the_price_list_names_kits_that_may_be_sold_alone",
        "--season": f"{WORDS}::test_a_price_list_of_another_season_is_refused_with_the_seasons_there_are",
    },
    "whatif": {"": f"{BUSINESS}::test_what_if_writes_nothing_and_tells_what_moves"},
    "changes": {
        "": f"{BUSINESS}::test_changes_name_the_cell_that_made_them",
        "--since": f"{BUSINESS}::test_changes_name_the_cell_that_made_them",
        "--against": f"{BUSINESS}::test_season_against_season",
    },
}
"""Command -> option ("" is the command itself) -> test."""

README: dict[str, str] = {
    "without touching one byte of what the operator put there": "ledger/test_graft.py::test_any_sheets_in_any_workbook",
    "looks for the nearest yes where the answer is no": "advice/test_remedies.py::test_two_changes_where_one_is_not_enough",
    "one tagged PDF a pairing: verdict with its first reason": "paper/test_structure.py::test_the_structure_is_as_pdf_ua_wants_it",
    "every check with value, limit,": "test_assessment.py::test_every_figure_has_its_limit_its_margin_and_its_source",
    "the reason and the nearest changes that would make it work": "paper/test_render.py::test_a_pairing_that_is_not_suitable_gets_no_build_page",
    "the season on the screen, sortable and filterable": "paper/test_screenpage.py::test_sorting_and_filtering_in_a_browser",
    "with the figures and the front of each kit": "paper/test_screenpage.py::test_a_row_opens_its_figures_and_its_front",
    "front of each kit, in one file": "paper/test_screenpage.py::test_nothing_is_fetched",
    "beyond 250 000 pairs the ranked list alone": "commands/test_screen.py::test_more_pairs_than_a_matrix_holds_are_listed_alone",
    "everything for other programs": f"{RUN}::test_results_json_is_as_documented",
    "which says what changed since the last run": "ledger/test_history.py::test_a_changed_input_is_said_from_what_to_what",
    "what was decided and on which data": "ledger/test_history.py::test_a_decision_is_kept_with_who_when_and_why",
    "empty, with notes on every heading": "catalogue/test_blank.py::test_notes_say_what_is_allowed_and_what_an_empty_cell_means",
    "every problem, with its cell and how to mend it": "catalogue/test_reading.py::test_all_problems_are_found_at_once",
    "headings in row 1 with the unit in brackets": "catalogue/test_blank.py::test_sheets_and_headings",
    "a title above them is passed over": "catalogue/test_reading.py::test_headings_below_a_title",
    "rows of units or totals below them": "catalogue/test_reading.py::test_a_row_that_is_no_thing_of_its_sheet_is_noted_and_not_read",
    'what needs it ends as "not assessed" and names the cell': "suitability/test_missing_data.py::test_an_empty_cell_never_gives_a_better_verdict",
    "numbers that you own and may change": "test_adding.py::test_a_kind_and_a_rule_of_the_trade_are_shipped_and_kept",
    "A formula counts by its stored value": "catalogue/test_reading.py::test_formulas_count_by_their_stored_value",
    "replaces the model of a driver where it reaches": "acoustics/test_measured.py::test_measured_inside_model_outside_and_no_step_between",
    "every file is held against the cells of its row": "catalogue/test_curves.py::test_every_file_is_held_against_the_cells",
    "edges and box of that cabinet are taken out again": "pairing/test_measuring.py::test_a_cabinet_is_taken_out_before_band_and_break_up_are_read",
    "then their distance in depth is measured too": "pairing/test_measuring.py::test_a_pair_in_its_own_cabinet_with_one_start_of_time",
    "any delay and a turned polarity are found, taken out and told": "pairing/test_measuring.py::test_a_driver_measured_upside_down_is_turned_and_said",
    "files of the same name with the angle behind it": "catalogue/test_curves.py::test_the_angle_in_a_files_name",
    "History stays whole, and so does a sheet that you wrote": "ledger/test_oldruns.py::test_history_stays_whole",
    "beside or refer to": "ledger/test_oldruns.py::test_a_sheet_that_somebody_relies_on_stays_and_that_is_said",
    "every low driver against every high driver, each guide, rear and slope": "advice/test_screening.py::test_every_guide_rear_and_slope_is_looked_at",
    "a matrix and a ranked list in the workbook, one printed page": f"{DESK}::test_a_screening_is_printed_written_and_shown",
    "a one-page PDF, a text to paste into a mail": f"{DESK}::test_every_open_enquiry_gets_a_page_and_a_text",
    "the history of many seasons in one workbook": f"{DESK}::test_histories_are_gathered_and_nothing_else_is_overwritten",
    "pieces needed, on the shelf, short, cost": "advice/test_supply.py::test_the_cost_is_the_sum_of_what_is_priced_to_the_cent",
    "picking lists to print": f"{BUSINESS}::test_supply_counts_what_the_season_takes",
    "without and with tax": "advice/test_pricing.py::test_both_prices_come_from_the_exact_sum_and_are_rounded_once",
    '("Practice: air temperature = 25")': "catalogue/test_overrides.py::test_rules_and_the_maker_have_cells_too",
    "which cell made it: since the last run that differs": f"{BUSINESS}::test_without_a_word_it_is_the_last_run_that_differs",
    "works without the page engine's": f"{RUN}::test_without_the_page_engine_a_run_without_paper_works",
    "the fewest high drivers that serve all": "advice/test_shelf.py::test_no_set_of_any_number_serves_more",
    "a row of the growing sheet `Answers`": f"{DESK}::test_an_answer_of_the_same_words_stands_once",
    "up to six pairings side by side": "paper/test_deskpages.py::test_more_than_stand_side_by_side_are_refused",
    "how many kits the shelf allows": "advice/test_supply.py::test_the_shelf_allows_whole_kits_only",
    "what takes its place, each assessed as a whole": f"{BUSINESS}::test_a_withdrawn_part_makes_another_network",
    "nothing is written to the workbook": f"{BUSINESS}::test_what_if_writes_nothing_and_tells_what_moves",
    "from the data kept in its History": f"{DESK}::test_an_old_run_rests_on_its_own_data_alone",
    "the shell completes commands and options": f"{WORDS}::test_the_shell_completes_commands_and_options",
    "that stands there already is added to": COPY,
    "1: some pairings or enquiries could not be assessed": f"{RUN}::test_bad_rows_never_stop_the_others",
    "an old run came out otherwise": f"{DESK}::test_a_result_that_differs_is_said_with_the_program_that_gave_it",
    "or a workbook gave no history": "commands/test_new.py::test_a_workbook_that_gave_no_history_is_named",
    "2: the workbook could not be used": f"{RUN}::test_a_workbook_that_cannot_be_used_ends_with_two",
    "is taken over from the last run, sheet and all": f"{RUN}::test_a_second_run_takes_over_what_did_not_change",
    "If the workbook is open elsewhere, write-protected or changed meanwhile": "ledger/test_replacement.py::test_a_file_that_was_changed_since_it_was_read",
    "columns that it lacks count as empty": "catalogue/test_reading.py::test_a_missing_column_is_named_by_its_heading",
    "The next run works everything out again, because another": f"{REUSE}::test_another_program_counts",
    "History says what changed": "ledger/test_history.py::test_results_that_move_without_an_input_are_put_down_to_the_program",
}
GUIDE: dict[str, str] = {
    "imports point up it": "test_architecture.py::test_imports_point_one_way",
    "does what this list says to a copy of the program": "test_adding.py::test_every_command_runs",
    "Public docstrings: one sentence": "test_architecture.py::test_every_public_name_is_explained",
    "nothing stays without a caller": "test_architecture.py::test_nothing_stays_without_a_caller",
    "A function fits a screen": "test_architecture.py::test_functions_fit_a_screen",
    "it never passes silently": "suitability/test_missing_data.py::test_an_empty_cell_never_gives_a_better_verdict",
    "how to mend it": "catalogue/test_reading.py::test_a_bad_cell_of_a_driver_takes_the_driver_and_its_pairing_out",
    "A template gets one value, `page`": "paper/test_render.py::test_a_template_knows_its_page_and_nothing_else",
    "no attribute that begins with `_`, no file": "paper/test_own_templates.py::test_the_sandbox_holds",
    "60 s a page": "paper/test_own_templates.py::test_a_page_may_not_take_for_ever",
    "given as `data:` URLs": "paper/test_own_templates.py::test_a_picture_given_as_data_is_printed",
    "A fault names file, line and field and costs its page": "endtoend/test_own_templates.py::test_a_fault_in_an_own_template_costs_its_page_only",
    "that run this very program, to the byte": "endtoend/test_scheduler.py::test_a_scheduler_without_workers_or_with_none_that_can_be_used_is_said_and_the_work_is_done_here",
    "templates travel along": "endtoend/test_scheduler.py::test_one_core_two_and_the_workers_of_a_scheduler_give_the_same_bytes",
    "Over `tls://`": "endtoend/test_scheduler.py::test_a_scheduler_over_tls",
    "`run` never imports it": f"{BUSINESS}::test_pandas_is_for_these_commands_alone",
    "imported only when the shell asks": f"{DESK}::test_help_waits_for_nothing",
}
NOTES = "catalogue/test_blank.py::test_notes_say_what_is_allowed_and_what_an_empty_cell_means"
HEADINGS: dict[str, str] = {
    "unit": "catalogue/test_reading.py::test_values_arrive_in_si_units",
    "range and list": "catalogue/test_blank.py::test_drop_downs_and_checks",
    "required": "catalogue/test_reading.py::test_a_required_column_that_is_missing",
    "default of an empty cell": "catalogue/test_reading.py::test_defaults_of_the_description_are_those_of_the_records",
    "ID of another sheet": "catalogue/test_reading.py::test_references_do_not_regard_case_and_spacing",
    "file beside the workbook": "catalogue/test_curves.py::test_curves_reach_the_catalogue_and_a_bad_one_costs_itself_alone",
}
"""What a note on a heading promises, by kind."""


@cache
def defined(file: str) -> frozenset[str]:
    """Every test of a file below `tests/`."""
    tree = ast.parse((ROOT / "tests" / file).read_text(encoding="utf-8"))
    return frozenset(node.name for node in tree.body if isinstance(node, ast.FunctionDef))


def promised() -> list[str]:
    of_help = [test for options in HELP.values() for test in options.values()]
    return [*of_help, *SHARED.values(), *README.values(), *GUIDE.values(), *HEADINGS.values(), NOTES]


@every("test", sorted(set(promised())))
def test_the_test_of_a_promise_is_there(test: str) -> None:
    file, name = test.split("::")
    assert name in defined(file)


@every("command", sorted(commands()))
def test_every_option_of_every_command_has_its_test(command: str) -> None:
    options = {
        text for action in commands()[command]._actions for text in action.option_strings if text.startswith("--")
    }
    assert options - {"--help"} == (set(HELP[command]) - {""}) | (options & set(SHARED))
    for option, test in HELP[command].items():
        assert option in (ROOT / "tests" / test.split("::")[0]).read_text(encoding="utf-8").replace("_", "-"), option


@every("command", sorted(commands()))
def test_every_option_says_what_it_does(command: str) -> None:
    for action in commands()[command]._actions:
        assert action.help or action.dest in ("workbook", "workbooks"), action.dest


@every(("document", "promises"), [("README.md", README), ("DEVELOPERS.md", GUIDE)])
def test_what_is_quoted_is_still_said(document: str, promises: dict[str, str]) -> None:
    text = " ".join((ROOT / document).read_text(encoding="utf-8").split())
    assert [quote for quote in promises if " ".join(quote.split()) not in text] == []


def test_every_heading_has_words_of_its_own() -> None:
    for sheet in SHEETS:
        for column in sheet.columns:
            assert column.help, f"{sheet.name}: {column.heading}"
