import json
from pathlib import Path

import pytest

from diagtree.cli import main

LIBRARY = """\
shop: shop
name: Shop
currency: EUR
labour-rate: 100
tax: 20
goodwill: 600
---
faults:
  chain-worn:
    title: Chain worn
    why: Wear.
    repair: [renew-chain]
    verify: [Listen.]
  pump-leaks:
    title: Inside pump leaks
    why: The seal is worn.
    repair: [renew-pump]
    verify: [Look.]
    when: {pump: inside}
---
engine: e
title: Engine
features:
  pump: {title: Pump, values: [inside, outside]}
builds:
  early: {share: 1, pump: outside}
  late: {share: 1, pump: inside}
work:
  cover-off: {title: Cover off, hours: 2.6}
  renew-chain: {title: Renew the chain, hours: 0.4, after: [cover-off], takes: {chain: 1}}
  renew-pump: {title: Renew the pump, hours: 0.5, after: [cover-off], when: {pump: inside}, offer: Behind it.}
parts:
  chain: {title: Chain, numbers: [{number: N-1, price: 84}]}
"""


@pytest.fixture
def library(tmp_path: Path) -> str:
    file = tmp_path / "library.yaml"
    file.write_text(LIBRARY, encoding="utf-8")
    return str(file)


def test_json_is_the_one_object_on_standard_output(library: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["scope", "chain-worn", "--library", library, "--build", "late", "--json"]) == 0
    streams = capsys.readouterr()
    data = json.loads(streams.out)
    assert (data["build"], data["hours"], data["buy_cost"], data["faults"]) == ("late", 3, 84, ["chain-worn"])
    assert [one["step"] for one in data["offers"]] == ["renew-pump"]
    assert streams.err == ""


def test_an_offer_of_some_builds_leaves_the_scope_settled(library: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["scope", "chain-worn", "--library", library, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["build"], data["hours"], data["open"]) == (None, 3, {})
    assert data["offers"][0]["when"] == {"pump": ["inside"]}


def test_people_read_text(library: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--library", library, "scope", "chain-worn", "pump-leaks"]) == 0
    text = capsys.readouterr().out
    assert "Repair scope: Chain worn and Inside pump leaks" in text
    assert "Build: late" in text  # the pump's fault leaves one


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["chain-wron"], "The library has no fault 'chain-wron'. The nearest is 'chain-worn'."),
        (["pump-leaks", "--build", "early"], "'pump-leaks' occurs only where pump: inside."),
        (["chain-worn", "--build", "erly"], "The nearest is 'early'."),
        (["chain-worn", "--engine", "f"], "The library has no engine 'f'."),
    ],
)
def test_what_does_not_fit_is_refused_with_a_sentence(
    words: list[str], sentence: str, library: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["scope", *words, "--library", library]) == 2
    streams = capsys.readouterr()
    assert streams.out == ""
    assert sentence in streams.err
