"""The kind `engine`: builds, work, parts, kits, geometry."""

from typing import Any

from diagtree.model.check import Band
from diagtree.model.engine import (
    CRANK,
    Build,
    Cam,
    Engine,
    Feature,
    Kit,
    Part,
    PartNumber,
    Sensor,
    Step,
    Tightening,
    Timing,
)
from diagtree.model.quantity import ALWAYS, NO_HOURS
from diagtree.source.common import CAUTIONS, HOURS, MONEY, NAME, TAKES, VALUE, WEIGHT, WHEN, lines, names
from diagtree.source.composer import shorten
from diagtree.source.nodes import Mapping, Node, key_place
from diagtree.source.shapes import (
    IDENTITY,
    TEXT,
    Bad,
    Choice,
    Desk,
    Key,
    ListOf,
    Made,
    MapOf,
    Number,
    Record,
    Schema,
    Whole,
)

_FEATURE = Record(
    "a feature",
    {
        "title": Key(TEXT, "What it is called.", needed=True),
        "values": Key(ListOf(VALUE, "a list of values", least=1), "Its values; absent: those that the builds have."),
        "tell": Key(TEXT, "How to see it without taking anything apart."),
    },
)


class _BuildShape:
    """A build: `share`, and a value for each feature."""

    wanted = "a build such as {share: 3, chain: roller}"

    def read(self, node: Node, desk: Desk) -> tuple[float, dict[str, str]] | Bad:
        """The share, and the features as text."""
        if not isinstance(node, Mapping):
            return desk.wrong(node, self.wanted)
        share, features = 1.0, {}
        for name, child in node.entries.items():
            if name == "share":
                found = WEIGHT.read(child, desk)
                share = share if isinstance(found, Bad) else found
            elif not IDENTITY.form.fullmatch(name):
                message = f"A feature's name must be {IDENTITY.wanted}."
                desk.report(key_place(desk.text, child), "bad-id", message)
            else:
                value = VALUE.read(child, desk)
                if not isinstance(value, Bad):
                    features[name] = value
        return share, features

    def schema(self) -> Schema:
        """A share, and any feature's value."""
        share = {**WEIGHT.schema(), "default": 1, "description": "How common the build is, any weight."}
        return {"type": "object", "properties": {"share": share}, "additionalProperties": VALUE.schema()}


_LIMIT = Record(
    "a band such as {from: 100} or {below: 100}",
    {
        "from": Key(Number(), "The band's lower end, inclusive."),
        "below": Key(Number(), "The band's upper end, exclusive."),
    },
)


def _band(values: dict[str, Any], _node: Node, _desk: Desk) -> Band:
    return Band(values.get("from"), values.get("below"))


_LIMITS = MapOf(
    MapOf(Made(_LIMIT, _band), "a band for each answer", key=NAME, least=1), "bands by check and answer", key=NAME
)

_CAM = Record(
    "a camshaft such as {bank: 1, span: 310}",
    {
        "bank": Key(Whole("the bank's number", 1), "The bank that it belongs to.", needed=True),
        "span": Key(
            Number("a length in mm", above=0), "Tight-side chain length from crank to this camshaft, mm.", needed=True
        ),
    },
)
_EDGES = ListOf(Number("crank degrees from 0 to 720", least=0, most=720), "a list of crank degrees", least=1)
_SENSOR = Record(
    "a trigger wheel such as {teeth: 60, missing: 2}",
    {
        "teeth": Key(Whole("a number of teeth", 1), "Teeth of the trigger wheel, missing ones counted.", needed=True),
        "missing": Key(Whole("a number of teeth", 0), "Teeth left out for the gap.", default=0),
        "edge": Key(
            Choice("leading", "rising", "falling"),
            "Of the crank: at which edge of its teeth the good pattern was taken; absent: not known.",
        ),
        "edges": Key(_EDGES, "Of a camshaft: where a good engine's edges stand, crank degrees behind the crank's gap."),
        "rises": Key(_EDGES, "The same, of rising edges alone."),
        "falls": Key(_EDGES, "The same, of falling edges alone."),
        "uncertainty": Key(
            Number("an expanded uncertainty (k = 2), a number", least=0),
            "Of these edges, expanded, k = 2, crank degrees.",
            default=0,
        ),
    },
)


_PATTERN = ("edges", "rises", "falls")


