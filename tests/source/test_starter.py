"""The library to start from: sound by every measure there is."""

import json
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from diagtree.rules.registry import problems, vetting
from diagtree.source.reader import KINDS, read
from diagtree.source.schema import FILE_NAME, schema
from diagtree.source.starter import EDITOR_LINE, library
from tests.oracle.reading import read_library
from tests.oracle.soundness import complaints

FILES = library()
YAML_FILES = sorted(name for name in FILES if name.endswith(".yaml"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in library("plain-engine").items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_it_vets_clean_with_any_engine_id(folder: Path) -> None:
    found = read(str(folder))
    assert found.problems == ()
    assert problems(found.library, vetting()) == ()
    assert list(found.library.engines) == ["plain-engine"]


def test_the_plain_reading_has_nothing_against_it(folder: Path) -> None:
    assert complaints(read_library(folder)) == []


def test_it_is_as_small_as_a_first_look_can_take(folder: Path) -> None:
    made = read(str(folder)).library
    engine = made.engines["plain-engine"]
    kinds = [check.kind for check in made.checks.values()]
    assert (len(made.checks), kinds.count("reading"), len(made.faults), len(made.cautions)) == (4, 1, 3, 1)
    assert (len(engine.builds), len(engine.features), len(engine.work)) == (2, 1, 5)
    assert [len(tree.nodes) for tree in made.trees.values()] == [8]
    assert any(number.when.terms for part in engine.parts.values() for number in part.numbers)


@pytest.mark.parametrize("name", YAML_FILES)
def test_each_file_begins_with_the_editors_line(name: str) -> None:
    assert FILES[name].split("\n", 1)[0] == EDITOR_LINE


@pytest.mark.parametrize("name", YAML_FILES)
def test_the_schema_beside_the_files_accepts_each(name: str) -> None:
    document = yaml.load(FILES[name], Loader=yaml.BaseLoader)  # noqa: S506 -- the plainest loader: text alone
    checked = json.loads(FILES[FILE_NAME])
    assert checked == schema()
    # The plainest loader leaves numbers as text: hold only the keys against the schema.
    wrong = [
        error
        for error in jsonschema.Draft7Validator(checked).iter_errors(document)
        if error.validator == "additionalProperties"
    ]
    assert wrong == []


@pytest.mark.parametrize("name", YAML_FILES)
def test_lines_fit_a_plain_editor(name: str) -> None:
    assert max(map(len, FILES[name].splitlines())) <= 110


def test_every_key_that_is_used_has_a_comment_right_above_it_somewhere() -> None:
    """The first key of a file is explained by the file's head."""
    known = set(keys(schema()["definitions"]))
    used, explained = set(), set(KINDS)
    for name in YAML_FILES:
        lines = FILES[name].splitlines()
        for above, line in pairwise(lines):
            found = set(re.findall(r"(?:^\s*(?:- )?|[{,]\s*)([a-z-]+):", line)) & known
            used |= found
            explained |= found if above.lstrip().startswith("#") else set()
    assert len(used) > 40
    assert used - explained == set()


def keys(found: Any) -> Iterator[str]:
    """Every key that a record of the schema has."""
    if isinstance(found, dict):
        yield from found.get("properties", ())
        for inner in found.values():
            yield from keys(inner)
    elif isinstance(found, list):
        for inner in found:
            yield from keys(inner)
