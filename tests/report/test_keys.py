"""The tables of keys: complete, and narrow enough."""

from collections.abc import Iterator
from typing import Any

import pytest

from diagtree.report.keys import tables
from diagtree.report.lines import cells
from diagtree.source.schema import schema

TEXT = tables(72)


def described(found: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every key of the schema that an editor explains, however deep."""
    if isinstance(found, dict):
        properties = found.get("properties", {})
        yield from ((name, key) for name, key in properties.items() if "description" in key)
        for inner in found.values():
            yield from described(inner)
    elif isinstance(found, list):
        for inner in found:
            yield from described(inner)


KEYS = [(kind, *key) for kind, found in schema()["definitions"].items() for key in described(found)]


@pytest.mark.parametrize(("kind", "name", "key"), KEYS, ids=[f"{kind}-{name}" for kind, name, _ in KEYS])
def test_each_key_stands_in_its_kinds_table_with_what_the_schema_says(
    kind: str, name: str, key: dict[str, Any]
) -> None:
    table = " ".join(TEXT.split(f"{kind.upper()}\n", 1)[1].split())
    assert f" {name} {key['description']} (" in table


def test_the_answers_of_each_kind_of_check_stand_in_it() -> None:
    for title in ("each (with `reading`)", "(with `codes`)", "(with `offsets`)", "(elsewhere)"):
        assert f"checks, each, answers{',' if title.startswith('each') else ''} {title}:" in TEXT


def test_needed_keys_and_defaults_are_told_apart() -> None:
    joined = " ".join(TEXT.split())
    assert "The question. (text; needed)" in joined
    assert "Chance that an answer is misread or mistyped. (a number from 0 to 1; without it: 0.01)" in joined
    assert "What it is for. (text)" in joined


def test_no_line_is_wider_than_asked_for() -> None:
    assert max(map(cells, TEXT.splitlines())) <= 72
