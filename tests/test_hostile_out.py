"""Hostile text on its way out: shown as text, or refused when the library is loaded."""

import io
import json
import re
import sys
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader

from diagtree.cli import main
from diagtree.report.sarif import relative

TEXTS = {
    "mark-up": "<script>alert(1)</script> <img src=x onerror=alert(1)> &amp; ]]> <!-- -->",
    "quotes": '"double" \'single\' `back` „low“ \\"both\\"',
    "braces": "{{7*7}} ${HOME} %s %n %(x)s {0} {a|b} <f0> [x]",
    "backslashes": "\\N \\G \\l \\r \\n \\x1b[31m \\e[2J \\ end\\",
    "formula": "=HYPERLINK(A1) +1+1 -2+3 @SUM(A1)",
    "shell": "; rm -rf ~ # $(reboot) `id` | cat > x && y",
    "page": ") Tj ET endstream endobj (\\) BT /JS (app.alert\\(1\\)) << /OpenAction >>",
    "very long": "Langwort" * 200,
    "right to left": "שלום עולם ומה مرحبا",
    "wide": "漢字カナ混じり文、全角ＡＢＣ 한국어",
    "combining": "ä̈̇̈̇ é ñ ﷽ 👩‍🔧 🇺🇳",
    "numbers": "1e999 -0 NaN 0x1F 1_000 %00 &#0; &#27;",
    "paths": "../../etc/passwd C:\\con file:///etc/passwd javascript:alert(1) http://x.invalid/",
}
LIBRARY = """\
shop: s
name: {text}
currency: EUR
labour-rate: 90
tax: 20
goodwill: 100
---
cautions:
  stop-it: {{say: {text}, level: stop}}
  mind-it: {text}
---
checks:
  look: {{ask: {text}, how: {text}, tools: [{text}], hours: 0.1,
    answers: {{good: {text}, bad: Bad}}, given: {{default: 90, worn: 5}}}}
  feel: {{ask: {text}, hours: 0.2, behind: [open], reading: {{unit: mm, uncertainty: 0.1}},
    answers: {{low: {{below: 3, is: {text}}}, high: {{from: 3, is: {text}}}}},
    given: {{default: 50, worn: 90}}, source: {text}}}
---
faults:
  worn: {{title: {text}, why: {text}, repair: [renew], verify: [{text}], cautions: [mind-it]}}
  fine: {{title: {text}, why: {text}, repair: [], verify: [{text}]}}
---
engine: e
title: {text}
features:
  colour: {{title: {text}, values: [red, {text}], tell: {text}}}
builds:
  one: {{share: 1, colour: red}}
  two: {{share: 1, colour: {text}}}
work:
  open: {{title: {text}, hours: 1, do: [{text}], tools: [{text}], cautions: [stop-it]}}
  renew: {{title: {text}, hours: 1, after: [open], takes: {{part: 1}}, brings: {{tidy: {text}}}, do: [{text}]}}
  tidy: {{title: {text}, hours: 0.5}}
  extra: {{title: {text}, hours: 0.3, after: [open], offer: {text}}}
parts:
  part: {{title: {text}, single-use: {text}, numbers: [{{number: {text}, price: 5}}]}}
kits:
  - {{number: {text}, title: {text}, price: 3, holds: {{part: 1}}}}
---
tree: t
title: {text}
for: {text}
revision: {text}
source: {text}
cautions: [stop-it]
weights: {{worn: 3, fine: 1}}
other: 1
start: first
nodes:
  first: {{check: look, then: {{good: second, bad: end-worn}}, else: second, note: {text}}}
  second: {{check: feel, then: {{low: end-worn, high: end-fine}}, else: end-worn}}
  end-worn: {{outcome: worn, note: {text}}}
  end-fine: {{outcome: fine, note: {text}}}
"""

Ran = tuple[int, str, str]
# Controls but the line end, characters that turn text round, and those that nobody sees.
OBEYED = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]"
)
JOINERS = re.compile("[\u200c\u200d]")


