"""What each box and each line of a drawing says, as paragraphs: words only, no places."""

from collections.abc import Iterator

from diagtree.draw.cautions import named_by
from diagtree.draw.font import clean
from diagtree.draw.setting import Part, Sizes
from diagtree.draw.subject import Subject
from diagtree.graph.serving import builds
from diagtree.graph.trees import Link, answer_text, kind_of, says
from diagtree.model.check import Answer, Band, Check
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.tree import Node, Question

CANNOT_TELL = "cannot tell"
NOT_APPLICABLE = "cannot tell, or not on this build"
START = "START"
GO_ON = "Go on with"
MISSING = "Not written yet"
_SEPARATOR = " \N{MIDDLE DOT} "


def box_parts(subject: Subject, name: str, sizes: Sizes) -> tuple[Part, ...]:
    """The paragraphs of a node's box: its id and cautions small, what it says, its note."""
    node = subject.tree.nodes.get(name)
    if node is None:
        return (Part(name, "small", sizes.small), Part(MISSING, "outcome", sizes.outcome))
    head = _SEPARATOR.join([*([START] if name == subject.tree.start else []), name])
    return (
        Part(head, "small", sizes.small),
        *_sentences(subject.library, node, sizes),
        Part(node.note, "text", sizes.text, space=2.0),
        Part(_SEPARATOR.join(_marks(subject, node)), "small", sizes.small, bold=True, space=1.0),
    )


def _marks(subject: Subject, node: Node) -> tuple[str, ...]:
    """The names of a node's cautions, such as `Stop 1`, in the order of their numbers."""
    named = named_by(subject.library, node, subject.engines)
    found = {subject.marks[name].number: subject.marks[name].name for name in named if name in subject.marks}
    return tuple(found[number] for number in sorted(found))


def _sentences(library: Library, node: Node, sizes: Sizes) -> Iterator[Part]:
    said = says(library, node)
    kind = kind_of(node)
    if kind == "question":
        yield from (Part(text, "question", sizes.question) for text in said)
        return
    if kind == "onward":
        yield Part(GO_ON, "text", sizes.text)
    if len(said) > 1:
        yield Part("together:", "text", sizes.text)
    for position, text in enumerate(said):
        yield Part(text, "outcome", sizes.outcome, bold=True, space=2.0 if position else 0.0)


def spoken(parts: tuple[Part, ...]) -> str:
    """What a box says, without its small print, on one line: for those who hear it read."""
    return clean(" ".join(part.text for part in parts if part.role != "small"))


def line_words(subject: Subject, link: Link) -> str:
    """An answer's words, with its limits where it is a reading and its codes where it is one of codes."""
    words = answer_text(subject.library, subject.tree, link)
    node = subject.tree.nodes.get(link.source)
    check = subject.library.checks.get(node.check) if isinstance(node, Question) else None
    if not words:
        return NOT_APPLICABLE if check and _left_out(check, subject.engines) else CANNOT_TELL
    answer = check.answer(link.key) if check else None
    further = _further(check, answer, subject.engines) if check and answer else ""
    return f"{words} ({further})" if further else words


def _left_out(check: Check, engines: tuple[Engine, ...]) -> bool:
    return any(not check.when.admits(build.features) for engine in engines for build in builds(engine))


def _further(check: Check, answer: Answer, engines: tuple[Engine, ...]) -> str:
    if answer.groups:
        return " and ".join(" / ".join(group) for group in answer.groups)
    bands = {_band(check, answer, engine) for engine in engines} or {answer.band}
    if len(bands) > 1:
        return "limits differ by engine"
    band = bands.pop()
    return _band_words(band, check.gauge.unit if check.gauge else "") if band else ""


def _band(check: Check, answer: Answer, engine: Engine) -> Band | None:
    """An engine that moves a check's limits moves all of them."""
    moved = engine.limits.get(check.id)
    return moved.get(answer.id) if moved else answer.band


def _band_words(band: Band, unit: str) -> str:
    low, high = (None if limit is None else f"{limit:g}" for limit in (band.start, band.end))
    if low is None:
        return f"below {high} {unit}".strip() if high is not None else ""
    return f"{low} to below {high} {unit}".strip() if high is not None else f"{low} {unit} or more".replace("  ", " ")
