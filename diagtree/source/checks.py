"""The kind `checks`: what is asked, its answers, and how often each is seen."""

from collections.abc import Mapping as AnyMapping
from typing import Any, cast

from diagtree.model.check import (
    CHANCE_WORDS,
    DEFAULT_SLIP,
    OFFSET_ANSWERS,
    Answer,
    Band,
    Check,
    CheckKind,
    Gauge,
)
from diagtree.model.problem import problem
from diagtree.model.quantity import ALWAYS, NO_HOURS
from diagtree.source.common import CAUTIONS, CODE, HOURS, NAME, TAKES, WHEN, lines, names
from diagtree.source.composer import shorten
from diagtree.source.nodes import Mapping, Node, Scalar, Sequence, key_place, value_place
from diagtree.source.shapes import (
    TEXT,
    Bad,
    ByType,
    Choice,
    Desk,
    Flag,
    Key,
    ListOf,
    Made,
    MapOf,
    Number,
    Record,
    Schema,
    Shape,
)

_UNCERTAINTY = Number("an expanded uncertainty (k = 2), a number", least=0)
_READING = Record(
    "a reading such as {unit: kPa, uncertainty: 10}",
    {
        "unit": Key(TEXT, "The unit of every number of this check.", needed=True),
        "uncertainty": Key(_UNCERTAINTY, "Expanded uncertainty, k = 2, in that unit.", default=0),
    },
)
_OFFSETS = Record(
    "{uncertainty: 2.0}",
    {
        "uncertainty": Key(
            Number("an expanded uncertainty (k = 2), a number", above=0),
            "Expanded uncertainty, k = 2, crank degrees.",
            needed=True,
        )
    },
)
_BAND_ANSWER = Record(
    "a band such as {below: 100, is: Below the limit}",
    {
        "from": Key(Number(), "The band's lower end, inclusive."),
        "below": Key(Number(), "The band's upper end, exclusive."),
        "is": Key(TEXT, "What it means, in words."),
    },
)
_PLAUSIBLE = Record(
    "a range such as {from: 0, to: 1000}",
    {
        "from": Key(Number(), "Below this the reading is asked again."),
        "to": Key(Number(), "Above this the reading is asked again."),
    },
)
_GROUPS = ListOf(ListOf(CODE, "a list of trouble codes", least=1), "a list of groups of codes, [] for any")

_CHOICES = MapOf(TEXT, "answers by id, each with its text", key=NAME, least=1)
_BANDS = MapOf(_BAND_ANSWER, "answers by id, each with its band", key=NAME, least=1)
_CODE_ANSWERS = MapOf(_GROUPS, "answers by id, each a list of groups of codes", key=NAME, least=1)
_PATTERNS = MapOf(TEXT, "offset patterns, each with its text", key=Choice(*OFFSET_ANSWERS), least=1)
_ANSWERS: AnyMapping[CheckKind, MapOf[Any]] = {
    "choice": _CHOICES,
    "reading": _BANDS,
    "codes": _CODE_ANSWERS,
    "offsets": _PATTERNS,
}


class _Later:
    """The answers: their form depends on the kind of check, known when the whole check has been read."""

    wanted = "answers"

    def read(self, node: Node, _desk: Desk) -> Node:
        """The node itself."""
        return node

    def schema(self) -> Schema:
        """A mapping; the check's own schema says of what."""
        return {"type": "object", "minProperties": 1}


_CHANCE = Number("per cent or a weight, a number, or a word such as expected", least=0)


class _Cell:
    """A number, or a word of the scale."""

    wanted = _CHANCE.wanted

    def read(self, node: Node, desk: Desk) -> float | str | Bad:
        """The number or the word."""
        if node.__class__ is Scalar and node.text in CHANCE_WORDS:
            return node.text
        return _CHANCE.read(node, desk)

    def schema(self) -> Schema:
        """Either."""
        return {"anyOf": [_CHANCE.schema(), {"enum": list(CHANCE_WORDS)}]}


_ROW = ByType[Any](
    "a row such as {low: 90, ok: 10}",
    text=_Cell(),
    entries=MapOf(_Cell(), "a row such as {low: 90, ok: 10}", key=NAME, least=1),
)

