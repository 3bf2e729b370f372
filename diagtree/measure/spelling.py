"""How people spell units: 'Nm', 'lb ft', 'in-lbs', 'KPA', 'deg C' brought to one spelling, without the unit library.

Common practice, no source, where a spelling could mean two things: `lb` and `kg` beside a length are forces
(`lb ft`, `kg/cm2`), `nm` is a torque, `C` and `F` are temperatures, `psig` and `barg` are what a gauge shows.
A spelling that stays unsafe is in `UNSAFE` with the reason.
"""

import re
import unicodedata

Factors = tuple[tuple[str, int], ...]  # unit names with their exponents, in the order in which they are written

LONGEST = 40  # characters; no unit of the trade is longer
_LENGTHS = frozenset({"m", "cm", "mm", "in", "ft"})
_FORCES = frozenset({"N", "kN", "daN", "lbf", "kgf", "ozf"})
_AS_FORCE = {"lb": "lbf", "kg": "kgf", "oz": "ozf"}

# Before anything else: signs that only look like others.
_SIGNS = str.maketrans(
    {"º": "°", "˚": "°", "″": '"', "”": '"', "“": '"', "−": "-", "–": "-", "‑": "-", "∙": "·", "•": "·", "×": "·"},  # noqa: RUF001 - meant
)

# As typed, capitals and all: milli and mega differ by them.
_EXACT = {"mv": "mV", "ma": "mA", "mΩ": "mohm", "MΩ": "Mohm", "MPa": "MPa", "mPa": "mPa", "mbar": "mbar"}

# Written together and in small letters, so that 'N·m', 'Nm', 'N m' and 'NM' are one key.
_FOLDED = {
    key: unit
    for unit, keys in {
        "psi": "psi psig",
        "bar": "bar bars barg",
        "mbar": "mbar millibar",
        "Pa": "pa",
        "hPa": "hpa",
        "kPa": "kpa",
        "inHg": "inhg inchhg",
        "mmHg": "mmhg",
        "inH2O": "inh2o",
        "cmH2O": "cmh2o",
        "N m": "nm mn newtonmetre newtonmetres newtonmeter newtonmeters",
        "N cm": "ncm",
        "daN m": "danm",
        "kN m": "knm",
        "lbf ft": "lbft lbsft lbfft ftlb ftlbs ftlbf footpound footpounds poundfoot poundfeet",
        "lbf in": "lbin lbsin lbfin inlb inlbs inlbf inchpound inchpounds poundinch poundinches",
        "ozf in": "ozin ozfin inoz inozf",
        "kgf m": "kgfm kgm mkg mkgf",
        "kgf cm": "kgfcm kgcm cmkg cmkgf",
        "m": "metre metres meter meters",
        "mm": "mm millimetre millimetres millimeter millimeters",
        "cm": "cm centimetre centimetres centimeter centimeters",
        "um": "um μm micron microns",
        "in": 'in inch inches "',
        "ft": "ft foot feet",
        "°C": "°c c degc degreec degreesc celsius centigrade",
        "°F": "°f f degf degreef degreesf fahrenheit",
        "K": "k kelvin",
        "%": "% percent pct",
        "rpm": "rpm 1/min /min min1 r/min u/min rev/min revs/min",
        "V": "v volt volts",
        "kV": "kv",
        "A": "a amp amps ampere amperes",
        "ohm": "ohm ohms ω",
        "kohm": "kohm kohms kω",
        "deg": "deg degs degree degrees °",
        "l": "l litre litres liter liters",
        "ml": "ml millilitre millilitres milliliter milliliters",
        "s": "s sec secs second seconds",
        "ms": "ms",
        "min": "min mins minute minutes",
        "h": "h hr hrs hour hours",
        "lb": "lb lbs pound pounds",
        "kg": "kg kgs",
        "lbf": "lbf",
        "kgf": "kgf kp",
    }.items()
    for key in keys.split()
}

_IN_TWO_WORDS = frozenset({"inHg", "mmHg", "inH2O", "cmH2O", "°C", "°F", "rpm"})

