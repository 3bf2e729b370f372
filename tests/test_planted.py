"""Single mistakes planted in sound libraries of other trades: each is found at its file and line, and little else.

What counts as a mistake comes from the contract of the file formats, not from the rules.
"""

import io
import json
import os
import shutil
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from diagtree.cli import main
from tests.planted import faults_and_engine, shop_and_checks, trees
from tests.planted.case import BOILER, PUMP, Planted

FOREIGN = Path(__file__).parent / "foreign"
CASES: tuple[Planted, ...] = (*shop_and_checks.CASES, *faults_and_engine.CASES, *trees.CASES)
FIRST = sorted({(case.library, case.first) for case in CASES if case.first}, key=str)

Problem = dict[str, Any]


def copy(library: str, folder: Path) -> Path:
    return Path(shutil.copytree(FOREIGN / library, folder / library))


def vet(*arguments: str) -> tuple[int, str, str]:
    """Exit code, standard output, standard error."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main(["vet", *arguments])
    return code, out.getvalue(), err.getvalue()


def problems(folder: Path) -> list[Problem]:
    code, out, err = vet(str(folder), "--json")
    assert err == ""
    found: list[Problem] = json.loads(out)["problems"]
    assert code == (1 if found else 0)
    return found


def brief(problem: Problem) -> tuple[str, str]:
    return problem["rule"], problem["message"]


def new_ones(found: list[Problem], library: str, known: dict[str, set[tuple[str, str]]]) -> list[Problem]:
    """Those that the unedited library has not."""
    if library not in known:
        known[library] = {brief(problem) for problem in problems(FOREIGN / library)}
    return [problem for problem in found if brief(problem) not in known[library]]


@pytest.fixture(scope="module")
def known() -> dict[str, set[tuple[str, str]]]:
    """What is said of the unedited libraries: warnings only."""
    return {}


@pytest.mark.parametrize("library", [PUMP, BOILER])
def test_the_unedited_library_has_no_error(library: str) -> None:
    assert [problem for problem in problems(FOREIGN / library) if problem["severity"] == "error"] == []


@pytest.mark.parametrize(("library", "first"), FIRST, ids=[first.old.strip() for _, first in FIRST])
def test_what_makes_room_for_a_mistake_is_sound(library: str, first: Any, tmp_path: Path) -> None:
    folder = copy(library, tmp_path)
    first.make(folder)
    assert [problem for problem in problems(folder) if problem["severity"] == "error"] == []


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_planted_mistake_is_found_at_its_line(
    case: Planted, tmp_path: Path, known: dict[str, set[tuple[str, str]]]
) -> None:
    folder = copy(case.library, tmp_path)
    file, line = case.plant(folder)
    found = new_ones(problems(folder), case.library, known)
    places = [(p["rule"], p["severity"], Path(p["file"]).relative_to(folder).as_posix(), p["line"]) for p in found]
    assert (case.rule, case.severity, file, line) in places
    assert len(found) <= case.most, places
    if case.severity == "warning":
        assert {problem["severity"] for problem in found} == {"warning"}


@pytest.mark.parametrize("case", CASES[::12], ids=[case.name for case in CASES[::12]])
def test_every_form_of_the_report_tells_the_same(case: Planted, tmp_path: Path) -> None:
    folder = copy(case.library, tmp_path)
    case.plant(folder)
    found = problems(folder)
    code, text, err = vet(str(folder))
    assert (code, err) == (1, "")
    for p in found:
        head = f"{p['file']}:{p['line']}:{p['column']}: {p['severity']}: {p['message']} [{p['rule']}]\n"
        assert head in text
        assert not p["help"] or f"help: {p['help']}\n" in text
    code, sarif, err = vet(str(folder), "--sarif")
    assert (code, err) == (1, "")
    results = json.loads(sarif)["runs"][0]["results"]
    assert [(r["ruleId"], r["level"]) for r in results] == [(p["rule"], p["severity"]) for p in found]


@pytest.mark.parametrize("case", CASES[::60], ids=[case.name for case in CASES[::60]])
def test_a_process_of_its_own_says_the_same(case: Planted, tmp_path: Path) -> None:
    folder = copy(case.library, tmp_path)
    case.plant(folder)
    ran = subprocess.run(
        [sys.executable, "-m", "diagtree", "vet", str(folder), "--json"],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parent.parent)},
    )
    assert (ran.returncode, ran.stderr) == (1, "")
    assert json.loads(ran.stdout)["problems"] == problems(folder)


def test_mistakes_do_not_hide_one_another(tmp_path: Path) -> None:
    """Each of these touches another entry, so that each must be found beside the others."""
    chosen = {
        "currency: GBP": None,
        "    hours: 0.4\n": "    hours: -0.4\n",
        "    slip: 0.02\n": None,
        "if-missed: 120": "if-missed: -120",
        "follows: [renew-impeller]": "follows: [renew-impeler]",
        "{number: TN-131, price: 66}": "{number: TN-131, price: -66}",
        "holds: {frame-bearing: 3,": "holds: {frame-bearings: 3,",
        "start: noise": None,
        "else: worn-or-out}": None,
        "low-flow: 35}": None,
        "worn: {outcome: impeller-worn}": "worn: {outcome: impeler-worn}",
        "cautions: [trapped-liquid]": "cautions: [traped-liquid]",
    }
    folder = copy(PUMP, tmp_path)
    expected = []
    for old, new in chosen.items():
        case = next(
            case for case in CASES if case.library == PUMP and case.edit.old == old and new in {None, case.edit.new}
        )
        file, line = case.plant(folder)
        expected.append((case.rule, file, line))
    found = {(p["rule"], Path(p["file"]).name, p["line"]) for p in problems(folder)}
    assert set(expected) <= found