@pytest.fixture(params=TEXTS)
def text(request: pytest.FixtureRequest) -> str:
    return TEXTS[request.param]


@pytest.fixture
def library(text: str, tmp_path: Path) -> Path:
    """A sound library with the text wherever a text may stand."""
    path = tmp_path / "library.yaml"
    path.write_text(LIBRARY.format(text=json.dumps(text, ensure_ascii=False)), encoding="utf-8")
    return path


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> "Runner":
    return Runner(capsys, monkeypatch)


class Runner:
    """The program in this process, with standard input."""

    def __init__(self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self.capsys = capsys
        self.monkeypatch = monkeypatch

    def __call__(self, *argv: str, typed: str = "") -> Ran:
        """Exit code, standard output, standard error: nothing on either that a terminal would obey."""
        self.monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        code = main(list(argv))
        out, err = self.capsys.readouterr()
        for stream in (out, err):
            assert OBEYED.search(stream) is None
        assert "Traceback" not in err
        return code, out, err


def bare(shown: str) -> str:
    """What is shown, without its blanks, line ends and margins: where it was wrapped does not matter."""
    return re.sub(r"\s+", "", JOINERS.sub("", shown))


# Where text is shown


def test_vet_takes_any_text_as_text(library: Path, run: Runner) -> None:
    code, out, err = run("vet", str(library), "--json")
    assert err == ""
    found = json.loads(out)["problems"]
    assert [problem for problem in found if problem["severity"] == "error"] == []
    for form in ((), ("--sarif",), ("--annotate",)):
        again, out, err = run("vet", str(library), *form)
        assert (again, err) == (code, "")


@pytest.mark.parametrize("typed", ["good\n2\n", "bad\n", "good\n5 mm\n", "?\n?\n"])
def test_a_walk_shows_any_text_as_text(library: Path, text: str, typed: str, run: Runner) -> None:
    code, out, err = run("walk", "t", "--library", str(library), typed=typed)
    assert code == 0
    assert bare(text) in bare(out)
    assert bare(text) in bare(err)  # the `stop` caution
    code, out, _ = run("walk", "t", "--library", str(library), "--json", typed=typed)
    assert code == 0
    assert json.loads(out)["tree"] == "t"


def test_a_scope_shows_any_text_as_text(library: Path, text: str, run: Runner) -> None:
    code, out, err = run("scope", "worn", "--library", str(library), "--feature", "colour=red")
    assert (code, err) == (0, "")
    assert bare(text) in bare(out)
    code, out, err = run("scope", "worn", "--library", str(library), "--build", "two", "--json")
    assert (code, err) == (0, "")
    data = json.loads(out)
    assert {data["steps"][0]["title"], data["parts"][0]["number"], data["buy"][0]["number"]} == {text}
    code, _, err = run("scope", "worn", "--library", str(library), "--feature", f"colour={text}x")
    assert code == 2
    assert err.count("\n") == 1


def drawn(library: Path, ending: str, run: Runner) -> bytes | None:
    """The drawing; None where it was refused in a sentence, and nothing written."""
    out = library.parent / f"tree{ending}"
    code, said, err = run("draw", "t", "--library", str(library), "--out", str(out))
    if code == 2:
        assert said == ""
        assert err.count("\n") == 1
        assert not out.exists()
        return None
    assert (code, err) == (0, "")
    return out.read_bytes()


def test_a_dot_file_holds_any_text_as_text(library: Path, run: Runner) -> None:
    """What reads it back finds the nodes and nothing else: no text has become a node, an edge or an attribute."""
    from pygraphviz import AGraph

    data = drawn(library, ".dot", run)
    assert data is not None
    graph = AGraph(string=data.decode())
    assert set(graph.nodes()) == {"first", "second", "end-worn", "end-fine"}
    assert len(graph.edges()) == 6
    names = {name for node in graph.nodes() for name in node.attr.to_dict()}
    assert not names & {"URL", "href", "image", "shapefile", "onclick"}
    assert OBEYED.search(data.decode()) is None


def test_a_picture_for_browsers_holds_any_text_as_text(library: Path, text: str, run: Runner) -> None:
    data = drawn(library, ".svg", run)
    assert data is not None
    root = ET.fromstring(data)  # noqa: S314  # our own file
    for element in root.iter():
        assert element.tag.rpartition("}")[2] not in {"script", "foreignObject", "iframe", "image", "animate", "set"}
        for name, value in element.attrib.items():
            assert not name.lower().startswith("on"), name
            assert not name.endswith("href") or value.startswith("#"), value
            assert "javascript:" not in value
    words = bare("".join(root.itertext()))
    assert bare(text)[:40] in words
    assert b"<!ENTITY" not in data
    assert b"<!DOCTYPE" not in data


def test_a_printed_page_holds_no_action(library: Path, run: Runner) -> None:
    data = drawn(library, ".pdf", run)
    assert data is not None
    reader = PdfReader(io.BytesIO(data), strict=True)
    catalogue = reader.trailer["/Root"].get_object()
    assert not {"/OpenAction", "/AA", "/AcroForm"} & set(catalogue)
    names = catalogue.get("/Names")
    assert names is None or "/JavaScript" not in names.get_object()
    for page in reader.pages:
        assert "/AA" not in page
        for note in page.get("/Annots", []):
            assert note.get_object().get("/A", {}).get("/S") in {None, "/GoTo"}


# What is refused when it is loaded


HIDDEN = {
    "escape": '"\\e[31mred"',
    "escape by number": '"\\x1b]0;title\\x07"',
    "bell": '"\\a"',
    "backspace": '"a\\b\\b\\b"',
    "C1 control": '"\\u009b31m"',
    "turned round": '"\\u202egnp.exe"',
    "isolated": '"\\u2066a\\u2069"',
    "line separator": '"a\\u2028b"',
    "mark at the start": '"\\ufeffa"',
    "no character": '"\\ud800"',
    "raw escape": "\x1b[31mred",
    "raw bell": "a\x07",
    "raw delete": "a\x7f",
    "raw C1": "a\x9b31m",
    "raw turn": "a\u202eb",
}


@pytest.mark.parametrize("hidden", HIDDEN.values(), ids=list(HIDDEN))
def test_a_hidden_character_is_refused_wherever_the_library_is_loaded(hidden: str, tmp_path: Path, run: Runner) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(LIBRARY.format(text="Plain").replace("say: Plain", f"say: {hidden}"), encoding="utf-8")
    code, out, _ = run("vet", str(path), "--json")
    assert code == 1
    assert json.loads(out)["problems"]
    for argv in (("walk", "t"), ("scope", "worn"), ("draw", "t", "--out", str(tmp_path / "x.svg"))):
        code, out, err = run(*argv, "--library", str(path))
        assert (code, out) == (2, "")
        assert err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["library.yaml"]


BAD_IDS = [
    "../../etc/passwd",
    "a/b",
    "a\\b",
    "a b",
    "A",
    "a_b",
    "-a",
    "a-",
    "a--b",
    "a.b",
    "é",
    "a\u200bb",
    "a:b",
    "$x",
]


@pytest.mark.parametrize("bad", BAD_IDS)
@pytest.mark.parametrize(
    "old", ["tree: t", "  worn: {", "  look: {", "engine: e", "  part: {", "  first: {", "  one: {"]
)
def test_an_id_that_could_lead_elsewhere_is_refused(bad: str, old: str, tmp_path: Path, run: Runner) -> None:
    path = tmp_path / "library.yaml"
    text = LIBRARY.format(text="Plain")
    assert text.count(old) == 1
    key, colon, rest = old.strip().partition(":")
    new = f"{json.dumps(bad)}:{rest}" if rest == " {" else f"{key}{colon} {json.dumps(bad)}"
    path.write_text(text.replace(old.strip(), new), encoding="utf-8")
    code, out, err = run("vet", str(path), "--json")
    assert (code, err) == (1, "")
    line = text[: text.index(old)].count("\n") + 1
    assert ("bad-id", line) in {(problem["rule"], problem["line"]) for problem in json.loads(out)["problems"]}
    code, out, _ = run("scope", "worn", "--library", str(path))
    assert (code, out) == (2, "")


# Names of files, and what is typed


NAMES = [
    "a b.yaml",
    "a'b\"c.yaml",
    "é漢.yaml",
    "%41&<b>.yaml",
    "$(x);`y`.yaml",
    "=1+1.yaml",
    "-x.yaml",
    "a\nb.yaml",
    "\x1b[31m.yaml",
    "a\u202eb.yaml",
]


@pytest.mark.parametrize("name", NAMES)
def test_a_file_of_any_name_is_reported_safely(name: str, tmp_path: Path, run: Runner) -> None:
    (tmp_path / name).write_text("checks: 5\n", encoding="utf-8")
    code, out, err = run("vet", str(tmp_path), "--json")
    assert (code, err) == (1, "")
    (problem,) = json.loads(out)["problems"]
    assert problem["file"].isprintable()
    code, out, _ = run("vet", str(tmp_path))
    assert code == 1
    assert out.count("\n") == 4  # the place, the line, the caret, the count
    code, out, _ = run("vet", str(tmp_path), "--sarif")
    (result,) = json.loads(out)["runs"][0]["results"]
    uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert re.fullmatch(r"[A-Za-z0-9/._~%-]+", uri)
    assert unquote(uri) == relative(problem["file"])


def test_a_file_whose_name_is_no_text_is_reported_safely(tmp_path: Path, run: Runner) -> None:
    try:
        (tmp_path / "a\udcff.yaml").write_text("checks: 5\n", encoding="utf-8")
    except (OSError, UnicodeError):
        pytest.skip("this system has no such names")
    for form in ("--json", "--sarif", "--annotate"):
        code, out, err = run("vet", str(tmp_path), form)
        assert (code, err) == (1, "")
        out.encode("utf-8")


TYPED = ["\x1b[31mred", "a\nb", "../../x", "<b>", "{}", "%s", "\u202ex", "", " ", "é", "x" * 900, "\x00"]


@pytest.mark.parametrize("typed", TYPED)
def test_what_is_typed_wrongly_is_answered_in_one_safe_line(typed: str, tmp_path: Path, run: Runner) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(LIBRARY.format(text="Plain"), encoding="utf-8")
    for argv in (
        ("walk", typed),
        ("scope", typed),
        ("scope", "worn", "--build", typed),
        ("scope", "worn", "--engine", typed),
        ("scope", "worn", "--feature", typed),
        ("scope", "worn", "--feature", f"colour={typed}"),
        ("walk", "t", "--answer", typed),
        ("walk", "t", "--answer", f"look={typed}"),
        ("walk", "t", "--answers", typed),
        ("draw", "t", "--out", typed),
        ("draw", typed, "--out", str(tmp_path / "x.svg")),
        ("vet", "--explain", typed),
        ("help", typed),
    ):
        if argv in {("help", ""), ("help", " "), ("walk", "t", "--answer", "look=")}:
            continue
        library = () if argv[0] in {"vet", "help"} else ("--library", str(path))
        code, out, err = run(*argv, *library)
        assert (code, out) == (2, ""), argv
        assert 1 <= err.count("\n") <= 2, (argv, err)
        assert len(err) < 2000, argv
    assert [p.name for p in tmp_path.iterdir()] == ["library.yaml"]


@pytest.mark.parametrize("typed", TYPED)
def test_what_is_typed_into_a_walk_is_echoed_safely(typed: str, tmp_path: Path, run: Runner) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(LIBRARY.format(text="Plain"), encoding="utf-8")
    code, out, _ = run("walk", "t", "--library", str(path), typed=f"{typed}\ngood\n{typed}\n4\n")
    assert code == 0
    assert out
