"""What must hold of costs and advice whatever the figures are: one library changed in a way that should not matter."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import yaml

from tests.oracle.libraries import random_library
from tests.oracle.program import Result, run_all, vetted

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tests.oracle.reading import Table

FOREIGN = Path(__file__).parent / "foreign"
SEEDS = (24, 39, 60, 90)  # at most four checks: an unneeded one more stays in reach of exact search
TRADES = ("pump", "boiler")
PATIENCE = ("--seconds", "60")  # the search ends by itself long before: no result hangs on how busy the machine is


def near(value: Any) -> Any:
    return pytest.approx(value, rel=1e-9, abs=1e-6)


# Libraries


@cache
def documents_of(seed: int) -> str:
    """Give a random library, made once."""
    return random_library(seed)


def changed(seed: int, change: Callable[[list[Table]], None]) -> str:
    """Give a random library after a change of its documents."""
    documents = list(yaml.safe_load_all(documents_of(seed)))
    change(documents)
    return yaml.safe_dump_all(documents, sort_keys=False, width=100)


def part(documents: Sequence[Table], kind: str) -> Table:
    """Give the document of a kind."""
    return next(one for one in documents if next(iter(one)) == kind)


def results(tmp_path: Path, texts: Sequence[str], command: Callable[[str], list[str]]) -> list[Result]:
    """Run one command on several library texts."""
    paths = []
    for place, text in enumerate(texts):
        path = tmp_path / f"library-{place}.yaml"
        path.write_text(text, encoding="utf-8")
        paths.append(str(path))
    return run_all([(command(path), "") for path in paths])


def vet_costs(tmp_path: Path, *texts: str) -> list[dict[str, dict[str, Any]]]:
    """Give the costs of the tree `trial` by build, for each text."""
    return [vetted(one)["trial"]["trial-engine"] for one in results(tmp_path, texts, _vet)]


def _vet(path: str) -> list[str]:
    return ["vet", path, *PATIENCE, "--json"]


def advised(tmp_path: Path, *texts: str, given: Sequence[str] = ()) -> list[Any]:
    """Give what `next` says for each text."""
    return [
        one.data()
        for one in results(
            tmp_path, texts, lambda path: ["--library", path, "next", "trial", *given, *PATIENCE, "--json"]
        )
    ]


# Changes


def add_useless(documents: list[Table]) -> None:
    """Ask first what tells nothing: the same row for every fault, and for a cause outside the tree."""
    part(documents, "checks")["checks"]["useless"] = {
        "ask": "What is the weather like?",
        "hours": 0.1,
        "answers": {"fair": "Fair", "wet": "Wet"},
        "given": {"default": {"fair": 50, "wet": 50}},
    }
    tree = part(documents, "tree")
    tree["nodes"]["idle"] = {"check": "useless", "then": dict.fromkeys(["fair", "wet"], tree["start"])}
    tree["start"] = "idle"


def ask_for_nothing(documents: list[Table]) -> None:
    for check in part(documents, "checks")["checks"].values():
        check["hours"] = 0
        check.pop("takes", None)


def weigh_more(documents: list[Table]) -> None:
    """Weights are rates: all of them threefold say the same."""
    tree = part(documents, "tree")

    def thrice(weight: Any) -> Any:
        return {key: thrice(one) for key, one in weight.items()} if isinstance(weight, dict) else 3 * weight

    tree["weights"] = thrice(tree["weights"])
    tree["other"] *= 3


def double_money(documents: list[Table]) -> None:
    """Another currency, of half the worth."""
    shop, engine = part(documents, "shop"), part(documents, "engine")
    shop["labour-rate"] *= 2
    shop["goodwill"] *= 2
    for fault in part(documents, "faults")["faults"].values():
        fault["if-missed"] *= 2
    for one in engine["parts"].values():
        for number in one["numbers"]:
            number["price"] *= 2


def twin_build(documents: list[Table]) -> None:
    """Write the first build as two, each of half its share."""
    builds = part(documents, "engine")["builds"]
    first = builds["b0"]
    builds["b0"] = {**first, "share": first["share"] / 2}
    builds["twin"] = {**first, "share": first["share"] / 2}


def relabelled(seed: int) -> str:
    """Rename faults and checks so that their order turns round, and write the entries in the opposite order."""

    def name(found: re.Match[str]) -> str:
        return f"{'problem' if found[1] == 'fault' else 'act'}-{9 - int(found[2])}"

    text = re.sub(r"\b(fault|look)-(\d)\b", name, documents_of(seed))
    documents = list(yaml.safe_load_all(re.sub(r"\bguard\b", "zeal", text)))
    for kind in ("checks", "faults"):
        body = part(documents, kind)
        body[kind] = dict(reversed(body[kind].items()))
    tree = part(documents, "tree")
    tree["weights"] = dict(reversed(tree["weights"].items()))
    return yaml.safe_dump_all(reversed(documents), sort_keys=False, width=100)


def old_name(name: str | None) -> str | None:
    """Give the first name of a check or fault that was renamed."""
    if name is None or name in {"gauge", "other"}:
        return name
    if name == "zeal":
        return "guard"
    kind, place = name.split("-")
    return f"{'fault' if kind == 'problem' else 'look'}-{9 - int(place)}"


# Laws


@pytest.mark.parametrize("name", [*TRADES, *SEEDS])
def test_no_tree_is_cheaper_than_the_best_order(tmp_path: Path, name: str | int) -> None:
    path = tmp_path / "one.yaml" if isinstance(name, int) else FOREIGN / name
    if isinstance(name, int):
        path.write_text(documents_of(name), encoding="utf-8")
    (result,) = run_all([(["vet", str(path), *PATIENCE, "--json"], "")])
    seen = 0
    for by_engine in vetted(result).values():
        for by_build in by_engine.values():
            for costs in by_build.values():
                seen += 1
                assert costs["bound"] <= costs["best_cost"] + 1e-6
                assert costs["walk_cost"] >= costs["best_cost"] - 1e-6
    assert seen


@pytest.mark.parametrize("seed", SEEDS)
def test_a_useless_check_changes_no_best_cost_and_makes_the_tree_dearer_by_its_price(tmp_path: Path, seed: int) -> None:
    rate = part(list(yaml.safe_load_all(documents_of(seed))), "shop")["labour-rate"]
    before, after = vet_costs(tmp_path, documents_of(seed), changed(seed, add_useless))
    for build, costs in before.items():
        assert after[build]["best_cost"] == near(costs["best_cost"])
        assert after[build]["walk_cost"] == near(costs["walk_cost"] + 0.1 * rate)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("build", ["b0", "b1"])
def test_a_useless_check_is_worth_nothing_and_never_advised(tmp_path: Path, seed: int, build: str) -> None:
    """In a known build: where it is open, any first move counts as if the build were known after it."""
    texts = documents_of(seed), changed(seed, add_useless)
    before, after = advised(tmp_path, *texts, given=["--build", build])
    (useless,) = [line for line in after["checks"] if line["check"] == "useless"]
    assert useless["worth"] == near(0)
    assert useless["information"] == near(0)
    assert flat(after["advice"]) == near(flat(before["advice"]))


@pytest.mark.parametrize("seed", SEEDS)
def test_new_names_in_another_order_change_nothing(tmp_path: Path, seed: int) -> None:
    before, after = vet_costs(tmp_path, documents_of(seed), relabelled(seed))
    assert set(before) == set(after)
    for build, costs in before.items():
        assert after[build] == near(costs)
    one, two = advised(tmp_path, documents_of(seed), relabelled(seed))
    looks = {line["check"]: line for line in one["checks"]}
    for line in two["checks"]:
        was = looks.pop(str(old_name(line["check"])))
        assert {key: line[key] for key in ("price", "worth", "information", "net")} == near(
            {key: was[key] for key in ("price", "worth", "information", "net")}
        )
        assert line["answers"] == near(was["answers"])
    assert not looks
    assert {old_name(line["fault"]): line["probability"] for line in two["belief"]} == near(
        {line["fault"]: line["probability"] for line in one["belief"]}
    )
    assert two["advice"]["cost"] == near(one["advice"]["cost"])


@pytest.mark.parametrize("seed", SEEDS)
def test_checks_for_nothing_cost_no_more(tmp_path: Path, seed: int) -> None:
    before, after = vet_costs(tmp_path, documents_of(seed), changed(seed, ask_for_nothing))
    for build, costs in before.items():
        assert after[build]["best_cost"] <= costs["best_cost"] + 1e-6
        assert after[build]["walk_cost"] <= costs["walk_cost"] + 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_weights_are_rates(tmp_path: Path, seed: int) -> None:
    before, after = vet_costs(tmp_path, documents_of(seed), changed(seed, weigh_more))
    for build, costs in before.items():
        assert after[build] == near(costs)


@pytest.mark.parametrize("seed", SEEDS)
def test_another_currency_changes_figures_and_no_decision(tmp_path: Path, seed: int) -> None:
    one, two = advised(tmp_path, documents_of(seed), changed(seed, double_money))
    assert two["stop"]["loss"] == near(2 * one["stop"]["loss"])
    assert two["stop"]["repair"] == one["stop"]["repair"]
    assert [line["check"] for line in two["checks"]] == [line["check"] for line in one["checks"]]
    assert [line["net"] for line in two["checks"]] == near([2 * line["net"] for line in one["checks"]])
    assert two["advice"]["check"] == one["advice"]["check"]
    assert two["advice"]["cost"] == near(2 * one["advice"]["cost"])


@pytest.mark.parametrize("seed", SEEDS)
def test_a_build_written_twice_changes_nothing_where_the_build_is_open(tmp_path: Path, seed: int) -> None:
    one, two = advised(tmp_path, documents_of(seed), changed(seed, twin_build))
    assert two["stop"]["loss"] == near(one["stop"]["loss"])
    assert two["stop"]["residual"] == near(one["stop"]["residual"])
    assert {line["check"]: line["net"] for line in two["checks"]} == near(
        {line["check"]: line["net"] for line in one["checks"]}
    )
    assert two["advice"]["cost"] == near(one["advice"]["cost"])


ANSWERED = [
    ("pump", "noisy-pump", ["noise-kind=rumble", "frame-oil=clear", "shaft-turn=rough", "alignment=0.12 mm"]),
    ("pump", "low-flow", ["strainer-drop=0.19 bar", "ring-clearance=wide", "soap-test=whole"]),
    ("boiler", "lockout", ["gas-ring=yes", "system-pressure=0.7 bar", "vessel-valve=nothing", "electrode-gap=4.6 mm"]),
]


@pytest.mark.parametrize(("name", "tree", "given"), ANSWERED)
def test_the_order_of_answers_changes_nothing(name: str, tree: str, given: list[str]) -> None:
    orders = [given, given[::-1], given[1:] + given[:1]]
    first, *others = [
        one.data()
        for one in run_all(
            [
                (
                    [
                        *["--library", str(FOREIGN / name), "next", tree, *PATIENCE, "--json"],
                        *(item for one in order for item in ("--answer", one)),
                    ],
                    "",
                )
                for order in orders
            ]
        )
    ]
    for other in others:
        assert flat(other) == near(flat(first))


def flat(value: Any, path: str = "") -> dict[str, float]:
    """Give every figure of an answer by its place; lists by the name of their entries."""
    if isinstance(value, dict):
        found: dict[str, float] = {}
        for key, one in value.items():
            found |= flat(one, f"{path}/{key}")
        return found
    if isinstance(value, list):
        found = {}
        for place, one in enumerate(value):
            name = (
                next((one[key] for key in ("fault", "check", "step") if key in one), place)
                if isinstance(one, dict)
                else place
            )
            found |= flat(one, f"{path}/{name}")
        return found
    return {path: float(value)} if isinstance(value, int | float) else {f"{path}={value}": 1.0}


@pytest.mark.parametrize("seed", SEEDS)
def test_features_that_leave_one_build_say_the_build(tmp_path: Path, seed: int) -> None:
    engine = part(list(yaml.safe_load_all(documents_of(seed))), "engine")
    features = {key: value for key, value in engine["builds"]["b1"].items() if key != "share"}
    given = [item for key, value in features.items() for item in ("--feature", f"{key}={value}")]
    (named,) = advised(tmp_path, documents_of(seed), given=["--build", "b1"])
    (told,) = advised(tmp_path, documents_of(seed), given=given)
    assert flat(told) == near(flat(named))