def _sensor(values: dict[str, Any], node: Node, desk: Desk) -> Sensor | Bad:
    teeth, missing = values.get("teeth", 1), values.get("missing", 0)
    if "teeth" in values and missing >= teeth:
        assert isinstance(node, Mapping)
        # A slip of the key is read too, and stands under its own name.
        place = node.entries.get("missing", node)
        return desk.out(place, f"{missing} missing of {teeth} teeth leave none. Write fewer.")
    for name in _PATTERN:
        if "teeth" in values and name in values and len(values[name]) != teeth - missing:
            assert isinstance(node, Mapping)
            place = node.entries.get(name, node)
            message = f"{len(values[name])} edges are written for {teeth - missing} teeth. Write one for each tooth."
            return desk.out(place, message)
    edges, rises, falls = (tuple(values.get(name, ())) for name in _PATTERN)
    return Sensor(teeth, missing, values.get("edge", ""), edges, rises, falls, values.get("uncertainty", 0.0))


_TIMING = Record(
    "a chain drive's geometry",
    {
        "pitch": Key(Number("the chain's pitch in mm", above=0), "The chain's pitch, mm.", needed=True),
        "crank-teeth": Key(Whole("a number of teeth", 3), "Teeth of the crank sprocket.", needed=True),
        "cam-teeth": Key(
            Whole("a number of teeth", 3), "Teeth of a cam sprocket: twice the crank sprocket's.", needed=True
        ),
        "links": Key(Whole("a number of links", 1), "Links of the primary chain."),
        "cams": Key(MapOf(_CAM, "camshafts by id", key=NAME, least=1), "The camshafts.", needed=True),
        "sensors": Key(
            MapOf(Made(_SENSOR, _sensor), "trigger wheels by camshaft, and `crank`", key=NAME),
            "Trigger wheels that sensors read, by camshaft, and `crank`.",
            default={},
        ),
    },
)


def _timing(values: dict[str, Any], node: Node, desk: Desk) -> Timing:
    sensors = values.get("sensors", {})
    _known_sensors(sensors, values.get("cams", {}), node, desk)
    cams = {name: Cam(name, cam.get("bank", 1), cam.get("span", 1.0)) for name, cam in values.get("cams", {}).items()}
    crank = values.get("crank-teeth", 20)
    teeth = values.get("cam-teeth", 2 * crank)
    return Timing(values.get("pitch", 1.0), crank, teeth, cams, values.get("links"), sensors)


def _known_sensors(sensors: dict[str, Sensor], cams: dict[str, Any], node: Node, desk: Desk) -> None:
    """Report a trigger wheel of no shaft."""
    for name in sensors:
        if name != CRANK and cams and name not in cams:
            assert isinstance(node, Mapping)
            wheels = node.entries.get("sensors", node)  # a slip of the key is read too
            place = wheels.entries.get(name, wheels) if isinstance(wheels, Mapping) else wheels
            message = f"'{shorten(name)}' is no camshaft of this drive. Write {CRANK}, or one of its `cams`."
            desk.report(key_place(desk.text, place), "unknown-key", message)


_TIGHTENING = Record(
    "a tightening such as {bolts: Front cover, steps: [10 N m]}",
    {
        "bolts": Key(TEXT, "Which bolts.", needed=True),
        "steps": Key(
            ListOf(TEXT, "a list of steps such as [40 N m, 90 deg]", least=1),
            "The steps in order; a turn in degrees, negative turns loosen.",
            needed=True,
        ),
    },
)


def _tightening(values: dict[str, Any], _node: Node, _desk: Desk) -> Tightening:
    return Tightening(values.get("bolts", ""), values.get("steps", ()))


_STEP = Record(
    "a work step",
    {
        "title": Key(TEXT, "What is done.", needed=True),
        "hours": Key(HOURS, "Hours, off and on again.", needed=True),
        "after": Key(names("work steps"), "Steps that give access: pulled in, and done first.", default=[]),
        "follows": Key(names("work steps"), "Order only: nothing is pulled in.", default=[]),
        "brings": Key(
            MapOf(TEXT, "steps with the reason", key=NAME), "Steps done along with it, with the reason.", default={}
        ),
        "takes": Key(TAKES, "Parts that it uses up.", default={}),
        "when": Key(WHEN, "The builds that have this step.", default={}),
        "offer": Key(TEXT, "Not part of a scope; offered with what it saves, for this reason."),
        "do": Key(lines("sentences"), "What the job sheet prints, in order.", default=[]),
        "tools": Key(lines("tools"), "Tools.", default=[]),
        "cautions": Key(CAUTIONS, "Cautions to show with it.", default=[]),
        "torque": Key(
            ListOf(Made(_TIGHTENING, _tightening), "a list of tightenings"), "Tightening, in order.", default=[]
        ),
        "source": Key(TEXT, "Where hours and values come from."),
    },
)


