"""What `diagtree help` says: the texts of `diagtree/topics`, with what is made from the code filled in."""

import json
from collections.abc import Mapping
from importlib.resources import files

from diagtree.model.library import NOTICE
from diagtree.report.lines import hang, wrap

COLUMNS = 72

# In the order in which they are best read.
TOPICS: Mapping[str, str] = {
    "start": "a first tree in half an hour, from nothing to a poster",
    "walk": "find the fault, check by check",
    "estimate": "hours and money before teardown, and what to authorise",
    "scope": "work, hours and parts",
    "sheets": "job sheet and estimate on paper",
    "timing": "the chain drive in figures, and what camshaft offsets say",
    "vet": "the mistakes of a library, and every rule",
    "drawing": "a tree for the wall, the bench or a page",
    "jobs": "walks that are kept: go on, find, close, take along on paper",
    "drill": "practise on a car with a hidden fault, alone or as a class",
    "learn": "what closed jobs say of the numbers; other programs",
    "files": "every kind and every key of a library's files",
    "safety": "cautions, and who decides",
}


def text(topic: str) -> str:
    """A topic in lines of at most 72 cells.

    Raises:
        KeyError: there is no such topic.
    """
    made = {"files": _files, "vet": _vet, "safety": _safety}
    stored = _stored(topic)
    return made[topic](stored) if topic in made else stored


def overview() -> str:
    """The list of topics."""
    rows = [line for name, says in TOPICS.items() for line in hang(f"  {name}", says, 12, COLUMNS)]
    lines = ["`diagtree help TOPIC` tells of:", "", *rows, "", "`diagtree COMMAND --help` tells a command's options."]
    return "\n".join([*lines, "", *wrap(NOTICE, COLUMNS)]) + "\n"


def as_json(topic: str | None, said: str) -> str:
    """`{topic, text}`; the list of topics has no topic, and their names beside it."""
    names = {"topics": list(TOPICS)} if topic is None else {}
    return json.dumps({"topic": topic, "text": said, **names}, indent=2) + "\n"


def _stored(topic: str) -> str:
    if topic not in TOPICS:
        raise KeyError(topic)
    return files("diagtree").joinpath("topics", f"{topic}.txt").read_text(encoding="utf-8")


def _files(stored: str) -> str:
    from diagtree.model.check import CHANCE_WORDS
    from diagtree.report.keys import tables
    from diagtree.source.reader import KINDS

    words = ", ".join(f"{word} {figure:g}" for word, figure in CHANCE_WORDS.items())
    kinds = "\n".join(wrap(f"key of a file says what it is: {', '.join(KINDS)}.", COLUMNS))
    filled = stored.format(kinds=kinds, words="\n".join(wrap(words, COLUMNS)))
    return f"{filled}\n{tables(COLUMNS)}"


def _vet(stored: str) -> str:
    from diagtree.rules.registry import ids, rule

    rows = []
    for found in filter(None, map(rule, ids())):
        finds = " ".join(found.manual.strip().partition("\n\n")[0].split())
        rows += hang(f"  {found.id}", f"{finds} ({found.severity})", 28, COLUMNS)
    return "\n".join([stored, *rows, ""])


def _safety(stored: str) -> str:
    return stored.format(notice="\n".join(wrap(NOTICE, COLUMNS)))
