"""The page in a real browser: what it asks of the world, what hostile text does in it, who can use it."""

import base64
import json
import re
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from diagtree.measure.units import convert
from diagtree.model.library import NOTICE
from diagtree.report.page import advising, scopes
from diagtree.report.page.document import as_block
from tests.report.page import cars

HOSTILE = (
    "</script><script>window.ran=1</script><!-- <img src=x onerror=window.ran=2> --> ]]> </style></svg></template>"
    "\"><svg onload=window.ran=3> ' ` &lt;b&gt; &amp;amp; {{7*7}} ${window.ran=4} javascript:window.ran=5 "
    "\\u003cscript\\u003e \\"
)
LIBRARY = """\
cautions: {c: {say: TEXT, level: stop}}
---
checks:
  look: {ask: TEXT, how: TEXT, tools: [TEXT], hours: 0.1, cautions: [c], answers: {good: TEXT, bad: Bad},
    given: {default: 90, worn: 5}}
  feel: {ask: TEXT, hours: 0.2, behind: [open], reading: {unit: mm, uncertainty: 0.1},
    answers: {low: {below: 3, is: TEXT}, high: {from: 3, is: TEXT}}, given: {default: 50, worn: 90}}
---
faults:
  worn: {title: TEXT, why: TEXT, repair: [renew], verify: [TEXT], cautions: [c]}
  fine: {title: TEXT, why: TEXT, repair: [], verify: [TEXT]}
---
engine: e
title: TEXT
builds: {one: {share: 1}}
work:
  open: {title: TEXT, hours: 1, do: [TEXT], tools: [TEXT], cautions: [c]}
  renew: {title: TEXT, hours: 1, after: [open], takes: {part: 1}, brings: {tidy: TEXT}, do: [TEXT]}
  tidy: {title: TEXT, hours: 0.5}
parts: {part: {title: TEXT, single-use: TEXT, numbers: [{number: TEXT, price: 5}]}}
---
tree: t
title: TEXT
for: TEXT
cautions: [c]
weights: {worn: 3, fine: 1, u: 1}
other: 1
start: first
nodes:
  first: {check: look, then: {good: second, bad: on}, else: second, note: TEXT}
  second: {check: feel, then: {low: end-worn, high: end-fine}, else: end-worn}
  end-worn: {outcome: worn, note: TEXT}
  end-fine: {outcome: fine, note: TEXT}
  on: {continue: u, note: TEXT}
---
tree: u
title: TEXT
weights: {worn: 1}
start: s
nodes:
  s: {check: feel, then: {low: end, high: end}, else: end}
  end: {outcome: worn}
"""

