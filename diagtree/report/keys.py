"""Every key of a library's files with its meaning and what holds without it, made from the shapes that read them."""

import json
from collections.abc import Iterator
from typing import Any, NamedTuple

from diagtree.model.check import CHANCE_WORDS
from diagtree.report.lines import hang, join, wrap
from diagtree.source.common import CODE, DATE, HOURS, TAKES, WEIGHT, WHEN, amount
from diagtree.source.schema import schema
from diagtree.source.shapes import IDENTITY, Schema

_WIDEST = 18  # cells for the keys' names
_MARGIN = "  "
# Text of a certain form, by the pattern that the schema states.
_FORMS = {
    IDENTITY.schema()["pattern"]: "an id",
    DATE.schema()["pattern"]: "a date such as 2026-11-25",
    CODE.schema()["pattern"]: "a trouble code such as P0016",
}
# Forms that are explained once, above the tables.
_EXPLAINED: tuple[tuple[Schema, str], ...] = (
    (HOURS.schema(), "hours"),
    (WHEN.schema(), "a condition"),
    (TAKES.schema(), "parts with quantities"),
    (amount(WEIGHT, "a weight").schema(), "a weight, or one by feature"),
    ({"enum": list(CHANCE_WORDS)}, "a word of the scale"),
)


class _Table(NamedTuple):
    """A record and where it stands."""

    path: tuple[str, ...]
    record: Schema
    aside: str = ""  # when it has this form, or what may stand in its place


def tables(columns: int) -> str:
    """A table for each record of each kind, in lines of at most `columns` cells."""
    blocks = [block for kind, found in schema()["definitions"].items() for block in _kind(kind, found, columns)]
    return "\n".join("".join(f"{line}\n" for line in block) for block in blocks)


def _kind(kind: str, found: Schema, columns: int) -> Iterator[list[str]]:
    yield [kind.upper(), *wrap(found["description"], columns)]
    if list(found["properties"]) != [kind]:
        yield from _record(_Table((kind,), found), columns)
        return
    entries = found["properties"][kind]  # many of them, under the first key
    tables = list(_tables((kind,), entries))
    for table in tables:
        yield from _record(table, columns)
    if not tables:
        yield hang(f"{_MARGIN}{kind}", f"({_what(entries)})", _WIDEST, columns)


def _tables(path: tuple[str, ...], found: Schema, aside: str = "") -> Iterator[_Table]:
    """The records inside a value."""
    if found in [form for form, _ in _EXPLAINED]:
        return
    if "properties" in found:
        yield _Table(path, found, aside)
    options = found.get("anyOf", ())
    plain = [_what(option) for option in options if "properties" not in option]
    for option in options:
        needed = option.get("required", ("",))[0]
        yield from _tables(path, option, f"or {join(plain, 'or')}" if plain else f"with `{needed}`")
    for inner in (found.get("items"), found.get("additionalProperties")):
        if isinstance(inner, dict) and "properties" not in found:
            yield from _tables((*path, "each"), inner)


def _record(table: _Table, columns: int) -> Iterator[list[str]]:
    path, found = table.path, table.record
    title = f"{', '.join(path)} ({table.aside}):" if table.aside else f"{', '.join(path)}:"
    lines = wrap(title, columns)
    for name, key in found["properties"].items():
        lines += _row(name, key, name in found.get("required", ()), columns)
    others = found["additionalProperties"]
    if isinstance(others, dict):
        lines += hang(f"{_MARGIN}any other id", f"({_what(others)})", _WIDEST, columns)
    yield lines
    for name, key in found["properties"].items():
        for inner in _tables((*path, name), key):
            yield from _record(inner, columns)
    for where, answers in _forms(found):
        yield from _form((*path, "answers"), where, answers, columns)


def _row(name: str, key: Schema, needed: bool, columns: int) -> list[str]:
    without = f"; without it: {_yaml(key['default'])}" if "default" in key else ""
    text = f"{key.get('description', '')} ({_what(key)}{'; needed' if needed else without})"
    return hang(f"{_MARGIN}{name}", text, _WIDEST, columns)


def _yaml(value: Any) -> str:
    return value if isinstance(value, str) else json.dumps(value)


def _forms(found: Schema) -> Iterator[tuple[str, Schema]]:
    """The forms of a check's answers, each with the key on which it depends."""
    for rule in found.get("allOf", ()):
        if "if" in rule:
            stated = rule["if"].get("required")
            yield f"with `{stated[0]}`" if stated else "elsewhere", rule["then"]["properties"]["answers"]


def _form(path: tuple[str, ...], where: str, answers: Schema, columns: int) -> Iterator[list[str]]:
    tables = list(_tables(path, answers, where))
    for table in tables:
        yield from _record(table._replace(aside=where), columns)
    if not tables:
        yield [*wrap(f"{', '.join(path)} ({where}):", columns), *hang(_MARGIN, f"({_what(answers)})", 2, columns)]


def _what(found: Schema) -> str:
    """What may stand there, in words."""
    bare = {name: value for name, value in found.items() if name not in {"description", "default"}}
    explained = next((words for form, words in _EXPLAINED if form == bare), None)
    if explained:
        return explained
    if "anyOf" in bare:
        return _either(bare["anyOf"])
    if "enum" in bare:
        return join(map(str, bare["enum"]), "or")
    if bare["type"] == "array":
        return _list(bare)
    if bare["type"] == "object":
        return _mapping(bare)
    return _plain(bare)


def _either(options: list[Schema]) -> str:
    first, *others = options
    if [option.get("additionalProperties") for option in others] == [first]:
        return f"{_what(first)}, or such by id"
    return join(dict.fromkeys(_what(option) for option in options), "or")


def _list(found: Schema) -> str:
    item = _what(found["items"])
    if found.get("minItems") == found.get("maxItems") is not None:
        return f"a list of {found['minItems']}, each {item}"
    return f"a list, each {item}"


def _mapping(found: Schema) -> str:
    inner = found.get("additionalProperties")
    if "properties" in found:
        return "keys as below"
    names = found.get("propertyNames", {})
    head = f"under any of {join(names['enum'], 'and')}" if "enum" in names else "by id"
    if names.get("pattern") == CODE.schema()["pattern"]:
        head = "by trouble code"
    return f"{head}: {_what(inner)}" if isinstance(inner, dict) else "by id, as below"


def _plain(found: Schema) -> str:
    if found["type"] == "boolean":
        return "true or false"
    if found["type"] in ("number", "integer"):
        return f"a {'whole ' if found['type'] == 'integer' else ''}number{_range(found)}"
    return _FORMS.get(found.get("pattern", ""), "text")


def _range(found: Schema) -> str:
    if "exclusiveMinimum" in found:
        return f" above {found['exclusiveMinimum']:g}"
    least = f" from {found['minimum']:g}" if "minimum" in found else ""
    return f"{least} to {found['maximum']:g}" if "maximum" in found else least
