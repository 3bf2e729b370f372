"""An estimate as text and as JSON."""

import json
import re
from typing import Any

import pytest

from diagtree.cli import main
from diagtree.estimate.result import Estimate
from diagtree.model.library import NOTICE
from diagtree.report import estimate_words as words
from diagtree.report.chances import in_hundred
from diagtree.report.estimate import enough
from diagtree.report.estimate_text import as_text
from diagtree.report.lines import cells
from tests.estimate.garage import GARAGE, estimated, garage, visit


@pytest.fixture(scope="module")
def found() -> Estimate:
    return estimated(visit(garage()))


@pytest.fixture
def library(tmp_path: Any) -> str:
    file = tmp_path / "garage.yaml"
    file.write_text(GARAGE, encoding="utf-8")
    return str(file)


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    assert main(["estimate", *argv]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def test_json_holds_what_the_contract_names(capsys: pytest.CaptureFixture[str], library: str) -> None:
    data = json.loads(run(capsys, "outer", "--library", library, "--json"))
    assert data["currency"] == "EUR"
    assert data["notice"] == NOTICE
    assert sum(row["probability"] for row in data["belief"]) == pytest.approx(1)
    for row in data["outcomes"]:
        assert {"faults", "probability", "hours", "parts", "cost", "residual"} <= row.keys()
    for spread in (data["hours"], data["cost"]):
        assert list(spread) == ["mean", "p10", "p50", "p80", "p95"]
        assert spread["p10"] <= spread["p50"] <= spread["p80"] <= spread["p95"]
    assert [stage["stage"] for stage in data["stages"]] == ["diagnosis", "strip-down", "repair"]
    for stage in data["stages"]:
        assert {"reached", "settled", "hours", "cost"} <= stage.keys()
        assert {"p50", "p80"} <= stage["hours"].keys() & stage["cost"].keys()
    assert data["stages"][-1]["hours"]["p80"] == data["hours"]["p80"]
    assert data["stages"][-1]["cost"]["p50"] == data["cost"]["p50"]
    assert len(data["dots"]) == 20


def test_json_of_a_known_build_and_a_stated_amount(capsys: pytest.CaptureFixture[str], library: str) -> None:
    argv = ("outer", "--library", library, "--build", "new", "--amount", "400", "--answer", "spin=stiff", "--json")
    data = json.loads(run(capsys, *argv))
    assert (data["build"], data["open"], data["answers"]) == ("new", {}, ["spin"])
    inside = sum(dot <= 400 for dot in data["dots"])
    assert (data["amount"]["amount"], data["amount"]["dots"]) == (400, inside)


def test_answers_that_contradict_one_another_leave_nothing_to_mix(
    capsys: pytest.CaptureFixture[str], tmp_path: Any
) -> None:
    file = tmp_path / "lamp.yaml"
    file.write_text(
        "checks:\n  bulb: {ask: Q?, hours: 0.1, slip: 0, answers: {lit: L, dark: D},"
        " given: {default: {lit: 100, dark: 0}}}\n"
        "---\nfaults:\n  blown: {title: B, why: W, repair: [], verify: [V]}\n---\n"
        "tree: lamp\ntitle: Lamp\nweights: {blown: 1}\nother: 0\nstart: ask\nnodes:\n"
        "  ask: {check: bulb, then: {lit: end, dark: end}}\n  end: {outcome: blown}\n",
        encoding="utf-8",
    )
    argv = ("lamp", "--library", str(file), "--answer", "bulb=dark")
    data = json.loads(run(capsys, *argv, "--json"))
    assert (data["contradiction"], data["belief"], data["outcomes"], data["hours"]) == (["bulb"], [], [], None)
    assert run(capsys, *argv).startswith("The answers to bulb can't stand together")


@pytest.mark.parametrize("columns", [20, 39, 79])
def test_no_line_is_wider_than_its_columns(found: Estimate, columns: int) -> None:
    for line in as_text(found, None, columns).splitlines():
        assert cells(line) <= columns, line


def test_the_text_says_what_a_customer_can_take(found: Estimate) -> None:
    text = " ".join(as_text(found).split())
    assert text.startswith("Estimate: It squeals Mill (invented) Build: old or new Of 100 cars like this (")
    assert "(the author's estimate, no closed jobs):" in text
    assert re.search(r"Authorise \d+ EUR now, for the checks that open nothing: enough for them in ", text)
    assert re.search(r"that settles what it is\. If not, opening up costs up to \d+ EUR more in ", text)
    assert "of it is taking off and closing up again." in text
    assert "would come back with another cause" in text
    assert "With 25 % tax, rounded up to 10 EUR." in text
    assert text.count("Tax, 25 %") == 1
    assert "Wheel: 30.00 EUR each" in text
    assert "STOP: Keep fingers clear." in text
    assert text.endswith(NOTICE)
    assert sum(text.count(dot) for dot in (words.INSIDE, words.OUTSIDE)) == 20


def test_what_is_recommended_is_enough_in_eighty_of_a_hundred(found: Estimate) -> None:
    limit = enough(found)
    assert found.price.within(limit) >= 0.8 - 1e-9
    assert found.price.within(limit - 10 - 1e-6) < 0.8
    assert limit % 10 == 0


def test_the_bill_adds_up_and_is_never_too_low(found: Estimate) -> None:
    *parts, together, tax, total = (float(line.figure.split()[0]) for line in words.bill(found))
    assert together == sum(parts)
    assert tax == pytest.approx(0.25 * together)
    assert together + tax <= total < together + tax + 10
    assert total >= found.price.mean
    for shown, stage in zip(parts, found.stages, strict=True):
        assert shown >= stage.share


def test_an_amount_is_shown_as_it_was_given(found: Estimate, capsys: pytest.CaptureFixture[str], library: str) -> None:
    out = run(capsys, "outer", "--library", library, "--amount", "340.5")
    assert f"Within 340.50 EUR: {in_hundred(found.price.within(340.5))} such cars." in out
    assert out.count(words.INSIDE) == found.dots_within(340.5)


def test_without_a_shop_all_is_in_hours(capsys: pytest.CaptureFixture[str]) -> None:
    from tests.oracle.program import ROOT

    out = run(capsys, "dark-lamp", "--library", str(ROOT / "tests" / "foreign" / "small.yaml"))
    assert "The library has no shop: all figures are in hours." in out
    assert "Tax" not in out
    assert sum(out.count(dot) for dot in (words.INSIDE, words.OUTSIDE)) == 20


@pytest.mark.parametrize("amount", ["0", "260", "640", "100000"])
def test_plain_characters_hold_the_same_row(library: str, amount: str) -> None:
    import os
    import subprocess
    import sys

    from tests.oracle.program import ROOT

    ran = subprocess.run(
        [sys.executable, "-m", "diagtree", "estimate", "outer", "--library", library, "--amount", amount],
        capture_output=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "ascii"},
    )
    text = ran.stdout.decode("ascii")
    assert "?" not in text
    assert re.search(r"^[#.]{5} [#.]{5} [#.]{5} [#.]{5}$", text, re.MULTILINE)