_CHECK = Record(
    "a check",
    {
        "ask": Key(TEXT, "The question.", needed=True),
        "how": Key(TEXT, "How it is done."),
        "tools": Key(lines("tools"), "Tools.", default=[]),
        "hours": Key(HOURS, "Hours that it takes.", needed=True),
        "behind": Key(names("work steps"), "Work steps that must be done first.", default=[]),
        "takes": Key(TAKES, "Parts that it uses up.", default={}),
        "cautions": Key(CAUTIONS, "Cautions to show with it.", default=[]),
        "when": Key(WHEN, "The builds that it applies to.", default={}),
        "reading": Key(_READING, "It is answered with a reading."),
        "codes": Key(Flag(), "It is answered with the stored trouble codes.", default=False),
        "offsets": Key(_OFFSETS, "It is answered with one offset for each camshaft."),
        "answers": Key(_Later(), "What it can show.", needed=True),
        "given": Key(
            MapOf(_ROW, "rows by fault", key=NAME), "How often each answer is seen when that fault is present."
        ),
        "never-after": Key(
            MapOf(names("answers", least=1), "answers by check", key=NAME),
            "Once one of these answers is known, this check is never done.",
            default={},
        ),
        "wait": Key(Number("hours, a number", least=0), "Hours that pass unpaid before the answer.", default=0),
        "needs": Key(Choice("cold", "hot"), "The engine must be cold, or hot."),
        "leaves": Key(Choice("cold", "hot"), "It leaves the engine cold, or hot."),
        "slip": Key(
            Number("a chance", least=0, most=1),
            "Chance that an answer is misread or mistyped.",
            default=DEFAULT_SLIP,
        ),
        "repeats": Key(Choice("independent"), "Repeated readings are independent of each other."),
        "plausible": Key(_PLAUSIBLE, "A reading outside this range is asked again."),
        "source": Key(TEXT, "Where its figures come from."),
    },
)


_SPECIAL = ("reading", "codes", "offsets")


def _kind(values: dict[str, Any], node: Node, desk: Desk) -> CheckKind:
    assert isinstance(node, Mapping)
    # One that could not be read counts too: its answers have the form of its kind.
    stated = [name for name in _SPECIAL if values.get(name) or (name in node.entries and name not in values)]
    if len(stated) > 1:
        message = f"A check is of one kind: keep one of {', '.join(stated)}."
        desk.report(key_place(desk.text, node.entries[stated[1]]), "wrong-type", message)
    return cast("CheckKind", stated[0]) if stated else "choice"


def _answer(kind: CheckKind, name: str, value: Any) -> Answer:
    if kind == "reading":
        return Answer(name, value.get("is", name), Band(value.get("from"), value.get("below")))
    if kind == "codes":
        return Answer(name, name.replace("-", " "), groups=value)
    return Answer(name, value)


def _unread(name: str) -> Answer:
    """An answer whose meaning could not be read, and was reported. It stays known by its id, and matches nothing."""
    return Answer(name, name.replace("-", " "), groups=((),))


def _partly(kind: CheckKind, value: Any, node: Node) -> bool:
    """Whether some group of codes could not be read: without it the answer would match more than was meant."""
    return kind == "codes" and isinstance(node, Sequence) and (len(value) < len(node.items) or not all(value))


def _read_answers(kind: CheckKind, node: Node | None, desk: Desk) -> tuple[Answer, ...]:
    found = _ANSWERS[kind].read(node, desk) if node is not None else {}
    if isinstance(found, Bad):
        return ()
    assert isinstance(node, Mapping) or not found
    answers = [
        _answer(kind, name, found[name]) if name in found and not _partly(kind, found[name], child) else _unread(name)
        for name, child in (node.entries.items() if isinstance(node, Mapping) else ())
        if name in found or _ANSWERS[kind].names(name)
    ]
    if kind == "offsets":  # asked in the contract's order, in whatever order they are written
        answers.sort(key=lambda answer: OFFSET_ANSWERS.index(answer.id))
    return tuple(answers)


def _resolved(values: dict[str, Any], node: Node, desk: Desk) -> dict[str, Any]:
    """The record with its answers and rows worked out."""
    assert isinstance(node, Mapping)
    kind = _kind(values, node, desk)
    answers = _read_answers(kind, values.get("answers"), desk)
    names = tuple(answer.id for answer in answers)
    rows: dict[str, tuple[float, ...]] = {}
    for name, row in (values.get("given") or {}).items():
        given = node.entries["given"]
        assert isinstance(given, Mapping)
        found = _row(row, names, given.entries[name], desk)
        if found is not None:
            rows[name] = found
    return {**values, "kind": kind, "answers": answers, "given": rows}


