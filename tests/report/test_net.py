"""An exported net, read by two other programs and by networkx, against the belief of `next`."""

import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree as ET

import networkx as nx
import numpy as np
import pyagrum as gum
import pytest

from diagtree.cli import main
from diagtree.graph.serving import builds, suited
from diagtree.model.engine import Build
from diagtree.model.library import Library
from diagtree.model.quantity import Amount
from diagtree.model.tree import Tree
from diagtree.reason.belief import Belief, belief
from diagtree.reason.finding import Finding, plain
from diagtree.reason.net import BUILD, CAUSE, Variable, net
from diagtree.report.net import as_graphml, as_json, as_xmlbif
from diagtree.source.reader import read

HOSTILE = """\
checks:
  lamp:
    ask: 'Is "<the> & lamp" lit ]]>?'
    hours: 0.1
    slip: 0
    answers: {'on': Lit, 'off': Dark, half: Glows}
    given: {dry: {'on': 10, 'off': 20, half: 70}, wet: {'on': 90, 'off': 7, half: 3}}
  pump-noise:
    ask: Does the pump sing?
    hours: 0.2
    when: {pump: inside}
    answers: {sings: Yes, quiet: No}
    given: {dry: 20, wet: 70}
  plain:
    ask: Dry inside?
    hours: 0.1
    answers: {yes: Yes, no: No}
    given: {dry: 99, wet: 5}
---
faults:
  dry: {title: Dry, why: No oil., repair: [], verify: [Look.]}
  wet: {title: Wet, why: Leak., repair: [], verify: [Look.], when: {pump: inside}}
---
engine: small
title: Small
features: {pump: {title: Pump, values: [inside, outside], tell: Look.}}
builds:
  first: {share: 3, pump: inside}
  second: {share: 2, pump: outside}
  third: {share: 0, pump: outside}
---
tree: noise
title: Noise
weights: {dry: 3, wet: {pump: {inside: 5, outside: 1}}}
other: 1
start: lamp
nodes:
  lamp: {check: lamp, then: {'on': pump, 'off': plain, half: plain}}
  pump: {check: pump-noise, then: {sings: wet, quiet: plain}, else: plain}
  plain: {check: plain, then: {yes: dry, no: wet}}
  dry: {outcome: dry}
  wet: {outcome: [wet, dry]}
"""


class Small(NamedTuple):
    """The library above, its tree, its builds, and their net."""

    library: Library
    tree: Tree
    builds: tuple[Build, ...]
    net: tuple[Variable, ...]


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Small:
    path = tmp_path_factory.mktemp("net") / "small.yaml"
    path.write_text(HOSTILE)
    found = read(str(path))
    assert not found.problems
    library, tree = found.library, found.library.trees["noise"]
    made = builds(library.engines["small"])
    variables = net(library, tree, made)
    assert variables is not None
    return Small(library, tree, made, variables)


EVIDENCE: list[dict[str, str]] = [
    {},
    {"lamp": "half"},
    {"lamp": "on", "pump-noise": "sings"},
    {"lamp": "off", "pump-noise": "quiet", "plain": "no"},
]


def believed(small: Small, told: Mapping[str, str]) -> Belief:
    seen = [plain(small.library.checks[check], answer) for check, answer in told.items()]
    now = belief(small.library, small.tree, small.builds, seen)
    assert isinstance(now, Belief)
    return now


def read_by_pyagrum(path: Path, told: Mapping[str, str]) -> dict[str, dict[str, float]]:
    loaded = gum.loadBN(str(path))
    engine = gum.LazyPropagation(loaded)
    engine.setEvidence(dict(told))
    engine.makeInference()
    return {
        name: dict(zip(loaded.variable(name).labels(), engine.posterior(name).tolist(), strict=True))
        for name in (BUILD, CAUSE)
    }


def read_by_pgmpy(path: Path, told: Mapping[str, str]) -> dict[str, dict[str, float]]:
    pytest.importorskip("pgmpy", reason="pgmpy is not in the test extra: it brings more than all the rest together")
    from pgmpy.inference import VariableElimination
    from pgmpy.readwrite import XMLBIFReader

    model = XMLBIFReader(str(path)).get_model()
    found = {}
    for name in (BUILD, CAUSE):
        asked = VariableElimination(model).query([name], evidence=dict(told), show_progress=False)
        found[name] = dict(zip(asked.state_names[name], asked.values.tolist(), strict=True))
    return found


