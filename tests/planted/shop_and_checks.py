"""Mistakes in the shop, the cautions and the checks."""

from tests.planted.case import BOILER, PUMP, Edit, in_file

shop = in_file(PUMP, "shop.yaml")
check = in_file(PUMP, "checks.yaml")
heat = in_file(BOILER, "boiler.yaml")

SHOP = (
    shop("currency: GBP", "curency: GBP", "unknown-key"),
    shop("labour-rate: 72.5", "labour-rate: seventy", "wrong-type"),
    shop("labour-rate: 72.5", "labour-rate: -72.5", "out-of-range"),
    shop("labour-rate: 72.5", "labour-rate: '72.5'", "wrong-type"),
    shop("labour-rate: 72.5", "labour-rate: .nan", "wrong-type"),
    shop("labour-rate: 72.5", "labour-rate: 1e300", "out-of-range"),
    shop("tax: 20", "tax: -20", "out-of-range"),
    shop("round-to: 5", "round-to: five", "wrong-type"),
    shop("of: labour", "of: labor", "wrong-type"),
    shop("per-cent: 2", "percent: 2", "unknown-key"),
    shop("units: [N m, bar, mm]", "units: [N m, barr, mm]", "unknown-unit"),
    shop("goodwill: 340\n", "", "missing-key", at="shop: weir-row"),
    shop("goodwill: 340\n", "goodwill: 340\ntax: 19\n", "duplicate-key"),
    shop("shop: weir-row", "stop: weir-row", "unknown-kind"),
    shop("shop: weir-row", "shop: Weir Row", "bad-id"),
    shop("name: Weir Row Pump Room (invented)", "name: [Weir, Row]", "wrong-type"),
    shop("name: Weir Row Pump Room (invented)", "name:", "wrong-type"),
    shop(
        "---\n",
        "---\nshop: second\nname: B\ncurrency: GBP\nlabour-rate: 1\ntax: 0\ngoodwill: 0\n---\n",
        "duplicate-id",
        at="shop: second",
    ),
    shop("level: stop", "level: halt", "wrong-type"),
    shop("{say: Used oil", "{says: Used oil", "unknown-key"),
    shop("heavy-casing: The casing", "Heavy Casing: The casing", "bad-id", most=3),  # and the two that name it
    shop("level: note}", "level: note, when: {colour: red}}", "unknown-feature"),
    shop("level: note}", "level: note, when: {stages: 3}}", "unknown-value"),
    shop("  oil-waste:", "  trapped-liquid: Once more.\n  oil-waste:", "duplicate-key"),
    shop("goodwill: 340\n", "goodwill: 340\n\tsecond: 1\n", "syntax"),
    shop("goodwill: 340\n", "goodwill: !!int 340\n", "tag"),
    shop("goodwill: 340\n", "goodwill: *dear\n", "alias"),
    shop("heavy-casing: The", 'heavy-casing: "The', "syntax"),
    shop("name: Weir Row", "name: Weir\u202eRow", "hidden-character"),
    shop("name: Weir Row Pump", "name: Weir: Row Pump", "syntax"),
    shop("---\n", "---\njust words\n---\n", "wrong-type", at="just words"),
)

