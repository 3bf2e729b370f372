"""The JSON Schema of a library's files, made from the shapes that read them: the two can't drift apart.

Draft 7: the dialect that editors' YAML support reads in full.
"""

from typing import Any

from diagtree.source import checks, engines, trade, trees
from diagtree.source.reader import KINDS
from diagtree.source.shapes import Schema

DIALECT = "http://json-schema.org/draft-07/schema#"
FILE_NAME = "library.schema.json"

_SAYS = {
    "shop": "The workshop: rates, tax, what a come-back costs.",
    "cautions": "What can hurt somebody or something.",
    "codes": "Short definitions of trouble codes.",
    "checks": "Inspections and tests, each with one answer.",
    "faults": "What can be wrong, and the work that mends it.",
    "engine": "An engine family: builds, work, parts, kits.",
    "tree": "A fault tree: weights, and the questions in their order.",
}


def schema() -> Schema:
    """The schema of one YAML document: its first key says its kind."""
    definitions: dict[str, Any] = {
        "shop": trade.SHOP.schema(),
        "cautions": _many("cautions", trade.CAUTIONS_KIND.schema()),
        "codes": _many("codes", trade.CODES_KIND.schema()),
        "checks": _many("checks", checks.CHECKS_KIND.schema()),
        "faults": _many("faults", trade.FAULTS_KIND.schema()),
        "engine": engines.ENGINE.schema(),
        "tree": trees.TREE.schema(),
    }
    return {
        "$schema": DIALECT,
        "title": "A document of a diagtree library",
        "description": "Its first key says its kind: " + ", ".join(KINDS) + ".",
        "type": "object",
        "anyOf": [{"required": [kind]} for kind in KINDS],
        "allOf": [{"if": _is(kind), "then": {"$ref": f"#/definitions/{kind}"}} for kind in KINDS],
        # Named here once more, so that an editor offers the kinds in an empty file.
        "properties": {kind: {"description": _SAYS[kind]} for kind in KINDS},
        "definitions": {kind: {"description": _SAYS[kind], **found} for kind, found in definitions.items()},
    }


def _is(kind: str) -> Schema:
    # A tree has cautions of its own at its top.
    return {"required": [kind], "not": {"required": ["tree"]}} if kind == "cautions" else {"required": [kind]}


def _many(kind: str, entries: Schema) -> Schema:
    return {"type": "object", "properties": {kind: entries}, "required": [kind], "additionalProperties": False}