def _step(name: str, values: dict[str, Any]) -> Step:
    return Step(
        id=name,
        title=values.get("title", name),
        hours=values.get("hours", NO_HOURS),
        after=values.get("after", ()),
        follows=values.get("follows", ()),
        brings=values.get("brings", {}),
        takes=values.get("takes", ()),
        when=values.get("when", ALWAYS),
        offer=values.get("offer", ""),
        do=values.get("do", ()),
        tools=values.get("tools", ()),
        cautions=values.get("cautions", ()),
        torque=values.get("torque", ()),
        source=values.get("source", ""),
    )


_NUMBER = Record(
    "a number such as {number: BV-2240, price: 7.50}",
    {
        "number": Key(TEXT, "What to order.", needed=True),
        "price": Key(MONEY, "Price for one, or for one of the part's unit, before tax.", needed=True),
        "when": Key(WHEN, "The builds that it fits.", default={}),
    },
)


def _part_number(values: dict[str, Any], _node: Node, _desk: Desk) -> PartNumber:
    return PartNumber(values.get("number", ""), values.get("price", 0.0), values.get("when", ALWAYS))


_PART = Record(
    "a part",
    {
        "title": Key(TEXT, "What it is called.", needed=True),
        "single-use": Key(TEXT, "Why it is never fitted again."),
        "unit": Key(TEXT, "Taken in decimals of this unit, such as l, m or kg."),
        "deposit": Key(MONEY, "Returned with the old part; printed, not reckoned.", default=0),
        "numbers": Key(ListOf(Made(_NUMBER, _part_number), "a list of numbers"), "Numbers, by build.", default=[]),
    },
)


def _part(name: str, values: dict[str, Any]) -> Part:
    return Part(
        id=name,
        title=values.get("title", name),
        numbers=values.get("numbers", ()),
        single_use=values.get("single-use", ""),
        unit=values.get("unit", ""),
        deposit=values.get("deposit", 0.0),
    )


_KIT = Record(
    "a kit",
    {
        "number": Key(TEXT, "What to order.", needed=True),
        "title": Key(TEXT, "What it is called.", needed=True),
        "price": Key(MONEY, "Price of the kit, before tax.", needed=True),
        "when": Key(WHEN, "The builds that it fits.", default={}),
        "holds": Key(
            MapOf(Number("a quantity, a number", above=0), "parts and quantities", key=NAME, least=1),
            "The parts in it.",
            needed=True,
        ),
    },
)


def _kit(values: dict[str, Any], _node: Node, _desk: Desk) -> Kit:
    return Kit(
        values.get("number", ""),
        values.get("title", ""),
        values.get("price", 0.0),
        values.get("holds", {}),
        values.get("when", ALWAYS),
    )


ENGINE = Record(
    "an engine",
    {
        "engine": Key(IDENTITY, "The engine's id.", needed=True),
        "title": Key(TEXT, "What it is called.", needed=True),
        "features": Key(MapOf(_FEATURE, "features by id", key=NAME), "In what its builds differ.", default={}),
        "builds": Key(MapOf(_BuildShape(), "builds by id", key=NAME), "What was made.", default={}),
        "limits": Key(_LIMITS, "Bands of readings that this engine moves.", default={}),
        "timing": Key(Made(_TIMING, _timing), "The chain drive's geometry."),
        "work": Key(MapOf(_STEP, "work steps by id", key=NAME), "Every step of labour.", default={}),
        "parts": Key(MapOf(_PART, "parts by id", key=NAME), "Parts.", default={}),
        "kits": Key(ListOf(Made(_KIT, _kit), "a list of kits"), "Kits.", default=[]),
    },
)


def engine(values: dict[str, Any]) -> Engine:
    """The engine of a record."""
    builds = {name: Build(name, features, share) for name, (share, features) in values.get("builds", {}).items()}
    return Engine(
        id=values["engine"],
        title=values.get("title", values["engine"]),
        features={name: _feature(name, found, builds) for name, found in values.get("features", {}).items()},
        builds=builds,
        limits=values.get("limits", {}),
        timing=values.get("timing"),
        work={name: _step(name, found) for name, found in values.get("work", {}).items()},
        parts={name: _part(name, found) for name, found in values.get("parts", {}).items()},
        kits=values.get("kits", ()),
    )


def _feature(name: str, values: dict[str, Any], builds: dict[str, Build]) -> Feature:
    seen = dict.fromkeys(build.features[name] for build in builds.values() if name in build.features)
    return Feature(name, values.get("title", name), values.get("values", tuple(seen)), values.get("tell", ""))
