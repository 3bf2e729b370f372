"""Camshaft offsets for people: drawn against the tooth grid in plain characters, and the pattern in words."""

from collections.abc import Mapping
from math import ceil

from diagtree.measure.chain import degrees_per_tooth
from diagtree.measure.drive import Drive
from diagtree.measure.patterns import Pattern, Posterior
from diagtree.model.engine import Timing
from diagtree.report.lines import COLUMNS, cells, hang, pad

WORDS: Mapping[str, str] = {
    "none": "nothing is off",
    "stretched": "the chain has grown longer: each camshaft late by its length of chain",
    "all-together": "all off alike: jumped at the crank, or a slipped ring, key or hub",
    "one-bank": "one bank off alike: its chain jumped, or its sprocket slipped",
    "one-cam": "one camshaft off alone",
    "mixed": "each off in its own way",
}
_LONGEST_NAME = 16  # cells of a camshaft's id beside its row
_NARROWEST, _WIDEST = 15, 61  # cells of the grid
_CLOSEST = 3  # cells between teeth that are marked one by one
_LEAST, _MOST = 0.001, 0.0195  # elongations that read as less than 0.1 %, and as 2.0 %, the most that is weighed


def picture(timing: Timing, offsets: Mapping[str, float], uncertainty: float, columns: int = COLUMNS) -> list[str]:
    """A row for each camshaft in at most `columns` cells: `*` its offset, `=` its uncertainty.

    `|` is no offset, `:` a tooth of the crank sprocket more or less. Plain characters only. Where the columns are too
    few for a grid, the offsets alone.
    """
    names = {cam: _short(cam) for cam in offsets}
    wide = max(map(cells, names.values()))
    figures = {cam: f"{figure(degrees)} deg" for cam, degrees in offsets.items()}
    room = columns - wide - max(map(len, figures.values())) - 4
    if room < _NARROWEST:
        return [f"{names[cam]} {figures[cam]}" for cam in offsets]
    grid = _Grid(timing, offsets, uncertainty, min(_WIDEST, room))
    rows = [f"{pad(names[cam], wide)}  {grid.row(offsets[cam], uncertainty)}  {figures[cam]}" for cam in offsets]
    head = f"{' ' * wide}  {grid.head()}"
    tooth = f"{figure(degrees_per_tooth(timing.crank_teeth))} deg"
    legend = f"* offset, = uncertainty, | no offset, : a tooth of the crank sprocket ({tooth}). Left is late."
    return [head.rstrip(), *rows, legend]


class _Grid:
    """A line of cells over crank degrees, its middle at no offset."""

    def __init__(self, timing: Timing, offsets: Mapping[str, float], uncertainty: float, cells_wide: int) -> None:
        self.half = (cells_wide - 1) // 2
        self.tooth = degrees_per_tooth(timing.crank_teeth)
        self.teeth = teeth_shown(timing, offsets, uncertainty)
        self.reach = self.teeth * self.tooth
        self.marked = self.half // self.teeth >= _CLOSEST

    def place(self, degrees: float) -> int:
        """The cell of an angle, within the line."""
        return round(max(-1.0, min(1.0, degrees / self.reach)) * self.half) + self.half

    def row(self, degrees: float, uncertainty: float) -> str:
        """An offset between its ends."""
        line = self._teeth()
        for at in range(self.place(degrees - uncertainty), self.place(degrees + uncertainty) + 1):
            line[at] = "="
        line[self.place(0.0)] = "|"
        line[self.place(degrees)] = "*"
        return "".join(line)

    def head(self) -> str:
        """The outermost teeth and the middle, named."""
        line = [" "] * (2 * self.half + 1)
        ends = {0: f"-{self.teeth}", self.half: "0", 2 * self.half: f"+{self.teeth}"}
        for at, text in ends.items():
            first = max(0, min(len(line) - len(text), at - len(text) // 2))
            line[first : first + len(text)] = text
        unit = " tooth" if self.teeth == 1 else " teeth"
        return "".join(line) + unit

    def _teeth(self) -> list[str]:
        line = [" "] * (2 * self.half + 1)
        known = range(-self.teeth, self.teeth + 1) if self.marked else (-self.teeth, self.teeth)
        for tooth in known:
            line[self.place(tooth * self.tooth)] = ":"
        return line


def teeth_shown(timing: Timing, offsets: Mapping[str, float], uncertainty: float) -> int:
    """How many teeth either way a grid needs to hold every offset with its uncertainty; at least 1."""
    furthest = max(abs(degrees) for degrees in offsets.values()) + uncertainty
    return max(1, ceil(furthest / degrees_per_tooth(timing.crank_teeth) - 1e-9))


def figure(degrees: float) -> str:
    """Crank degrees to the tenth."""
    text = f"{degrees:.1f}"
    return "0.0" if text == "-0.0" else text


def per_cent(share: float) -> str:
    """A share of the weight in whole per cent, never 0 or 100."""
    if share < 0.005:
        return "under 1 %"
    return "over 99 %" if share > 0.995 else f"{100 * share:.0f} %"


def listed(offsets: Mapping[str, float]) -> str:
    """'intake-1 -4.0, exhaust-1 -3.0'."""
    return ", ".join(f"{cam} {figure(degrees)}" for cam, degrees in offsets.items())


def unclear(drive: Drive, *, reply: bool) -> str:
    """That the pattern is not clear, and what would clear it. `reply`: whether it can be typed into a walk."""
    found = drive.pattern
    assert found is not None
    rival = found.rival
    beside = f", '{rival}' {per_cent(found.shares[rival])}" if rival else ""
    weights = f"'{found.likeliest}' holds {per_cent(found.shares[found.likeliest])} of the weight{beside}"
    return f"The pattern is not clear: {weights}. {_clearing(drive, reply=reply)}"


def _clearing(drive: Drive, *, reply: bool) -> str:
    if drive.again is None:
        return "Measure again."
    cam = drive.again.cam
    how = f": type 'again {cam}:' with the new offset behind it; the others stay" if reply else ""
    if len(drive.offsets) == 1:
        return f"Measure {cam} again{how}."
    return f"Without {cam} the others make the clearest pattern. Measure {cam} again first{how}."


def elongation(found: Posterior) -> str:
    """'about 0.6 %, in 95 of 100 such cases from 0.3 % to 0.8 %'; against the upper end '2 % or more'."""
    if found.against_end or found.estimate >= _MOST:
        return "2 % or more"
    high = "2 % or more" if found.high >= _MOST else f"{100 * found.high:.1f} %"
    low = f"{100 * found.low:.1f}"
    if found.high < _LEAST:
        return "under 0.1 %"
    return f"about {100 * found.estimate:.1f} %, in 95 of 100 such cases from {low} % to {high}"


def shares(found: Pattern, columns: int = COLUMNS) -> list[str]:
    """Each pattern in words, the likeliest first, in at most `columns` cells."""
    wide = max(map(len, found.shares))
    ranked = sorted(found.shares.items(), key=lambda pair: -pair[1])
    heads = {f"  {name:<{wide}}  {per_cent(share):>9}": name for name, share in ranked}
    return [line for head, name in heads.items() for line in hang(head, WORDS[name], len(head) + 2, columns)]


def _short(cam: str) -> str:
    return cam if cells(cam) <= _LONGEST_NAME else f"{cam[: _LONGEST_NAME - 1]}~"
