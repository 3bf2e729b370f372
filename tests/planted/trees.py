"""Mistakes in trees."""

from tests.planted.case import BOILER, PUMP, in_file

tree = in_file(PUMP, "trees.yaml")
lockout = in_file(BOILER, "trees/lockout.yml")
water = in_file(BOILER, "trees/no-hot-water.yaml")

CASES = (
    tree("start: noise", "start: nois", "unknown-node"),
    tree("start: noise\n", "", "missing-key", at="tree: noisy-pump"),
    tree("then: {grey: worn-frame, clear: turn}", "then: {grey: worn-frame, clear: tern}", "unknown-node"),
    tree("then: {grey: worn-frame, clear: turn}", "then: {gray: worn-frame, clear: turn}", "unknown-answer"),
    tree("then: {grey: worn-frame, clear: turn}", "then: {clear: turn}", "missing-answer"),
    tree("then: {grey: worn-frame, clear: turn}", "then: [worn-frame, turn]", "wrong-type"),
    # Two nodes hang on it.
    tree("dry: scored-or-worn}, else: weep}", "dry: scored-or-worn}}", "missing-else", most=3),
    tree("else: worn-or-out}", "else: worn-or-aut}", "unknown-node"),
    tree("turn: {check: shaft-turn", "turn: {check: shaft-trun", "unknown-check"),
    tree("worn: {outcome: impeller-worn}", "worn: {outcome: impeler-worn}", "unknown-fault"),
    tree("worn: {outcome: impeller-worn}", "worn: {outcome: }", "wrong-type"),
    tree("airy-or-worn: {outcome: [air-in-suction, impeller-worn]}", "airy-or-worn: {outcome: []}", "wrong-type"),
    tree("airy: {outcome: air-in-suction}", "airy: {outcome: sleeve-scored}", "outcome-without-weight"),
    tree("{continue: low-flow}", "{continue: lowflow}", "unknown-tree"),
    # The weights name the one and not the other.
    tree("{continue: low-flow}", "{continue: noisy-pump}", "tree-ring", most=3),
    tree(
        "sounds-normal: 12, sleeve-scored: 9, seal-worn: 6, low-flow: 35}",
        "sounds-normal: 12, sleeve-scored: 9, seal-worn: 6}",
        "outcome-without-weight",
        at="on-to-flow: {",
    ),
    tree("dirty: {outcome: strainer-blocked}", "dirty: {continue: noisy-pump}", "tree-ring", at="dirty: {", most=3),
    tree("wide: worn}, else: worn}", "wide: worn}, else: drop}", "question-ring"),
    tree("  worn-seal: {outcome", "  again: {outcome: seal-worn}\n  worn-seal: {outcome", "unreachable-node"),
    tree(
        "yes: worn-seal, no: normal}, else: normal}",
        "yes: normal, no: normal}, else: normal}",
        "unreachable-node",
        at="worn-seal: {outcome",
    ),
    tree("low-flow: 35}", "low-flow: 35, impeller-worn: 3}", "weight-without-outcome"),
    tree("weights: {bearings-worn: 30,", "weights: {bearing-worn: 30,", "unknown-fault"),
    tree("weights: {bearings-worn: 30,", "weights: {bearings-worn: -30,", "out-of-range"),
    tree("weights: {bearings-worn: 30,", "weights: {bearings-worn: many,", "wrong-type"),
    tree("{coupling: {jaw: 25, spacer: 10}}", "{coupling: {jaw: 25}}", "amount-without-value"),
    tree("{coupling: {jaw: 25, spacer: 10}}", "{coupling: {jaw: 25, space: 10}}", "unknown-value"),
    tree("{coupling: {jaw: 25, spacer: 10}}", "{cuopling: {jaw: 25, spacer: 10}}", "unknown-feature"),
    tree(
        "weights: {strainer-blocked: 40, air-in-suction: 22, impeller-worn: {stages: {1: 20, 2: 33}}}\nother: 6",
        "weights: {strainer-blocked: 0, air-in-suction: 0, impeller-worn: {stages: {1: 0, 2: 33}}}\nother: 0",
        "build-without-weight",
    ),
    tree("other: 6\n", "", "without-other", severity="warning", at="weights: {strainer"),
    tree("other: 6\n", "other: -6\n", "out-of-range"),
    tree("other: 6\n", "othr: 6\n", "unknown-key"),
    tree('revision: "2"\ndate: 2026-11-25', 'revision: "2"\ndate: 25.11.2026', "wrong-type"),
    tree('revision: "2"\ndate: 2026-11-25', 'revision: "2"\ndate: 2026-11-31', "out-of-range"),
    tree("title: Low flow\n", "title: Low flow\nengines: [tarn]\n", "unknown-engine", at="engines: [tarn]"),
    tree("title: Low flow\n", "title: Low flow\nengines: tarn-pump\n", "wrong-type", at="engines: tarn-pump"),
    tree("title: Low flow\n", "", "missing-key", at="tree: low-flow"),
    tree(
        "no: normal}, else: normal}",
        "no: scored}, else: normal}",
        "outcome-without-fault",
        at="scored: {outcome: sleeve-scored}",
    ),
    tree("stuck: worn-frame}, else: line}", "stuck: line}, else: line}", "forbidden-path", at="line: {check"),
    tree("cautions: [locked-off]", "cautions: [looked-off]", "unknown-caution"),
    tree("normal: {outcome: sounds-normal}", "normal: {outcome: sounds-normal, cautions: [calm]}", "unknown-caution"),
    tree("normal: {outcome: sounds-normal}", "normal: {outcome: sounds-normal, check: frame-oil}", "wrong-type"),
    tree("normal: {outcome: sounds-normal}", "normal: {note: Go home.}", "missing-key"),
    tree("normal: {outcome: sounds-normal}", "normal: {outcome: sounds-normal, notes: Quiet.}", "unknown-key"),
    tree("normal: {outcome: sounds-normal}", "normal: {outcome: sounds-normal, then: {a: b}}", "unknown-key"),
    tree("oil: {check: frame-oil, then: {grey: worn-frame, clear: turn}}", "oil: {check: frame-oil}", "missing-key"),
    tree("  scored-or-worn: {outcome", "  scored_or_worn: {outcome", "bad-id"),
    tree("  scored: {outcome: sleeve-scored}\n", "", "unknown-node", at="gland: {check"),
    # The other tree goes on in the one that is gone, and gives it a weight and rows.
    tree("tree: low-flow", "tree: noisy-pump", "duplicate-id", most=4),
    tree("nodes:\n  drop:", "node:\n  drop:", "unknown-key"),
    tree('for: Centrifugal process pumps\nrevision: "2"', 'for: [pumps]\nrevision: "2"', "wrong-type"),
    lockout(
        "then: {strong: gap, weak: sooted, none: sooted}, else: gap}",
        "then: {strong: gap, weak: sooted, none: sooted}}",
        "missing-else",
    ),
    lockout("engines: [skell-boiler]", "engines: [skel-boiler]", "unknown-engine"),
    lockout("fan-stuck: {power: {9: 8, 12: 9, 18: 14}}", "fan-stuck: {power: {9: 8, 12: 9}}", "amount-without-value"),
    # Two nodes hang on it.
    lockout("else: voltage}", "else: spark}", "question-ring", most=3),
    lockout(
        "good: unclear}, else: unclear}",
        "good: sooted}, else: unclear}",
        "outcome-without-fault",
        at="sooted: {outcome",
    ),
    # The answer that is gone leads nowhere, and its node hangs on it.
    lockout("then: {yes: spark, no: stuck}", "then: {yes: spark, yes: stuck}", "duplicate-key", most=3),
    water("title: Heating works", "titel: Heating works", "unknown-key"),
    water("plate-scaled: 28, ", "", "outcome-without-weight", at="scaled: {outcome"),
    water("then: {spins: valve, stands: seized}", "then: {spins: valve, stand: seized}", "unknown-answer"),
    water("high: seized-or-stuck}, else: tap}", "high: spin}, else: tap}", "forbidden-path", at="spin: {check"),
    water("fair: scaled}, else: pipes}", "fair: scaled}}", "missing-else"),
)