UNSAFE = {
    key: reason
    for keys, reason in (
        ("mpa Mpa MPA", "could be MPa or a thousand-millionth of it"),
        ("MV Mv", "is a million volts as written"),
        ("MA Ma", "is a million amperes as written"),
        ("psia bara", "counts from vacuum, a gauge from the air around it"),
        ("gal gals gallon gallons qt qts quart quarts pt pts pint pints floz", "differs between countries"),
        ("grad grade gon", "is not the same angle everywhere"),
        # Old survey and printing measures in the unit library, plain words in a workshop.
        ("chain chains link links rod rods pole poles hand hands point points count counts", "is no unit here"),
    )
    for key in keys.split()
}

_GLUE = re.compile(r"[\s·⋅*.\-]+")
_FACTOR = re.compile(
    r"(?P<over>/)?\s*(?P<name>%|°[CF]?|\"|[^\W\d_]+)"
    r"(?:\s*(?:\^|\*\*)?(?P<power>-?[1-9])(?![0-9]))?"
    r"\s*[·⋅*.\-]?\s*",
)


def spell(text: str) -> str:
    """The one spelling of a unit: 'N m', 'lbf ft', 'kPa', '°C'. Other text comes back with its spaces folded."""
    parts = split(text)
    return " ".join(text.split()) if parts is None else render(parts)


def split(text: str) -> Factors | None:
    """The factors of a unit in their one spelling, `None` where the text has not the form of a unit."""
    text = text.strip()
    if not text or len(text) > LONGEST:
        return None
    text = unicodedata.normalize("NFKC", text.translate(_SIGNS)).rstrip(".·⋅*- ")
    glued = _GLUE.sub("", text)
    whole = _alias(glued)
    # 'lb ft' is one unit in two words; 'm in' must not become minutes.
    one = whole is not None and (glued == text or " " in whole or whole in _IN_TWO_WORDS)
    return _order(_factors(whole if one and whole is not None else text))


def render(factors: Factors) -> str:
    """Factors as people read them: 'kgf/cm2', 'N m', '1/s'."""
    above = " ".join(name + _power(power) for name, power in factors if power > 0)
    below = "".join("/" + name + _power(-power) for name, power in factors if power < 0)
    return above + below if above else "1" + below


def unsafe(text: str) -> str | None:
    """Why this spelling is not converted, ready to follow the quoted unit in a sentence, or `None`."""
    names = [name for name, _ in split(text) or ()]
    return next((UNSAFE[key] for name in names for key in (name, name.lower()) if _is_unsafe(name, key)), None)


def _is_unsafe(name: str, key: str) -> bool:
    # 'MPa' is safe, though in small letters it is 'mpa'.
    return key in UNSAFE and name not in _EXACT


def _alias(word: str) -> str | None:
    """The one spelling of a whole unit, or of one name in it."""
    return None if word in UNSAFE else _EXACT.get(word) or _FOLDED.get(word.casefold())


def _factors(text: str) -> Factors | None:
    found: list[tuple[str, int]] = []
    text = "/" + text[2:].lstrip() if text.startswith("1/") else text
    place = 0
    while place < len(text):
        match = _FACTOR.match(text, place)
        if match is None:
            return None
        place = match.end()
        power = int(match["power"] or 1)
        power = -power if match["over"] else power
        found.extend((name, power) for name in (_alias(match["name"]) or match["name"]).split())
    return tuple(found) or None


def _order(factors: Factors | None) -> Factors | None:
    """Mass beside a length is a force; a torque names its force first."""
    if factors is None or len(factors) != 2:
        return factors
    first, second = factors
    if first[0] in _LENGTHS and second[0] in _FORCES | _AS_FORCE.keys():
        first, second = second, first
    if second[0] in _LENGTHS and first[1] == 1 and second[1] in (1, -2):
        return ((_AS_FORCE.get(first[0], first[0]), 1), second)
    return factors


def _power(power: int) -> str:
    return "" if power == 1 else str(power)
