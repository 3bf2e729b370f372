"""Stored trouble codes in the form of SAE J2012 / ISO 15031-6: two bytes, shown as 'P0016'."""

import re
from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from diagtree.measure.trouble import Trouble, quote

LETTERS = "PCBU"  # power train, chassis, body, network: bits 15 and 14
_LONGEST = 10_000  # characters of a typed list; each code that exists fits several times over in a scan report
_CODE = re.compile(r"[PCBU][0-3][0-9A-F]{3}")
_THREE_BYTES = re.compile(r"([PCBU][0-3][0-9A-F]{3})[-:. ]?[0-9A-F]{2}")
_AMONG_WORDS = re.compile(r"(?<![^\W_])[PCBU][0-3][0-9A-F]{3}(?![^\W_])", re.IGNORECASE)
_BETWEEN = re.compile(r"[\s+,;]+")
_WORD = re.compile(r"(?<![^\W_])[^\W\d_]{2,}(?![^\W_])")  # letters alone, as no code has


def parse_code(text: str) -> str | Trouble:
    """One code, capital letters or small; it comes back in capitals."""
    code = text.strip().upper() if len(text) <= 2 * len("P0016-00") and text.isascii() else text
    if _CODE.fullmatch(code):
        return code
    if longer := _THREE_BYTES.fullmatch(code):
        return Trouble(f"{quote(text)} has a failure type behind the code. Type {longer[1]} alone.")
    return Trouble(f"{quote(text)} is no trouble code: {_fault_in(code)}")


def decode(raw: int) -> str:
    """The code of two bytes, 0 to 0xFFFF: bits 15-14 the letter, 13-12 the digit, then three hexadecimal digits.

    Raises:
        ValueError: out of range.
    """
    if not 0 <= raw <= 0xFFFF:
        message = f"a trouble code has two bytes, got {raw!r}"
        raise ValueError(message)
    return f"{LETTERS[raw >> 14]}{raw >> 12 & 3}{raw & 0xFFF:03X}"


def encode(code: str) -> int:
    """The two bytes of a code in capitals.

    Raises:
        ValueError: not the form that `parse_code` returns.
    """
    if not _CODE.fullmatch(code):
        message = f"no trouble code: {code!r}"
        raise ValueError(message)
    return LETTERS.index(code[0]) << 14 | int(code[1:], 16)


def parse_codes(text: str) -> tuple[str, ...] | Trouble:
    """'P0016+P0018', also with commas or spaces between: each code once, in the order typed. '' or '-' is none."""
    if len(text) > _LONGEST:
        return Trouble(f"{len(text)} characters are too many for a list of codes: {quote(text)}")
    words = [word for word in _BETWEEN.split(text) if word]
    if words == ["-"]:
        return ()
    codes: dict[str, None] = {}
    for word in words:
        code = parse_code(word)
        if isinstance(code, Trouble):
            return code
        codes[code] = None
    return tuple(codes)


def matching_answer(
    codes: AbstractSet[str],
    answers: Sequence[tuple[str, Sequence[Sequence[str]]]],
) -> str | None:
    """The first answer, in file order, whose every group has at least one stored code; no groups match anything."""
    for answer, groups in answers:
        if all(not codes.isdisjoint(group) for group in groups):
            return answer
    return None


def find_codes(text: str) -> tuple[str, ...]:
    """The codes among the other words of a pasted scan report, each once, in order.

    Of a code with a failure type ('P0016-00') the code is taken.
    """
    return tuple(dict.fromkeys(match[0].upper() for match in _AMONG_WORDS.finditer(text)))


def read_codes(text: str) -> tuple[str, ...] | Trouble:
    """Codes as typed, or the codes among other words: a line of a scan tool's report, or all of it.

    A list of nothing but codes is read by `parse_codes`, so that a slip in it is no code passed over. Words without any
    code are a trouble: they may say anything but that none is stored.
    """
    listed = parse_codes(text)
    if not isinstance(listed, Trouble) or not _WORD.search(text):
        return listed
    return scan_codes(text)


def scan_codes(text: str) -> tuple[str, ...] | Trouble:
    """The codes of a scan tool's report; a trouble where there are none."""
    found = find_codes(text)
    if found:
        return found
    return Trouble(
        f"No trouble code stands in {quote(text)}. Type the codes, such as P0016+P0018, or - if none is stored."
        if text.strip()
        else "There is no text. Type the codes, such as P0016+P0018, or - if none is stored."
    )


def _fault_in(code: str) -> str:
    """What to put right in text that is no code."""
    if not code.strip():
        return "nothing was typed. Type a code such as P0016, or - for none."
    if len(code) != len("P0016"):
        return "it needs five characters, such as P0016."
    if code[0] not in LETTERS:
        return "it must start with P, C, B or U."
    if code[1] not in "0123":
        return "its second character must be a digit from 0 to 3."
    return "its last three characters must be digits or letters from A to F."
