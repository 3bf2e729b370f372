"""The kinds `shop`, `cautions`, `codes` and `faults`."""

from typing import Any

from diagtree.model.fault import Caution, Fault
from diagtree.model.library import Extra, Shop
from diagtree.model.quantity import ALWAYS
from diagtree.source.common import CAUTIONS, CODE, MONEY, NAME, WHEN, lines, names
from diagtree.source.nodes import Node
from diagtree.source.shapes import IDENTITY, TEXT, ByType, Choice, Desk, Key, ListOf, Made, MapOf, Number, Record

_PER_CENT = Number("per cent, a number", least=0, most=1000)

_EXTRA = Record(
    "a charge such as {title: Small parts, per-cent: 3, of: labour}",
    {
        "title": Key(TEXT, "What the customer reads.", needed=True),
        "per-cent": Key(_PER_CENT, "Per cent of what `of` names.", needed=True),
        "of": Key(Choice("labour", "parts", "both"), "What it is a share of: labour, parts or both.", needed=True),
        "max": Key(MONEY, "Never more than this."),
    },
)


def _extra(values: dict[str, Any], _node: Node, _desk: Desk) -> Extra:
    return Extra(values.get("title", ""), values.get("per-cent", 0.0), values.get("of", "labour"), values.get("max"))


SHOP = Record(
    "a shop",
    {
        "shop": Key(IDENTITY, "The shop's id.", needed=True),
        "name": Key(TEXT, "The workshop's name, as customers read it.", needed=True),
        "currency": Key(TEXT, "The currency of every price in the library, such as EUR.", needed=True),
        "labour-rate": Key(MONEY, "Money for one hour of labour, before tax.", needed=True),
        "tax": Key(_PER_CENT, "Per cent, added only on what a customer reads.", needed=True),
        "extras": Key(ListOf(Made(_EXTRA, _extra), "a list of charges"), "Charges that a customer reads.", default=[]),
        "round-to": Key(MONEY, "A customer's figures are rounded up to a multiple of this.", default=0),
        "units": Key(lines("units"), "The units in which readings and torques are shown to people.", default=[]),
        "goodwill": Key(MONEY, "What a come-back costs beyond doing the work again.", needed=True),
    },
)


def shop(values: dict[str, Any]) -> Shop:
    """The shop of a record."""
    return Shop(
        id=values["shop"],
        name=values.get("name", ""),
        currency=values.get("currency", ""),
        labour_rate=values.get("labour-rate", 1.0),
        tax=values.get("tax", 0.0),
        goodwill=values.get("goodwill", 0.0),
        extras=values.get("extras", ()),
        round_to=values.get("round-to", 0.0),
        units=values.get("units", ()),
    )


_CAUTION = Record(
    "a caution",
    {
        "say": Key(TEXT, "The sentence that people read.", needed=True),
        "level": Key(
            Choice("stop", "warn", "note"), "stop is shown first and acknowledged; warn; note.", default="warn"
        ),
        "when": Key(WHEN, "The builds that it is meant for.", default={}),
    },
)


def _said(say: str, _node: Node, _desk: Desk) -> dict[str, Any]:
    return {"say": say}


_CAUTION_ENTRY = ByType[dict[str, Any]](
    "a sentence, or {say: ..., level: stop}", text=Made(TEXT, _said), entries=_CAUTION
)
CAUTIONS_KIND = MapOf(_CAUTION_ENTRY, "cautions by id", key=NAME)


def caution(name: str, values: dict[str, Any]) -> Caution:
    """The caution of a record."""
    return Caution(name, values.get("say", ""), values.get("level", "warn"), values.get("when", ALWAYS))


CODES_KIND = MapOf(TEXT, "short definitions by trouble code", key=CODE)

FAULT = Record(
    "a fault",
    {
        "title": Key(TEXT, "What it is called.", needed=True),
        "why": Key(TEXT, "How it comes about.", needed=True),
        "repair": Key(names("work steps"), "The work steps that mend it; [] where no work is needed.", needed=True),
        "when": Key(WHEN, "The builds in which this fault can exist.", default={}),
        "verify": Key(lines("sentences"), "How to see that it is mended.", needed=True),
        "cautions": Key(CAUTIONS, "Cautions to show with it.", default=[]),
        "kind-of": Key(NAME, "Shares that kind's rows in `given`."),
        "if-missed": Key(MONEY, "Money that leaving it destroys, beyond the come-back.", default=0),
    },
)
FAULTS_KIND = MapOf(FAULT, "faults by id", key=NAME)


def fault(name: str, values: dict[str, Any]) -> Fault:
    """The fault of a record."""
    return Fault(
        id=name,
        title=values.get("title", name),
        why=values.get("why", ""),
        repair=values.get("repair", ()),
        verify=values.get("verify", ()),
        when=values.get("when", ALWAYS),
        cautions=values.get("cautions", ()),
        kind_of=values.get("kind-of", ""),
        if_missed=values.get("if-missed", 0.0),
    )