Opener = Callable[..., Any]


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page of an ordinary library."""
    folder = tmp_path_factory.mktemp("own")
    (folder / "own.yaml").write_text(cars.OWN, encoding="utf-8")
    (folder / "page.html").write_bytes(cars.car(folder / "own.yaml", "first").page())
    return folder / "page.html"


@pytest.fixture
def shown(chromium: Any) -> Iterator[Opener]:
    """Opens a page without a network. Whatever it asks for, says or throws must be nothing but itself."""
    heard: list[str] = []
    asked: list[str] = []
    opened: set[str] = set()
    contexts: list[Any] = []

    def dismiss(dialog: Any) -> None:
        heard.append(dialog.message)
        dialog.dismiss()

    def opener(path: Path, **options: Any) -> Any:
        context = chromium.new_context(**options)
        context.set_offline(True)
        contexts.append(context)
        one = context.new_page()
        one.on("console", lambda message: heard.append(message.text))
        one.on("pageerror", lambda error: heard.append(str(error)))
        one.on("dialog", dismiss)
        one.on("request", lambda request: asked.append(request.url))
        opened.add(path.as_uri())
        one.goto(path.as_uri())
        return one

    yield opener
    for context in contexts:
        context.close()
    assert heard == []
    assert {url.partition("#")[0] for url in asked} == opened


def read_cautions(page: Any) -> None:
    while page.get_by_role("button", name="I have read this").count():
        page.get_by_role("button", name="I have read this").click()


def walk_to_the_end(page: Any, at: int = 0) -> None:
    for _ in range(40):
        read_cautions(page)
        answers = page.locator(".w-answers button")
        if not answers.count():
            return
        answers.nth(min(at, answers.count() - 1)).click()


# Hostile text


@pytest.mark.parametrize("at", [0, 1])
def test_hostile_text_is_shown_and_runs_nothing(shown: Opener, tmp_path: Path, at: int) -> None:
    text = json.dumps(HOSTILE)
    (tmp_path / "own.yaml").write_text(LIBRARY.replace("TEXT", text), encoding="utf-8")
    (tmp_path / "page.html").write_bytes(cars.car(tmp_path / "own.yaml", "t").page())
    page = shown(tmp_path / "page.html")
    assert page.title() == re.sub(r"\s+", " ", HOSTILE)
    assert page.get_by_role("heading", level=1).text_content() == HOSTILE
    read_cautions(page)
    assert HOSTILE in page.locator("#w-heading").text_content()
    walk_to_the_end(page, at)
    assert page.evaluate("window.diagtree.state().outcome") is not None
    assert page.locator("#w-walk").text_content().count(HOSTILE) > 8
    assert page.evaluate("window.ran") is None
    assert page.evaluate("document.querySelectorAll('img, iframe, object, embed, link, svg script').length") == 0
    assert page.evaluate("document.scripts.length") == 2
    assert page.evaluate("document.querySelectorAll('#w-page [href], #w-page [src]').length") == 0


def test_json_in_a_script_cannot_end_it() -> None:
    text = {"a": "</script><!--\u2028\u2029&]]>"}
    block = as_block(text)
    assert re.search("[<>&\u2028\u2029]", block) is None
    assert json.loads(block) == text


def test_the_policy_forbids_every_other_program(chromium: Any, own: Path) -> None:
    context = chromium.new_context()
    page = context.new_page()
    page.goto(own.as_uri())
    page.evaluate(
        """() => {
          const made = document.createElement("script");
          try { made.text = "window.ran = 1"; document.head.append(made); } catch { window.refused = 1; }
          try { document.body.innerHTML = "<b>x</b>"; } catch { window.refused += 1; }
        }"""
    )
    assert page.evaluate("[window.ran, window.refused]") == [None, 2]
    assert page.evaluate("fetch('https://example.invalid/').then(() => 'sent', () => 'refused')") == "refused"
    context.close()


def test_the_policy_names_the_program_by_its_hash(own: Path) -> None:
    text = own.read_text(encoding="utf-8")
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', text)
    program = re.search(r"<script>(.*?)</script>", text, re.DOTALL)
    assert policy is not None
    assert program is not None
    assert "unsafe" not in policy[1]
    assert f"script-src 'sha256-{base64.b64encode(sha256(program[1].encode()).digest()).decode()}';" in policy[1]


def test_an_address_made_by_hand_does_no_harm(shown: Opener, own: Path) -> None:
    page = shown(own)
    wrong = ["%7B", '[["__proto__","x",0,0]]', '[["look","<b>",9,0]]', "[[1,2],[3]]", "[null]", '[["20","50",7,0]]']
    for kept in wrong:
        page.goto("about:blank")
        page.goto(f"{own.as_uri()}#w={kept}")
        assert page.get_by_role("heading", level=1).text_content() == "The first"


# The file


def test_two_runs_make_the_same_bytes(tmp_path: Path, own: Path) -> None:
    (tmp_path / "own.yaml").write_text(cars.OWN, encoding="utf-8")
    assert cars.car(tmp_path / "own.yaml", "first").page() == own.read_bytes()


def test_what_was_not_reckoned_is_said(shown: Opener, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(scopes, "MOST", 0)
    monkeypatch.setattr(advising, "MOST", 0)
    (tmp_path / "own.yaml").write_text(cars.OWN, encoding="utf-8")
    (tmp_path / "page.html").write_bytes(cars.car(tmp_path / "own.yaml", "first").page())
    page = shown(tmp_path / "page.html")
    read_cautions(page)
    assert "None was worked out beforehand for this way" in page.locator("#w-walk").text_content()
    walk_to_the_end(page)
    assert "not reckoned beforehand" in page.locator("#w-walk").text_content()
    assert page.locator("#w-residual").count() == 0


# Using it


def test_cautions_come_before_the_question(shown: Opener, own: Path) -> None:
    page = shown(own)
    assert page.get_by_text("STOP: Chock the wheels.").count() == 1
    assert page.locator(".w-answers").count() == 0
    page.get_by_role("button", name="I have read this").click()
    assert page.locator(".w-answers button").count() == 3
    assert page.locator("header").get_by_text(NOTICE).is_visible()


def test_a_reading_in_the_other_unit_and_one_that_is_not_plausible(shown: Opener, own: Path) -> None:
    page = shown(own)
    read_cautions(page)
    field, unit = page.get_by_label("Type the reading."), page.get_by_label("Unit")
    field.fill("-4")
    field.press("Enter")
    said = page.get_by_role("alert").text_content()
    assert said == "-4 kPa is not plausible here. It should be from 0 to 900 kPa. Read the gauge again."
    page.get_by_label("Unit").select_option(label="psi")
    unit.select_option(label="psi")
    field.fill("14.5")
    page.get_by_role("button", name="Take this").click()
    assert page.evaluate("window.diagtree.state().answers") == {"20": "3"}
    assert "Too close to call" in page.get_by_role("status").text_content()
    assert page.get_by_role("alert").text_content() == ""


def test_a_reading_in_the_shops_unit_is_converted_to_the_last_bit(shown: Opener, own: Path) -> None:
    page = shown(own)
    unit = page.evaluate("DATA.checks['20'].units[1]")
    assert unit["unit"] == "psi"
    for typed in ("14.5", "0", "-3", "29.0075", "1e-7", "123456.789", "0.1", "1,5"):
        found = page.evaluate("([typed, unit]) => Numbers.parse(typed, unit)", [typed, unit])
        assert found == {"value": convert(float(typed.replace(",", ".")), "psi", "kPa")}


def test_a_reload_goes_on_where_the_walk_stood(shown: Opener, own: Path) -> None:
    page = shown(own)
    read_cautions(page)
    page.get_by_label("Type the reading.").fill("50")
    page.get_by_role("button", name="Take this").click()
    read_cautions(page)
    page.get_by_label("The reading in mm").fill("2.95")
    page.get_by_role("button", name="Take this").click()
    before = page.evaluate("window.diagtree.state()")
    assert len(before["answers"]) == 2
    page.reload()
    assert page.evaluate("window.diagtree.state()") == before


def test_a_change_and_a_further_reading(shown: Opener, own: Path) -> None:
    page = shown(own)
    read_cautions(page)
    page.get_by_label("Type the reading.").fill("50")
    page.get_by_role("button", name="Take this").click()
    read_cautions(page)
    page.get_by_label("The reading in mm").fill("3.05")
    page.get_by_role("button", name="Take this").click()
    read_cautions(page)
    page.get_by_label("A further reading in mm: How wide is it?").fill("2.85")
    page.get_by_role("button", name="Add a reading").click()
    read_cautions(page)
    assert page.evaluate("window.diagtree.state().answers")["10"] == "low"
    assert "2.95 mm, the mean of 2 readings: Narrow." in page.get_by_role("status").text_content()
    page.get_by_role("button", name="Change: How high is it?").click()
    page.get_by_role("button", name="2. Middling").click()
    assert page.evaluate("window.diagtree.state().answers")["20"] == "2"


def test_the_keyboard_alone_is_enough(shown: Opener, own: Path) -> None:
    page = shown(own)
    for _ in range(60):
        if page.evaluate("window.diagtree.state().outcome"):
            break
        page.keyboard.press("Tab")
        focused = page.evaluate("document.activeElement.className")
        if focused == "w-answer" and page.evaluate("document.activeElement.type") == "button":
            page.keyboard.press("Enter")
    assert page.evaluate("window.diagtree.state().outcome") is not None
    assert page.evaluate("document.activeElement.id") == "w-heading"


def test_a_screen_reader_is_told_what_is_what(shown: Opener, own: Path) -> None:
    page = shown(own)
    read_cautions(page)
    tree = page.locator("body").aria_snapshot()
    for line in (
        '- heading "The first" [level=1]',
        "- main:",
        '- heading "1. How high is it? A1 on the poster" [level=2]',
        '- textbox "Type the reading."',
        '- combobox "Unit"',
        '- button "1. Low',
        '- button "Cannot tell"',
        '- heading "Still possible, of 100 cars like this (the author\'s estimate, no closed jobs)" [level=3]',
        'document "The first Fault tree: The first.',
        'region "Poster: scroll with the arrow keys"',
    ):
        assert line in tree, (line, tree)
    assert page.evaluate("document.documentElement.lang") == "en"


def test_the_poster_marks_where_the_walk_stands(shown: Opener, own: Path) -> None:
    page = shown(own)

    def marked() -> bool:
        return bool(
            page.evaluate(
                """() => {
                  const here = window.diagtree.state().trail.at(-1);
                  const mark = document.getElementById("w-here").getBoundingClientRect();
                  const box = document.getElementById(`node-${here.node}`).getBoundingClientRect();
                  const sheet = document.getElementById("w-sheet").getBoundingClientRect();
                  const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
                  return mark.left < box.left && mark.right > box.right && mark.top < box.top
                    && mark.bottom > box.bottom
                    && x > sheet.left && x < sheet.right && y > sheet.top && y < sheet.bottom;
                }"""
            )
        )

    assert marked()
    walk_to_the_end(page, 1)
    assert page.evaluate("window.diagtree.state().trail.at(-1).tree") == "second"
    assert marked()
    assert page.get_by_label("Tree of the poster").input_value() == "second"
    for name in ("Larger", "Smaller", "Whole", "Where I am"):
        page.get_by_role("button", name=name).click()
    assert marked()


def test_the_keyboard_follows_the_posters_connectors(shown: Opener, own: Path) -> None:
    page = shown(own)
    links = page.locator("#w-sheet a")
    assert links.count() > 0
    page.locator("#w-sheet a", has=page.locator("[id='node-go']")).focus()
    page.keyboard.press("Enter")
    assert page.get_by_label("Tree of the poster").input_value() == "second"


@pytest.mark.parametrize(("width", "height"), [(768, 1024), (1024, 768), (360, 640)])
def test_nothing_runs_off_the_side(shown: Opener, demo: tuple[cars.Car, Path], width: int, height: int) -> None:
    page = shown(demo[1], viewport={"width": width, "height": height}, has_touch=True)
    for _ in range(12):
        wide = page.evaluate("[document.documentElement.scrollWidth, document.getElementById('w-walk').scrollWidth]")
        assert wide[0] <= width
        assert wide[1] <= page.evaluate("document.getElementById('w-walk').clientWidth")
        read_cautions(page)
        answers = page.locator(".w-answers button")
        if not answers.count():
            break
        assert answers.first.bounding_box()["height"] >= 44
        answers.last.tap()
    assert page.evaluate("window.diagtree.state().outcome") is not None


def test_light_and_dark_follow_the_device(shown: Opener, own: Path) -> None:
    grounds = []
    for scheme in ("light", "dark"):
        page = shown(own, color_scheme=scheme)
        style = "element => { const found = getComputedStyle(element); return [found.backgroundColor, found.color]; }"
        pairs = [page.locator(name).first.evaluate(style) for name in ("body", "button")]
        for ground, ink in pairs:
            assert contrast(ground, ink) >= 7
        grounds.append(pairs[0][0])
    assert grounds[0] != grounds[1]


def contrast(ground: str, ink: str) -> float:
    """The ratio of two colours as a browser names them (WCAG 2.2, definition of contrast ratio; from memory)."""

    def luminance(colour: str) -> float:
        parts = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    low, high = sorted((luminance(ground), luminance(ink)))
    return (high + 0.05) / (low + 0.05)


def test_what_is_printed_is_the_walk_on_white(shown: Opener, own: Path) -> None:
    page = shown(own, color_scheme="dark")
    walk_to_the_end(page)
    page.emulate_media(media="print", color_scheme="dark")
    assert page.get_by_role("heading", level=2).first.is_visible()
    assert not page.locator("#w-poster").is_visible()
    assert page.locator("#w-page button:visible").count() == 0
    assert page.get_by_text("Revision: 7").is_visible()
    ground = page.locator("body").evaluate("element => getComputedStyle(element).backgroundColor")
    assert ground == "rgb(255, 255, 255)"
