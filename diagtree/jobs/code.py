"""A job as a code for paper: what a walk needs to go on at another bench, in characters that are hard to mix up.

A code names things by the beginnings of their fingerprints, so it is short and needs a library to be read. It is for
typing off a sheet: each group of six ends in a check character over GF(32), with a weight of its own for each place, so
that any one wrong character and any two that changed places are caught, and the group is told. The check of a group
takes its number in too, and whether it is the last, and the whole ends in a fingerprint of itself: groups that changed
places, or are missing, are caught as well.
"""

import hashlib
import re
import zlib
from dataclasses import dataclass

# No 0, 1, I and O: nothing looks like them.
ALPHABET = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
VERSION = 1
GROUP = 5  # characters of a group before its check character
_SUM = 2  # bytes of the fingerprint of the whole
_MOST = 4_000  # characters of a code that is read at all
_MOST_BYTES = 100_000  # of what a code unpacks to
_LAST = 0b10000  # turned in the number of the last group: a code that was cut off ends in no last group
_PACKED = 0x80  # in the first byte: the rest is deflated


@dataclass(frozen=True, slots=True)
class Damaged:
    """Why a code can't be read, in a sentence or two."""

    sentence: str


def _powers() -> list[int]:
    """The powers of a root of x^5 + x^2 + 1, which run through all 31 elements of GF(32) that are not 0."""
    found = [1]
    for _ in range(30):
        doubled = found[-1] << 1
        found.append(doubled ^ 0b100101 if doubled & 0b100000 else doubled)
    return found


_POWERS = _powers()
_LOGS = {value: at for at, value in enumerate(_POWERS)}


def _times(one: int, other: int) -> int:
    return _POWERS[(_LOGS[one] + _LOGS[other]) % 31] if one and other else 0


def _check(figures: list[int], number: int, *, last: bool) -> int:
    """The check figure of a group: the weighted sum of its figures and of the group's number, in GF(32)."""
    total = number % 32 ^ (_LAST if last else 0)
    for place, figure in enumerate(figures, start=1):
        total ^= _times(figure, _POWERS[place])
    return total


def seal(body: bytes) -> str:
    """Bytes as a code."""
    squeezed = _deflate(body)
    packed = len(squeezed) < len(body)
    head = bytes([VERSION | (_PACKED if packed else 0)])
    whole = head + (squeezed if packed else body)
    whole += hashlib.sha256(whole).digest()[:_SUM]
    figures = _figures(whole)
    groups = [figures[at : at + GROUP] for at in range(0, len(figures), GROUP)]
    return "-".join(
        "".join(ALPHABET[figure] for figure in (*group, _check(group, number, last=number == len(groups))))
        for number, group in enumerate(groups, start=1)
    )


def unseal(text: str) -> bytes | Damaged:
    """The bytes of a code; small letters are capitals, and blanks do as well as dashes."""
    pieces = [piece for piece in re.split(r"[\s-]+", text[: 2 * _MOST].upper()) if piece]
    plain = "".join(pieces)
    if not plain:
        return Damaged("No code was given.")
    if len(plain) > _MOST or len(text) > 2 * _MOST:
        return Damaged(f"{len(text)} characters are too many for a code.")
    uneven = [at for at, piece in enumerate(pieces[:-1], start=1) if len(piece) != GROUP + 1]
    if uneven and len(pieces) > 2:
        what = f"has {len(pieces[uneven[0] - 1])} characters, and not {GROUP + 1}"
        return Damaged(f"Group {uneven[0]} of the code, {_shown(pieces[uneven[0] - 1])}, {what}. Look at it again.")
    groups = [plain[at : at + GROUP + 1] for at in range(0, len(plain), GROUP + 1)]
    many = len(groups)
    wrong = [at for at, group in enumerate(groups, start=1) if not _holds(group, at, last=at == many)]
    if wrong:
        return _wrong(groups, wrong)
    figures = [ALPHABET.index(letter) for group in groups for letter in group[:-1]]
    whole = _bytes(figures)
    if len(whole) < 1 + _SUM or hashlib.sha256(whole[:-_SUM]).digest()[:_SUM] != whole[-_SUM:]:
        return Damaged("Each group of the code is right, but not the whole: a group is missing, or one too many.")
    return _opened(whole[:-_SUM])


def _opened(whole: bytes) -> bytes | Damaged:
    version, packed = whole[0] & ~_PACKED, whole[0] & _PACKED
    if version != VERSION:
        return Damaged(f"The code is of another diagtree (version {version}, this one reads {VERSION}).")
    return _inflate(whole[1:]) if packed else whole[1:]


def _holds(group: str, number: int, *, last: bool) -> bool:
    """Whether a group is as it was written."""
    if len(group) < 2 or any(letter not in ALPHABET for letter in group):
        return False
    figures = [ALPHABET.index(letter) for letter in group]
    return figures[-1] == _check(figures[:-1], number, last=last)


def _wrong(groups: list[str], wrong: list[int]) -> Damaged:
    """Which group is wrong. Where most are from one on, a character is missing or too many in that one."""
    first, shown = wrong[0], _shown(groups[wrong[0] - 1])
    strange = sorted({letter for letter in shown if letter not in ALPHABET})
    if strange:
        never = f"Codes have no '{strange[0]}'."
        return Damaged(f"Group {first} of the code, {shown}, is not right. {never} Look at it again.")
    if wrong == [len(groups)] and _holds(groups[-1], first, last=False):
        return Damaged(f"Group {first} of the code, {shown}, is not right, or the code goes on behind it. Look again.")
    if len(wrong) > max(2, (len(groups) + 1 - first) // 2):
        shifted = "A character is missing or too many there, or groups stand in another order."
        return Damaged(f"The code is not right from group {first} on, {shown}. {shifted}")
    others = f" So are the groups {', '.join(map(str, wrong[1:]))}." if len(wrong) > 1 else ""
    return Damaged(f"Group {first} of the code, {shown}, is not right. Look at it again.{others}")


def _shown(group: str) -> str:
    """A group as typed, short, without what a terminal would obey."""
    return "".join(letter if letter.isprintable() and letter.isascii() else "." for letter in group[:12])


def _figures(data: bytes) -> list[int]:
    """Bytes as figures of five bits, the last filled up with zeros."""
    bits = int.from_bytes(data, "big") << (-8 * len(data) % 5)
    many = -(-8 * len(data) // 5)
    return [bits >> 5 * (many - 1 - at) & 31 for at in range(many)]


def _bytes(figures: list[int]) -> bytes:
    bits = 0
    for figure in figures:
        bits = bits << 5 | figure
    many = 5 * len(figures) // 8
    return (bits >> 5 * len(figures) - 8 * many).to_bytes(many, "big")


def _deflate(body: bytes) -> bytes:
    squeezer = zlib.compressobj(9, zlib.DEFLATED, -15)
    return squeezer.compress(body) + squeezer.flush()


def _inflate(body: bytes) -> bytes | Damaged:
    opener = zlib.decompressobj(-15)
    try:
        found = opener.decompress(body, _MOST_BYTES)
    except zlib.error:
        return Damaged("The code can't be unpacked.")
    return found if opener.eof else Damaged("The code holds more than a job can.")
