"""An estimate as text and as JSON."""

import json
import re
from dataclasses import replace
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
    assert data["stages"][0]["price_reached"]["p80"] == pytest.approx(data["stages"][0]["price"]["p80"])
    assert data["waiting"] == {
        "probability": 0,
        "hours": 0,
        "longest": 0,
        "nights": [{"nights": 0, "probability": 1}],
    }


def test_the_price_of_a_stage_that_is_reached_is_of_those_visits_alone(found: Estimate) -> None:
    """All visits are those that reach the stage and those that do not: the mean is mixed of both."""
    first, opening, repair = found.stages
    reaching = found.reaching
    assert reaching[0] is not None
    assert reaching[0].mean == pytest.approx(first.price.mean)
    for stage, there in zip((opening, repair), reaching[1:], strict=True):
        assert there is not None
        assert 0 < stage.reached < 1
        for amount in (100.0, 200.0, 300.0, 400.0, 600.0):
            mixed = stage.reached * there.within(amount) + 1 - stage.reached
            assert stage.price.within(amount) <= mixed + 1e-9
            assert stage.price.within(amount) >= stage.reached * there.within(amount) - 1e-9
        assert there.mean >= stage.price.mean


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
    assert re.search(
        r"Authorise \d+ EUR now, for the checks that open nothing\. In .* these checks cost no more\.", text
    )
    assert re.search(r"that settles what it is\. If not, opening up costs up to \d+ EUR more, \d+ EUR in all", text)
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
    assert together == pytest.approx(sum(parts), abs=1e-9)
    assert tax == pytest.approx(0.25 * together, abs=0.005 + 1e-9)
    assert together + tax <= total < together + tax + 10
    for shown, stage in zip(parts, found.stages, strict=True):
        assert shown == pytest.approx(stage.share, abs=0.01)


def test_the_average_is_rounded_once_not_line_by_line(found: Estimate) -> None:
    """Each line up to the step, then the tax on them, would charge for rounding up to three times, and tax for that."""
    shop = found.library.rates
    assert words.bill(found)[-1].figure == words.figure(shop, found.price.mean)


def test_the_last_dot_does_not_claim_to_be_the_dearest_car(found: Estimate) -> None:
    last = found.dots[-1]
    assert 0 < 1 - found.price.within(last) < 0.05
    assert words.scale(found).endswith(
        f"the last at {words.figure(found.library.rates, last)}. Fewer than 5 in 100 such cars cost more."
    )


@pytest.fixture(scope="module")
def shut() -> Estimate:
    """A garage without tax, where each check lies behind the same cover."""
    held = garage(GARAGE.replace("tax: 25", "tax: 0"))
    cover = held.checks["look"].behind
    checks = {name: replace(one, behind=one.behind or cover) for name, one in held.checks.items()}
    return estimated(visit(replace(held, checks=checks), build="old"))


def test_where_all_is_behind_something_nothing_is_authorised_for_nothing(shut: Estimate) -> None:
    said = " ".join(words.ladder(shut))
    assert said.startswith("Nothing can be found out without opening up. Authorise ")
    assert " 0 EUR" not in said
    assert "checks that open nothing" not in said
    assert words.STAGE_WORDS["diagnosis"] not in [line.title for line in words.bill(shut)]


def test_without_tax_none_is_spoken_of(shut: Estimate) -> None:
    text = as_text(shut)
    assert words.terms(shut) == "Without tax, rounded up to 10 EUR."
    assert "ith tax" not in text
    assert "Tax" not in text
    assert "What the visit may come to:\n" in text


@pytest.mark.parametrize(
    ("option", "said"),
    [
        ("--amount=-5", "'-5' is no amount: give a number from 0, such as 640."),
        ("--amount=nan", "'nan' is no amount: give a number from 0, such as 640."),
        ("--amount=640,50", "'640,50' is no amount: give a number from 0, such as 640."),
        ("--slow=0", "'0' is no factor: give a number above 0, to 100, such as 1.3."),
        ("--slow=inf", "'inf' is no factor: give a number above 0, to 100, such as 1.3."),
    ],
)
def test_a_number_that_is_none_is_refused_with_a_sentence(
    option: str, said: str, capsys: pytest.CaptureFixture[str], library: str
) -> None:
    assert main(["estimate", "outer", "--library", library, option]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"argument {option.partition('=')[0]}: {said}" in err


def test_an_amount_finer_than_a_cent_is_not_rounded(found: Estimate) -> None:
    shown = {amount: words.plain(found, amount) for amount in (640.0, 640.5, 640.005, 0.001)}
    assert list(shown.values()) == ["640 EUR", "640.50 EUR", "640.005 EUR", "0.001 EUR"]


def test_an_amount_is_shown_as_it_was_given(found: Estimate, capsys: pytest.CaptureFixture[str], library: str) -> None:
    out = run(capsys, "outer", "--library", library, "--amount", "340.5")
    assert f"Within 340.50 EUR: {in_hundred(found.price.within(340.5))} such cars." in out
    assert out.count(words.INSIDE) == found.dots_within(340.5)


def test_without_a_shop_all_is_in_hours(capsys: pytest.CaptureFixture[str]) -> None:
    from tests.oracle.program import ROOT

    out = run(capsys, "dark-lamp", "--library", str(ROOT / "tests" / "foreign" / "small.yaml"))
    assert "The library has no shop: all figures are in hours." in out
    assert "Tax" not in out
    assert "the repair" not in out.partition("The library has no engine")[0]
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
