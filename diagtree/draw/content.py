"""What each box and each line of a drawing says, as paragraphs: words only, no places."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagtree.draw.bills import labels
from diagtree.draw.cautions import marks_of
from diagtree.draw.font import clean
from diagtree.draw.setting import SIZES, Part
from diagtree.draw.subject import Subject
from diagtree.graph.serving import builds
from diagtree.graph.trees import Link, answer_text, kind_of, links, node_ids, says
from diagtree.model.check import Answer, Band, Check
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.tree import Node, Question

CANNOT_TELL = "cannot tell"
NOT_APPLICABLE = "cannot tell, or not on this build"
START = "START"
GO_ON = "Go on with"
MISSING = "Not written yet"
SEVERAL = "One or more of these; the work mends all:"
OTHERWISE = "whatever else is stored, or nothing"
_ENDINGS = ".?!:;"
_SEPARATOR = " \N{MIDDLE DOT} "
_FEW_SOURCES = 6  # more addresses than this and only their number is said
_MANY_NODES = 400  # from here on addresses have two letters and more


@dataclass(frozen=True, slots=True)
class Tag:
    """What a box says of its place in the drawing rather than in the tree."""

    address: str
    sources: tuple[str, ...] = ()  # addresses of the questions whose connectors name this box
    step: int = 0  # of the path that is inked, from 1
    share: str = ""  # how often a car ends here


def widest_tags(subject: Subject) -> Mapping[str, Tag]:
    """The longest that each node's tag can be, for room to be kept."""
    tree = subject.tree
    address = "WW99" if len(tree.nodes) > _MANY_NODES else "W99"
    sources: dict[str, set[str]] = {}
    for link in links(tree):
        sources.setdefault(link.target, set()).add(link.source)

    def tag(name: str) -> Tag:
        ends = kind_of(tree.nodes.get(name)) != "question"
        many = min(_FEW_SOURCES, len(sources.get(name, ())) - ends)  # an end has a line from one of them
        return Tag(address, (address,) * many, 99, "fewer than 5 in 100" if ends else "")

    return {name: tag(name) for name in node_ids(tree)}


def box_parts(subject: Subject, name: str, tag: Tag) -> tuple[Part, ...]:
    """The paragraphs of a node's box: its address as the connectors have it, what it says, its note, its work, its
    cautions.
    """
    node = subject.tree.nodes.get(name)
    head = [f"({tag.step})" if tag.step else "", tag.address, START if name == subject.tree.start else "", tag.share]
    first = Part(_SEPARATOR.join(filter(None, head)), "heading", SIZES.answer, bold=True)
    if node is None:
        missing = Part(name, "small", SIZES.small)
        return (first, Part(MISSING, "outcome", SIZES.outcome), missing, _sources(tag))
    return (
        first,
        *_sentences(subject.library, node),
        Part(node.note, "text", SIZES.text, space=1.0),
        *(Part(line, "small", SIZES.small, space=1.0) for line in subject.bills.get(name, ())),
        Part(marks_of(subject.named[name], subject.marks), "small", SIZES.small, bold=True, space=1.0),
        _sources(tag),
    )


def _sources(tag: Tag) -> Part:
    many = len(tag.sources)
    listed = ", ".join(tag.sources) if many <= _FEW_SOURCES else f"{many} places"
    return Part(f"from {listed}" if many else "", "small", SIZES.small, space=1.0)


def _sentences(library: Library, node: Node) -> Iterator[Part]:
    said = says(library, node)
    kind = kind_of(node)
    if kind == "question":
        yield from (Part(text, "question", SIZES.question) for text in said)
        return
    if kind == "onward":
        yield Part(GO_ON, "text", SIZES.text)
    if len(said) > 1:
        yield Part(SEVERAL, "text", SIZES.text)
    for position, text in enumerate(said):
        yield Part(text, "outcome", SIZES.outcome, bold=True, space=1.5 if position else 0.0)


def spoken(parts: tuple[Part, ...]) -> str:
    """What a box says, without address and small print, on one line: for those who hear it read."""
    said = [words for part in parts if part.role not in {"heading", "small"} and (words := clean(part.text))]
    return " ".join([*map(_ended, said[:-1]), *said[-1:]])


def _ended(text: str) -> str:
    return text if text[-1] in _ENDINGS else f"{text}."


def answer_parts(subject: Subject, link: Link) -> tuple[Part, ...]:
    """An answer's words, with its limits where it is a reading, and its codes below it where it is one of codes."""
    words = answer_text(subject.library, subject.tree, link)
    node = subject.tree.nodes.get(link.source)
    check = subject.library.checks.get(node.check) if isinstance(node, Question) else None
    if not words:
        left_out = check and _left_out(check, subject.engines)
        return (Part(NOT_APPLICABLE if left_out else CANNOT_TELL, "answer", SIZES.answer),)
    answer = check.answer(link.key) if check else None
    limits = _limits(check, answer, subject.engines) if check and answer else ""
    codes = _codes(answer) if check and answer and check.kind == "codes" else ""
    return (
        Part(f"{words} ({limits})" if limits else words, "answer", SIZES.answer),
        Part(codes, "small", SIZES.small),
    )


def _codes(answer: Answer) -> str:
    """The codes that an answer takes, as the walk has them."""
    groups = [_listed(group, "or") for group in answer.groups]
    taken = (f"({group})" if " or " in group and len(groups) > 1 else group for group in groups)
    return _listed(tuple(taken), "with") or OTHERWISE


def _listed(words: Sequence[str], last: str) -> str:
    return f"{', '.join(words[:-1])} {last} {words[-1]}" if len(words) > 1 else "".join(words)


def on_one_line(parts: Iterable[Part]) -> str:
    """An answer's words on one line."""
    return clean(" ".join(part.text for part in parts))


def _left_out(check: Check, engines: tuple[Engine, ...]) -> bool:
    return any(not check.when.admits(build.features) for engine in engines for build in builds(engine))


def _limits(check: Check, answer: Answer, engines: tuple[Engine, ...]) -> str:
    unit = check.gauge.unit if check.gauge else ""
    named: dict[str, list[str]] = {}
    for engine, label in zip(engines, labels(engines) if engines else (), strict=True):
        band = _band(check, answer, engine)
        if band:
            named.setdefault(_band_words(band, unit), []).append(label.rstrip(": "))
    if not engines and answer.band:
        return _band_words(answer.band, unit)
    if len(named) < 2 and sum(map(len, named.values())) == len(engines):
        return "".join(named)
    return "; ".join(f"{_listed(each, 'and')}: {words}" for words, each in named.items())


def _band(check: Check, answer: Answer, engine: Engine) -> Band | None:
    """An engine that moves a check's limits moves all of them."""
    moved = engine.limits.get(check.id)
    return moved.get(answer.id) if moved else answer.band


def _band_words(band: Band, unit: str) -> str:
    low, high = (None if limit is None else f"{limit:g}" for limit in (band.start, band.end))
    if low is None:
        return f"below {high} {unit}".strip() if high is not None else ""
    return f"{low} to below {high} {unit}".strip() if high is not None else f"{low} {unit} or more".replace("  ", " ")


def is_else(subject: Subject, link: Link) -> bool:
    """Whether a line is the way on where the answer can't be had, rather than an answer that is called so."""
    return not answer_text(subject.library, subject.tree, link)
