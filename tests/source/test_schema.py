"""The JSON Schema: it says of a file what the reader says, wherever a schema can see it."""

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from diagtree.source.schema import FILE_NAME, schema

ROOT = Path(__file__).parents[2]
VALIDATOR = jsonschema.Draft7Validator(schema())
LIBRARIES = [ROOT / "trees", ROOT / "tests" / "foreign"]
FILES = sorted(file for folder in LIBRARIES for file in folder.rglob("*.yaml"))


class Loader(yaml.SafeLoader):
    """YAML 1.2's core schema, as editors read it: no dates, no yes and no."""


Loader.yaml_implicit_resolvers = {}
for _tag, _form, _first in (
    ("bool", r"true|false", "tf"),
    ("null", r"~|null|", "~n"),
    ("int", r"[-+]?\d+", "-+0123456789"),
    ("float", r"[-+]?(?:\d+\.\d*|\.\d+|\d+(?=[eE]))(?:[eE][-+]?\d+)?", "-+.0123456789"),
):
    Loader.add_implicit_resolver(f"tag:yaml.org,2002:{_tag}", re.compile(f"^(?:{_form})$"), list(_first))


def as_json(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): as_json(child) for key, child in value.items()}
    return [as_json(child) for child in value] if isinstance(value, list) else value


def documents(text: str) -> list[Any]:
    return [as_json(document) for document in yaml.load_all(text, Loader=Loader)]  # a safe loader


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft7Validator.check_schema(schema())


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(ROOT)))
def test_an_independent_validator_accepts_every_file(file: Path) -> None:
    found = documents(file.read_text())
    assert found
    for document in found:
        VALIDATOR.validate(document)


SHOP = "shop: a\nname: A\ncurrency: EUR\nlabour-rate: 95\ntax: 20\ngoodwill: 600\n"
CHECK = "checks:\n  c:\n    ask: Q\n    hours: 0.1\n    answers: {y: Yes, n: No}\n"
TREE = "tree: t\ntitle: T\nweights: {f: 1}\nstart: n\nnodes: {n: {outcome: f}}\n"
MISTAKES = [
    "shops: a\n",
    "[a, b]\n",
    SHOP.replace("tax: 20\n", ""),
    SHOP + "colour: red\n",
    SHOP.replace("95", "dear"),
    SHOP.replace("95", "'95'"),
    SHOP.replace("95", "-1"),
    SHOP.replace("shop: a", "shop: A b"),
    SHOP.replace("name: A", "name:"),
    SHOP.replace("name: A", "name: ' '"),
    SHOP + "extras: [{title: Small parts, per-cent: 3, of: tax}]\n",
    "cautions: {a: {say: Hot., level: loud}}\n",
    "cautions: {a: [Hot.]}\n",
    "codes: {P4000: None}\n",
    CHECK.replace("0.1", "[1, 2]"),
    CHECK.replace("    ask: Q\n", ""),
    CHECK.replace("Yes", "{from: 1}"),
    CHECK + "    reading: {unit: kPa}\n",
    CHECK + "    codes: true\n",
    CHECK + "    offsets: {uncertainty: 2}\n",
    CHECK + "    slip: 2\n",
    CHECK + "    needs: warm\n",
    CHECK + "    given: {f: {y: often}}\n",
    CHECK + "    given: {f: {y: -1, n: 2}}\n",
    CHECK + "    never-after: {c: []}\n",
    "faults: {f: {title: F, why: W, repair: step, verify: [V]}}\n",
    "faults: {f: {title: F, repair: [], verify: [V]}}\n",
    "faults: {F: {title: F, why: W, repair: [], verify: [V]}}\n",
    "engine: e\ntitle: E\nwork: {a: {title: A}}\n",
    "engine: e\ntitle: E\nwork: {a: {title: A, hours: 1, after: b}}\n",
    "engine: e\ntitle: E\nwork: {a: {title: A, hours: 1, takes: {p: 0}}}\n",
    "engine: e\ntitle: E\nwork: {a: {title: A, hours: 1, takes: {p: {x: {1: 1}, y: {1: 1}}}}}\n",
    "engine: e\ntitle: E\nparts: {p: {title: P, numbers: [{number: X}]}}\n",
    "engine: e\ntitle: E\nkits: [{number: K, title: K, price: 1, holds: {}}]\n",
    "engine: e\ntitle: E\ntiming: {pitch: 0, crank-teeth: 22, cam-teeth: 44, cams: {a: {bank: 1, span: 3}}}\n",
    TREE.replace("start: n\n", ""),
    TREE.replace("outcome: f", "outcome: f, continue: t"),
    TREE.replace("{outcome: f}", "{note: x}"),
    TREE.replace("{f: 1}", "{f: -1}"),
    TREE + "date: 25.11.2026\n",
]


@pytest.mark.parametrize("text", MISTAKES)
def test_a_structural_mistake_is_rejected(text: str) -> None:
    assert not all(VALIDATOR.is_valid(document) for document in documents(text))


@pytest.mark.parametrize("text", [SHOP, CHECK, TREE])
def test_what_the_mistakes_are_made_from_is_accepted(text: str) -> None:
    assert all(VALIDATOR.is_valid(document) for document in documents(text))


def test_each_key_has_a_hover_text() -> None:
    bare = [
        f"{kind}.{name}"
        for kind, found in schema()["definitions"].items()
        for name, key in found.get("properties", {}).items()
        if kind in {"shop", "engine", "tree"} and not key.get("description")
    ]
    assert bare == []


def test_the_committed_schema_is_the_one_of_the_shapes() -> None:
    assert json.loads((ROOT / "trees" / FILE_NAME).read_text()) == schema()


def test_each_shipped_file_names_the_schema_in_its_first_line() -> None:
    shipped = sorted((ROOT / "trees").rglob("*.yaml"))
    assert shipped
    for file in shipped:
        first = file.read_text().split("\n", 1)[0]
        assert first == f"# yaml-language-server: $schema={FILE_NAME}", file.name
