"""A walk as the bytes of a code, and back. See `code` for how they are written down.

    width      1 byte: how many bytes name a tree, an engine, a check, a feature here
    library    4 bytes of its digest
    tree       width bytes of its fingerprint
    engine     width bytes
    replies    each: a byte for its kind, then what it is about, then what was said

Fingerprints are the first bytes of the SHA-256 of an id; they are as long as it takes for no two to be alike.
"""

import hashlib
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace

from diagtree.graph.serving import engines
from diagtree.jobs import writing
from diagtree.jobs.code import Damaged, seal, unseal
from diagtree.jobs.digest import digest
from diagtree.jobs.record import Entry, Kind, Phase
from diagtree.jobs.replay import Ground, Replayed, replay
from diagtree.measure import codes
from diagtree.model.library import Library
from diagtree.walk.answers import Refused
from diagtree.walk.replies import Reply, Seen, Told
from diagtree.walk.session import Session

_LIBRARY = 4  # bytes of the digest
_WIDTHS = (2, 3, 4, 6)
# The kinds of reply, by the low four bits of their byte; then how what was said is written, in the high four.
_KINDS: tuple[Kind, ...] = ("answered", "revised", "cannot-tell", "seen", "turned")
_NOTHING, _NAMED, _TEXT, _CODES = range(4)
_AT_START = 0x80
_LONGEST = 255  # bytes of a reading or of offsets


@dataclass(frozen=True, slots=True)
class FromCode:
    """A walk that came out of a code."""

    replayed: Replayed
    changed: bool  # whether the library is another than the one under which it was written


def code_of(session: Session) -> str:
    """The code of a walk: tree, engine, what is known of it, and the answers. Notes and pictures are not in it."""
    case = session.case
    library = case.library
    names = [*library.trees, *library.checks, *case.engine.features, *(one.id for one in engines(library)), ""]
    width = next((width for width in _WIDTHS if _distinct(names, width)), _WIDTHS[-1])
    body = bytes([width]) + bytes.fromhex(digest(case))[:_LIBRARY]
    body += _print(case.tree.id, width) + _print(case.engine.id, width)
    told: list[tuple[Phase, Reply]] = [("start", reply) for reply in session.preset]
    told += [("walk", reply) for reply in session.replies]
    entries = [*writing.known(case), *(writing.entry(case, reply, phase) for phase, reply in _standing(session, told))]
    return seal(body + b"".join(_written(session, entry, width) for entry in entries if entry.kind in _KINDS))


def _standing(session: Session, told: Iterable[tuple[Phase, Reply]]) -> Iterator[tuple[Phase, Reply]]:
    """The replies that still say what is known: those that a later one took out need no room on paper."""
    known = session.known
    features = {reply.feature: reply for _, reply in told if isinstance(reply, Seen)}
    for phase, reply in told:
        match reply:
            case Told(finding):
                stands = finding.check in known.findings
            case Seen(feature, value):
                gone = bool(feature) and known.features.get(feature) != value
                stands = features[feature] is reply and not gone
            case _:
                stands = True
        if stands:
            yield phase, reply


def read_code(library: Library, text: str) -> FromCode | Damaged:
    """The walk of a code under this library."""
    body = unseal(text)
    if isinstance(body, Damaged):
        return body
    reader = _Reader(body)
    try:
        return _read(library, reader)
    except (IndexError, UnicodeDecodeError):
        return Damaged("The code is no job's.")


def _read(library: Library, reader: "_Reader") -> FromCode | Damaged:
    width = reader.take(1)[0]
    if width not in _WIDTHS:
        return Damaged("The code is no job's.")
    figure = reader.take(_LIBRARY)
    tree = _named(reader.take(width), library.trees)
    if tree is None:
        return Damaged("The code is of a tree that this library does not have. Name its library with --library.")
    engine = _named(reader.take(width), {one.id: one for one in engines(library)})
    if engine is None:
        return Damaged("The code is of an engine that this library does not have. Name its library with --library.")
    by_id = {one.id: one for one in engines(library)}
    ground = Ground(library, library.trees[tree], by_id[engine])
    found = replay(ground, _entries(ground, reader, width))
    if isinstance(found, Refused):
        return Damaged(found.sentence)
    return FromCode(found, bytes.fromhex(digest(found.session.case))[:_LIBRARY] != figure)