CHECKS = (
    check("    ask: What does the pump sound like?\n", "", "missing-key", at="noise-kind:"),
    check(
        "    ask: Clearance of the wear rings?\n    hours: 0.3\n",
        "    ask: Clearance?\n",
        "missing-key",
        at="ring-clearance:",
    ),
    check("    hours: 0.4\n", "    hours: -0.4\n", "out-of-range"),
    check("    hours: 0.4\n", "    hours: [0.4, 0.6]\n", "wrong-type"),
    check("    hours: 0.4\n", "    hours: [0.4, 0.3, 0.9]\n", "out-of-range"),
    check("    hours: 0.4\n", "    hours: 24 min\n", "wrong-type"),
    check("unit: bar, uncertainty: 0.1}", "unit: barr, uncertainty: 0.1}", "unknown-unit"),
    check("unit: bar, uncertainty: 0.1}", "unit: bar, uncertainty: -0.1}", "out-of-range"),
    check("unit: bar, uncertainty: 0.1}", "uncertainty: 0.1}", "missing-key"),
    check("reading: {unit: bar, uncertainty: 0.1}", "reading: bar", "wrong-type"),
    check(
        "unit: bar, uncertainty: 0.1}",
        "unit: bar, uncertainty: 1}",
        "narrow-band",
        severity="warning",
        at="right: {from: 3.2",
    ),
    check("right: {from: 3.2,", "right: {from: 3.4,", "band-gap"),
    check("right: {from: 3.2,", "right: {from: 3.0,", "band-overlap"),
    check("right: {from: 3.2, below: 4.6", "right: {from: 4.6, below: 3.2", "empty-band"),
    check("low: {below: 3.2, is: Below the curve}", "low: Below the curve", "wrong-type"),
    # The answer is named in five rows and in the engine's limits, each to be put right, and these leave a gap too.
    check("      high: {from: 4.6, is: Above the curve}\n", "", "band-gap", at="right: {from: 3.2", most=9),
    check("default: {low: 10, right: 85, high: 5}", "default: {lo: 10, right: 85, high: 5}", "unknown-answer"),
    check("default: {low: 10, right: 85, high: 5}", "default: {low: 10, right: 85}", "short-row", severity="warning"),
    check("default: {low: 10, right: 85, high: 5}", "default: {low: -10, right: 85, high: 5}", "out-of-range"),
    check("default: {low: 10, right: 85, high: 5}", "default: {low: 0, right: 0, high: 0}", "row-of-zeros"),
    check("default: {low: 10, right: 85, high: 5}", "default: 10", "wrong-type"),
    check("rumble: 15, squeal: 5, quiet: 20", "rumble: improbable, squeal: 5, quiet: 20", "mixed-row"),
    check("squeal: improbable, quiet: expected", "squeal: improbable, quiet: maybe", "wrong-type"),
    check("impeller-worn: {low: 80", "impeler-worn: {low: 80", "unknown-row"),
    check("impeller-worn: 12", "impeller-worn: 120", "out-of-range"),
    check("cautions: [trapped-liquid]", "cautions: [traped-liquid]", "unknown-caution"),
    check("cautions: [trapped-liquid]", "cautions: trapped-liquid", "wrong-type"),
    check("behind: [pull-out-back]", "behind: [pull-out]", "unknown-step"),
    check("takes: {soap-film: 0.25}", "takes: {soap: 0.25}", "unknown-part"),
    check("takes: {soap-film: 0.25}", "takes: {soap-film: -1}", "out-of-range"),
    check("takes: {sample-bottle: 1}", "takes: {sample-bottle: 0.5}", "decimal-quantity"),
    check("takes: {sample-bottle: 1}", "takes: {sample-bottle: {stages: {1: 1}}}", "amount-without-value"),
    check("when: {seal: packed}", "when: {sael: packed}", "unknown-feature"),
    check("when: {seal: packed}", "when: {seal: paked}", "unknown-value"),
    check("when: {seal: packed}", "when: [packed]", "wrong-type"),
    check("never-after: {shaft-turn: [stuck]}", "never-after: {shaft-tun: [stuck]}", "unknown-check"),
    check("never-after: {shaft-turn: [stuck]}", "never-after: {shaft-turn: [stukc]}", "unknown-answer"),
    check(
        "never-after: {shaft-turn: [stuck]}",
        "never-after: {shaft-turn: [free]}",
        "forbidden-path",
        file="trees.yaml",
        at="line: {check",
    ),
    check("    wait: 0.5\n", "    wait: -0.5\n", "out-of-range"),
    check("    wait: 0.5\n", "    needs: warm\n", "wrong-type"),
    check("    wait: 0.5\n", "    leaves: warm\n", "wrong-type"),
    check("    wait: 0.5\n", "    repeats: often\n", "wrong-type"),
    check("    slip: 0.02\n", "    slip: 2\n", "out-of-range"),
    check("tools: [feeler gauge]", "tools: feeler gauge", "wrong-type"),
    check("tools: [feeler gauge]", "tool: [feeler gauge]", "unknown-key"),
    check("given: {default: {drawn: 4, whole: 96}, air", "given: {air", "missing-row"),
    check("  soap-test:", "  shaft-turn:", "duplicate-key"),
    check("  soap-test:", "  soap_test:", "bad-id"),
    check(
        "answers: {yes: It is wet, no: It is dry}",
        "answers: {wet: It is wet, no: It is dry}",
        "unknown-answer",
        file="trees.yaml",
        at="weep: {check",
    ),
    check("answers: {yes: It is wet, no: It is dry}", "answers: {yes: It is wet, no: }", "wrong-type"),
    # Two rows of one number were meant for two answers.
    check(
        "answers: {yes: It is wet, no: It is dry}",
        "answers: {yes: It is wet}",
        "unknown-answer",
        file="trees.yaml",
        at="weep: {check",
        most=3,
    ),
    check("answers: {yes: It is wet, no: It is dry}", "answers: {}", "wrong-type"),
    check("    answers: {drawn: It is drawn in, whole: It stays whole}\n", "", "missing-key", at="soap-test:"),
    heat("    leaves: hot\n    answers: {thin", "    leaves: hot\n    repeats: yes\n    answers: {thin", "wrong-type"),
    heat(
        "hours: 0.05, answers: {yes: It burns",
        "hours: 0.05, leaves: hot, answers: {yes: It burns",
        "cold-after-hot",
        severity="warning",
        file="trees/lockout.yml",
        at="gauge: {check",
    ),
    # Three rows and a node name the answer that is gone.
    heat("answers: {yes: It burns, no:", "answers: {yes: It burns, yes:", "duplicate-key", most=5),
    heat("needs: cold", "need: cold", "unknown-key"),
    heat("never-after: {system-pressure: [high]}", "never-after: {system-pressure: high}", "wrong-type"),
    heat("given: {default: 95, pump-seized: 3}", "given: {default: 95, pump-seized: 3", "syntax", at="---\nengine:"),
    heat("takes: {screw-washer: 1,", "takes: {screw-washer: 99999999999999999999999999999999999999999,", "wrong-type"),
    heat("pump-spin:\n    ask:", "pump-spin:\n      ask:", "syntax", at="    hours: 0.25"),
    heat("checks:\n  gas-ring:", "check:\n  gas-ring:", "unknown-kind"),
)