def read_by_hand(path: Path, told: Mapping[str, str]) -> dict[str, dict[str, float]]:
    """The sum over the whole joint distribution, by the elements of the file alone."""
    network = ET.parse(path).getroot()[0]  # noqa: S314  # our own file
    states = {
        str(one.findtext("NAME")): [str(state.text) for state in one.findall("OUTCOME")]
        for one in network.findall("VARIABLE")
    }
    joint = np.ones([len(names) for names in states.values()])
    order = list(states)
    for one in network.findall("DEFINITION"):
        names = [*(str(given.text) for given in one.findall("GIVEN")), str(one.findtext("FOR"))]
        table = np.array([float(cell) for cell in str(one.findtext("TABLE")).split()])
        table = table.reshape([len(states[name]) for name in names])
        joint = joint * np.einsum(
            table, [order.index(name) for name in names], sorted(order.index(name) for name in names)
        ).reshape([len(states[name]) if name in names else 1 for name in order])
    for check, answer in told.items():
        joint = np.take(joint, [states[check].index(answer)], axis=order.index(check))
    joint = joint / joint.sum()
    return {
        name: dict(
            zip(
                states[name],
                joint.sum(axis=tuple(at for at in range(len(order)) if at != order.index(name))).tolist(),
                strict=True,
            )
        )
        for name in (BUILD, CAUSE)
    }


READERS: list[Callable[[Path, Mapping[str, str]], dict[str, dict[str, float]]]] = [
    read_by_hand,
    read_by_pyagrum,
    read_by_pgmpy,
]


@pytest.mark.parametrize("told", EVIDENCE)
@pytest.mark.parametrize("reader", READERS)
@pytest.mark.filterwarnings("ignore")  # whatever the other programs deprecate
def test_another_program_comes_to_the_same_belief(
    reader: Callable[[Path, Mapping[str, str]], dict[str, dict[str, float]]],
    told: dict[str, str],
    small: Small,
    tmp_path: Path,
) -> None:
    path = tmp_path / "net.bifxml"
    path.write_text(as_xmlbif(small.library, small.tree, small.net), encoding="utf-8")
    posterior = reader(path, told)
    now = believed(small, told)
    assert posterior[BUILD] == pytest.approx(now.by_build, abs=1e-9)
    assert posterior[CAUSE] == pytest.approx(now.by_fault, abs=1e-9)


def test_a_reading_is_virtual_evidence_on_its_node() -> None:
    demo = read("trees").library
    engine = demo.engines["brennick-v8"]
    library = suited(demo, engine)
    tree = library.trees["rattle-on-cold-start"]
    check = next(library.checks[name] for name in tree.checks if library.checks[name].gauge)
    shares = tuple(float(at + 1) for at in range(len(check.answers)))
    seen = Finding(check.id, check.answers[0].id, tuple(one / sum(shares) for one in shares), ())
    now = belief(library, tree, builds(engine), [seen])
    assert isinstance(now, Belief)
    variables = net(library, tree, builds(engine))
    assert variables is not None
    of = {one.name: one.table for one in variables}
    weighed = np.einsum("b,bc,ca,a->c", of[BUILD], of[CAUSE], of[check.id], shares)
    assert dict(zip(now.causes, (weighed / weighed.sum()).tolist(), strict=True)) == pytest.approx(
        now.by_fault, abs=1e-9
    )


def test_graphml_is_read_again_with_the_same_nodes_and_arcs(small: Small) -> None:
    graph = nx.parse_graphml(as_graphml(small.library, small.tree, small.net))
    assert set(graph.nodes) == {one.name for one in small.net}
    assert set(graph.edges) == {(parent, one.name) for one in small.net for parent in one.parents}
    assert graph.nodes["lamp"]["description"] == small.library.checks["lamp"].ask


def test_json_holds_every_table_with_rows_of_sum_one(small: Small) -> None:
    data = json.loads(as_json(small.library, small.tree, small.net))
    many = {one["name"]: len(one["states"]) for one in data["variables"]}
    for one in data["variables"]:
        table = np.array(one["table"])
        assert table.shape == (*(many[parent] for parent in one["parents"]), many[one["name"]])
        assert table.sum(axis=-1) == pytest.approx(np.ones(table.shape[:-1]))


def test_without_any_weight_there_is_no_net(small: Small) -> None:
    nothing = replace(small.tree, weights={name: Amount(0.0) for name in small.tree.weights}, other=None)
    assert net(small.library, nothing, small.builds) is None


def test_the_command_writes_what_the_ending_says(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "net.json"
    command = ["export", "rattle-on-cold-start", "--engine", "brennick-v8", "--out", str(path), "--json"]
    assert main(command) == 0
    assert json.loads(capsys.readouterr().out)["nodes"] == len(json.loads(path.read_text())["variables"])


@pytest.mark.parametrize("name", ["net.txt", "net", "no-such-folder/net.xml"])
def test_a_file_that_can_t_be_written_so_is_refused(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = str(tmp_path / name)
    assert main(["export", "rattle-on-cold-start", "--engine", "brennick-v8", "--out", out]) == 2
    told = capsys.readouterr()
    assert not told.out
    assert told.err.count("\n") == 1
    assert not list(tmp_path.iterdir())
