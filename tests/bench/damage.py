"""Ways to damage a YAML file, as a slip of the hand, a bad merge or a bad disk would."""

import re
from collections.abc import Callable
from random import Random

_WORD = re.compile(r"[\w-]+")
_KEY = re.compile(r"[\w-]+(?=:[ \n])")
_VALUE = re.compile(r"(?<=: )[^\s,{}\[\]][^\n,{}\[\]]*")
_NUMBER = re.compile(r"(?<![\w.-])-?\d+(?:\.\d+)?(?![\w.-])")
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")

VALUES = (
    "", "~", "null", "[]", "{}", "[[]]", "[{}]", "-1", "0", "1e308", ".nan", ".inf", "yes", "true", "''", '"', "'",
    "&a b", "*a", "!t x", "|", ">", "? x", "- x", "# x", "%", "@", "`", "é漢字", "\u202e", "\x1b[31m", "\x00", "\t",
    "x" * 5000, "{a: b}", "[a, b]", "P0016", "other", "default", "else", "2026-02-30", "1_000", "0x10", "5 kPa",
)  # fmt: skip
EXTREMES = (
    "0", "-0", "-1", "1e-300", "1e300", "1e15", "-1e15", "999999999", "0.0000001", "1e999", "-1e999", "00", "1.",
    "9" * 400, ".5", "1e-999", "100", "101", "2",
)  # fmt: skip


def damaged(content: bytes, random: Random) -> bytes:
    """The content with one damage done to it, now and then two or three."""
    for _ in range(random.choices([1, 2, 3], [8, 1, 1])[0]):
        content = random.choice(DAMAGES)(content, random)
    return content


def _on_text(change: Callable[[str, Random], str]) -> Callable[[bytes, Random], bytes]:
    def changed(content: bytes, random: Random) -> bytes:
        # Surrogates carry bytes that an earlier damage made of no use as text.
        return change(content.decode("utf-8", "surrogateescape"), random).encode("utf-8", "surrogateescape")

    return changed


def _byte(content: bytes, random: Random) -> bytes:
    at = random.randrange(len(content) + 1)
    new = bytes([random.choice([random.randrange(256), *b":-,[]{}'\"#&*!|>%@` \n\t"])])
    return content[:at] + random.choice([new, b""]) + content[at + random.randrange(2) :]


def _at(text: str, form: re.Pattern[str], random: Random) -> re.Match[str] | None:
    found = list(form.finditer(text))
    return random.choice(found) if found else None


def _key(text: str, random: Random) -> str:
    """Rename, misspell or empty a key."""
    found = _at(text, _KEY, random)
    if not found:
        return text
    old = found.group()
    others = [match.group() for match in _KEY.finditer(text)]
    new = random.choice([old[:-1], old + "s", old[::-1], old.upper(), random.choice(others), "", "~", "x y"])
    return text[: found.start()] + new + text[found.end() :]


def _value(text: str, random: Random) -> str:
    found = _at(text, _VALUE, random)
    return text[: found.start()] + random.choice(VALUES) + text[found.end() :] if found else text


def _number(text: str, random: Random) -> str:
    found = _at(text, _NUMBER, random)
    return text[: found.start()] + random.choice(EXTREMES) + text[found.end() :] if found else text


def _target(text: str, random: Random) -> str:
    """Name another id in an id's place."""
    found = _at(text, _ID, random)
    if not found:
        return text
    other = random.choice([match.group() for match in _ID.finditer(text)])
    return text[: found.start()] + other + text[found.end() :]


def _swap(text: str, random: Random) -> str:
    """Let two words change places."""
    words = list(_WORD.finditer(text))
    if len(words) < 2:
        return text
    first, second = sorted(random.sample(words, 2), key=lambda word: word.start())
    between = text[first.end() : second.start()]
    return text[: first.start()] + second.group() + between + first.group() + text[second.end() :]


def _lines(change: Callable[[list[str], int, Random], None]) -> Callable[[str, Random], str]:
    def changed(text: str, random: Random) -> str:
        lines = text.split("\n")
        change(lines, random.randrange(len(lines)), random)
        return "\n".join(lines)

    return changed


def _drop(lines: list[str], at: int, _random: Random) -> None:
    del lines[at]


def _double(lines: list[str], at: int, _random: Random) -> None:
    lines.insert(at, lines[at])


def _move(lines: list[str], at: int, random: Random) -> None:
    line = lines.pop(at)
    lines.insert(random.randrange(len(lines) + 1), line)


def _indent(lines: list[str], at: int, random: Random) -> None:
    """Shift a line, or a few, to the right or left."""
    by = random.choice([-4, -2, -1, 1, 2, 4])
    for each in range(at, min(len(lines), at + random.choice([1, 1, 3, 8]))):
        bare = lines[each].lstrip(" ")
        lines[each] = " " * max(0, len(lines[each]) - len(bare) + by) + bare


def _cut(lines: list[str], at: int, _random: Random) -> None:
    """As a disk that is full leaves it."""
    del lines[at:]


DAMAGES: tuple[Callable[[bytes, Random], bytes], ...] = (
    _byte,
    *(
        _on_text(change)
        for change in (
            _key,
            _value,
            _value,
            _number,
            _target,
            _target,
            _swap,
            _lines(_drop),
            _lines(_double),
            _lines(_move),
            _lines(_indent),
            _lines(_cut),
        )
    ),
)