class _Reader:
    """Bytes, taken from the front."""

    def __init__(self, body: bytes) -> None:
        self._body = body
        self._at = 0

    @property
    def more(self) -> bool:
        """Whether there are any left."""
        return self._at < len(self._body)

    def take(self, many: int) -> bytes:
        """The next ones.

        Raises:
            IndexError: there are fewer.
        """
        found = self._body[self._at : self._at + many]
        if len(found) < many:
            raise IndexError
        self._at += many
        return found


def _print(name: str, width: int) -> bytes:
    return hashlib.sha256(name.encode()).digest()[:width]


def _distinct(names: Iterable[str], width: int) -> bool:
    listed = set(names)
    return len({_print(name, width) for name in listed}) == len(listed)


def _named(mark: bytes, names: Iterable[str]) -> str | None:
    """The name of this fingerprint; None where there is none, or more than one."""
    found = [name for name in names if _print(name, len(mark)) == mark]
    return found[0] if len(found) == 1 else None


def _written(session: Session, entry: Entry, width: int) -> bytes:
    """A reply in bytes."""
    manner, said = _said(session, entry)
    head = _KINDS.index(entry.kind) | manner << 4 | (_AT_START if entry.phase == "start" else 0)
    return bytes([head]) + _print(entry.subject, width) + said


def _said(session: Session, entry: Entry) -> tuple[int, bytes]:
    """How what was said is written, and what it is then. What a feature took out needs no word: replaying finds it."""
    if entry.kind in {"cannot-tell", "turned"}:
        return _NOTHING, b""
    among = _values(Ground(session.case.library, session.case.tree, session.case.engine), entry)
    if entry.value in among and _distinct(among, 1):
        return _NAMED, _print(entry.value, 1)
    found = codes.parse_codes(entry.value)
    if isinstance(found, tuple) and len(found) <= _LONGEST:
        return _CODES, bytes([len(found)]) + b"".join(codes.encode(code).to_bytes(2, "big") for code in found)
    text = entry.value.encode()[:_LONGEST]
    return _TEXT, bytes([len(text)]) + text


def _values(ground: Ground, entry: Entry) -> Collection[str]:
    """What may be said of an entry's subject by name."""
    if entry.kind == "seen":
        feature = ground.engine.features.get(entry.subject)
        return feature.values if feature else tuple(ground.engine.builds)
    check = ground.library.checks.get(entry.subject)
    return tuple(answer.id for answer in check.answers) if check else ()


def _entries(ground: Ground, reader: _Reader, width: int) -> Iterator[Entry]:
    """The replies of a code. What the library does not know keeps a stand-in, so that it is told of."""
    while reader.more:
        head = reader.take(1)[0]
        kind = _KINDS[head & 0x0F]
        phase: Phase = "start" if head & _AT_START else "walk"
        subject = _subject(ground, kind, reader.take(width))
        blank = Entry(kind, subject, phase=phase)
        yield replace(blank, value=_value(ground, blank, head >> 4 & 7, reader))


def _subject(ground: Ground, kind: Kind, mark: bytes) -> str:
    names: Collection[str] = ground.library.checks
    if kind == "seen":
        names = ("", *ground.engine.features)
    if kind == "turned":
        names = ground.library.trees
    found = _named(mark, names)
    return f"unknown-{mark.hex()}" if found is None else found


def _value(ground: Ground, entry: Entry, manner: int, reader: _Reader) -> str:
    if manner == _NAMED:
        mark = reader.take(1)
        return _named(mark, _values(ground, entry)) or f"unknown-{mark.hex()}"
    if manner == _CODES:
        many = reader.take(1)[0]
        return "+".join(codes.decode(int.from_bytes(reader.take(2), "big")) for _ in range(many)) or "-"
    return reader.take(reader.take(1)[0]).decode() if manner == _TEXT else ""