CODES = Edit(
    "checks.yaml",
    "  ring-clearance:\n",
    "  stored-codes:\n"
    "    ask: Which codes are stored?\n"
    "    hours: 0.1\n"
    "    codes: true\n"
    "    answers: {both: [[P0016, P0017], [P0018]], one: [[P0016]], none: []}\n"
    "  ring-clearance:\n",
)
code = in_file(PUMP, "checks.yaml", CODES)
CODE_CHECKS = (
    code("one: [[P0016]]", "one: [[P16]]", "bad-code"),
    code("one: [[P0016]]", "one: [P0016]", "wrong-type"),
    code("one: [[P0016]]", "one: [[]]", "wrong-type"),
    code(
        "both: [[P0016, P0017], [P0018]], one: [[P0016]]",
        "one: [[P0016]], both: [[P0016], [P0018]]",
        "shadowed-codes",
        severity="warning",
    ),
    code("one: [[P0016]], none: []", "none: [], one: [[P0016]]", "shadowed-codes", severity="warning"),
    code(", none: []", "", "unmatched-codes", severity="warning"),
    code("codes: true", "codes: maybe", "wrong-type"),
)

CAMS = Edit(
    "engine.yaml",
    "limits:\n",
    "timing:\n"
    "  pitch: 8.0\n"
    "  crank-teeth: 22\n"
    "  cam-teeth: 44\n"
    "  links: 156\n"
    "  cams:\n"
    "    front: {bank: 1, span: 310}\n"
    "    rear: {bank: 2, span: 420}\n"
    "limits:\n",
)
cam = in_file(PUMP, "engine.yaml", CAMS)
OFFSETS = (
    cam("cam-teeth: 44", "cam-teeth: 43", "wrong-cam-teeth"),
    cam("pitch: 8.0", "pitch: 0", "out-of-range"),
    cam("links: 156", "links: 15.5", "wrong-type"),
    cam("front: {bank: 1, span: 310}", "front: {bank: 1, span: -310}", "out-of-range"),
    cam("front: {bank: 1, span: 310}", "front: {bank: 1}", "missing-key"),
    cam("  crank-teeth: 22\n", "", "missing-key", at="timing:"),
)
offset = in_file(PUMP, "checks.yaml", CAMS)
CAM_CHECKS = (
    offset(
        "  ring-clearance:\n",
        "  cam-offsets:\n    ask: How far off?\n    hours: 0.2\n    offsets: {uncertainty: 2}\n"
        "    answers: {none: None, one-cam: One}\n  ring-clearance:\n",
        "offsets-without-mixed",
        at="answers: {none: None, one-cam: One}",
    ),
    offset(
        "  ring-clearance:\n",
        "  cam-offsets:\n    ask: How far off?\n    hours: 0.2\n    offsets: {uncertainty: 2}\n"
        "    answers: {none: None, twisted: Twisted, mixed: Mixed}\n  ring-clearance:\n",
        "unknown-key",
        at="answers: {none: None, twisted",
    ),
)
CASES = (*SHOP, *CHECKS, *CODE_CHECKS, *OFFSETS, *CAM_CHECKS)