def _row(row: Any, answers: tuple[str, ...], node: Node, desk: Desk) -> tuple[float, ...] | None:
    if not answers:  # reported already
        return None
    if not isinstance(row, dict):
        return _one_number(row, answers, node, desk)
    assert isinstance(node, Mapping)
    if tuple(row) == answers and not any(cell.__class__ is str for cell in row.values()):
        return tuple(row.values())  # nearly every row: numbers, in the order of the answers
    for name, cell in node.entries.items():
        if name not in answers:
            message = f"The check has no answer '{shorten(name)}'. Its answers are {', '.join(answers)}."
            desk.report(key_place(desk.text, cell), "unknown-answer", message)
    if len({isinstance(cell, str) for cell in row.values()}) > 1:
        message = "This row mixes words and numbers. Write all words or all numbers."
        desk.report(key_place(desk.text, node), "mixed-row", message)
    absent = [name for name in answers if name not in node.entries]
    if absent:
        message = f"This row says nothing of {', '.join(absent)}: that counts as never seen. Write it, 0 if so."
        desk.problems.append(problem(key_place(desk.text, node), "short-row", message, severity="warning"))
    return tuple(_weight(row.get(name, 0.0)) for name in answers)


def _weight(cell: float | str) -> float:
    return CHANCE_WORDS[cell] if isinstance(cell, str) else cell


def _one_number(cell: float | str, answers: tuple[str, ...], node: Node, desk: Desk) -> tuple[float, ...] | None:
    place = value_place(desk.text, node)
    if len(answers) != 2:
        message = (
            f"One number is a row only where a check has two answers; this one has {len(answers)}. "
            "Write a number for each."
        )
        desk.report(place, "wrong-type", message)
        return None
    first = _weight(cell)
    if first > 100:
        desk.report(place, "out-of-range", "One number as a row is per cent of the first answer: write 0 to 100.")
        return None
    return first, 100.0 - first


class _CheckShape(Made[dict[str, Any]]):
    """A check, whose answers take the form of its kind."""

    def schema(self) -> Schema:
        """The record's, and for each kind the form of its answers."""
        stated: dict[CheckKind, Schema] = {kind: {"required": [kind]} for kind in _ANSWERS if kind != "choice"}
        stated["codes"] = {"required": ["codes"], "properties": {"codes": {"const": True}}}
        forms: list[Schema] = [
            {"if": when, "then": {"properties": {"answers": _ANSWERS[kind].schema()}}} for kind, when in stated.items()
        ]
        plain = {"not": {"anyOf": list(stated.values())}}
        forms.append({"if": plain, "then": {"properties": {"answers": _CHOICES.schema()}}})
        pairs: list[tuple[CheckKind, CheckKind]] = [("reading", "codes"), ("reading", "offsets"), ("codes", "offsets")]
        forms.extend({"not": {"allOf": [stated[one], stated[other]]}} for one, other in pairs)
        return {**super().schema(), "allOf": forms}


CHECK: Shape[dict[str, Any]] = _CheckShape(_CHECK, _resolved)
CHECKS_KIND = MapOf(CHECK, "checks by id", key=NAME)


def _gauge(values: dict[str, Any]) -> Gauge | None:
    reading = values.get("reading", {} if values["kind"] == "reading" else None)
    return Gauge(reading.get("unit", ""), reading.get("uncertainty", 0.0)) if reading is not None else None


def _plausible(values: dict[str, Any]) -> Band | None:
    found = values.get("plausible")
    return Band(found.get("from"), found.get("to")) if found is not None else None


def check(name: str, values: dict[str, Any]) -> Check:
    """The check of a record."""
    return Check(
        id=name,
        ask=values.get("ask", name),
        answers=values["answers"],
        hours=values.get("hours", NO_HOURS),
        kind=values["kind"],
        how=values.get("how", ""),
        tools=values.get("tools", ()),
        behind=values.get("behind", ()),
        takes=values.get("takes", ()),
        cautions=values.get("cautions", ()),
        when=values.get("when", ALWAYS),
        gauge=_gauge(values),
        offset_uncertainty=(values.get("offsets") or {}).get("uncertainty", 0.0),
        independent="repeats" in values,
        plausible=_plausible(values),
        given=values["given"],
        never_after=values.get("never-after", {}),
        wait=values.get("wait", 0.0),
        needs=values.get("needs"),
        leaves=values.get("leaves"),
        slip=values.get("slip", DEFAULT_SLIP),
        source=values.get("source", ""),
    )
