import json
from dataclasses import replace
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from diagtree.model.check import Check
from diagtree.model.engine import ONLY_BUILD, ONLY_ENGINE, Build, Engine, Feature, Part, PartNumber, Tightening
from diagtree.model.fault import Caution, Fault
from diagtree.model.library import NOTICE, Library
from diagtree.model.quantity import NO_HOURS
from diagtree.report.lines import cells
from diagtree.report.scope import as_dict, as_json, as_text
from diagtree.report.scope_text import in_all
from diagtree.scope.scope import Scope, scope
from tests.scope.making import SHOP, engine, engines, fault, kit, library, part, step, take, when

CHAIN = Feature("chain", "Primary chain style", ("roller", "tooth"), "Look through the filler.")
EARLY, LATE = Build("early", {"chain": "roller"}), Build("late", {"chain": "tooth"})
WORN = Fault(
    "chain-worn", "Primary chain elongated", "Wear.", ("renew-chain",), ("Turn twice by hand.",), cautions=("oil",)
)
CAUTIONS = {
    "oil": Caution("oil", "Hot oil. Let it cool."),
    "valves": Caution("valves", "Turn by hand, stop at resistance.", "stop"),
    "tooth-only": Caution("tooth-only", "Narrow pins.", "stop", when(chain="tooth")),
}


def brennick() -> Engine:
    cover = replace(
        step("cover-off", 2.6, takes=[take("seal")]),
        title="Take off the front cover",
        do=("Undo the bolts from outside to inside.",),
        tools=("balancer puller",),
        cautions=("valves", "tooth-only"),
        torque=(Tightening("Phaser", ("30 lbf ft", "-360 deg", "a quarter turn")),),
    )
    renew = replace(
        step("renew-chain", 0.4, after=["cover-off"], brings={"renew-tensioner": "Tired."}, takes=[take("chain")]),
        title="Renew the chain",
    )
    tensioner = replace(step("renew-tensioner", 0.3, after=["cover-off"], takes=[take("tensioner")]), title="Tensioner")
    pump = step("pump", 0.5, after=["cover-off"], takes=[take("pump")], offer="Behind the same cover.")
    water = step("water", 0.5, after=["drain"], offer="Cheap.")
    chain = Part(
        "chain",
        "Chain",
        (PartNumber("BV-1", 84.0, when(chain="roller")), PartNumber("BV-2", 96.0, when(chain="tooth"))),
    )
    return engine(
        [cover, renew, tensioner, pump, step("drain", 0.2), water],
        [
            chain,
            part("seal", 14.5, single_use="The lip takes a set."),
            replace(part("tensioner", 66.0), deposit=15.0),
            part("pump", 140.0),
        ],
        [kit("BV-K1", 149.0, when(chain="tooth"), chain=1, tensioner=1)],
        [EARLY, LATE],
        [CHAIN],
    )


def brennick_scope(*builds: Build, opened: dict[str, tuple[str, ...]] | None = None) -> Scope:
    made = brennick()
    known = replace(
        library(made, WORN),
        cautions=CAUTIONS,
        checks={"peep": Check("peep", "What does the cover hide?", (), NO_HOURS)},
        shop=replace(SHOP, labour_rate=95.0, units=("N m",)),
    )
    return scope(known, made, builds or (EARLY, LATE), [WORN], opened)


def test_a_known_build_has_the_contract_of_the_command() -> None:
    data = as_dict(brennick_scope(LATE))
    assert [(line["step"], line["hours"], line["why"]) for line in data["steps"]] == [
        ("cover-off", 2.6, "access to renew-chain, renew-tensioner"),
        ("renew-chain", 0.4, "mends chain-worn"),
        ("renew-tensioner", 0.3, "Tired. (with renew-chain)"),
    ]
    assert (data["hours"], data["parts_cost"], data["buy_cost"]) == (3.3, 176.5, 163.5)
    assert [
        (one["part"], one["number"], one["quantity"], one["price"], one["single_use"]) for one in data["parts"]
    ] == [
        ("chain", "BV-2", 1, 96, False),
        ("seal", "N-seal", 1, 14.5, True),
        ("tensioner", "N-tensioner", 1, 66, False),
    ]
    assert [(one["number"], one["count"], one["price"]) for one in data["buy"]] == [
        ("BV-K1", 1, 149),
        ("N-seal", 1, 14.5),
    ]
    assert data["open"] == {}
    assert data["alternatives"] == []
    assert (data["engine"], data["build"], data["currency"], data["notice"]) == ("e", "late", "EUR", NOTICE)
    assert "close_up" not in data


def test_offers_in_json_are_all_and_people_see_those_within_reach() -> None:
    data = as_dict(brennick_scope(EARLY))
    assert [(one["step"], one["saving"], one["adds"]) for one in data["offers"]] == [
        ("pump", 2.6, {"hours": 0.5, "cost": 187.5}),
        ("water", 0, {"hours": 0.7, "cost": 66.5}),
    ]
    text = as_text(brennick_scope(EARLY))
    assert "The pump: adds 0.5 h and 187.50 EUR, saves 2.6 h" in text
    assert "The water" not in text
    assert "Savings do not add up" in text


def test_an_open_build_gives_both_alternatives_and_no_single_figure() -> None:
    data = as_dict(brennick_scope())
    assert data["build"] is None
    assert data["open"] == {"chain": ["roller", "tooth"]}
    assert (data["hours"], data["parts_cost"], data["buy_cost"]) == (3.3, None, None)
    assert [(one["number"], one.get("when")) for one in data["parts"]] == [
        ("BV-1", {"chain": ["roller"]}),
        ("BV-2", {"chain": ["tooth"]}),
        ("N-seal", None),
        ("N-tensioner", None),
    ]
    assert [(one["builds"], one["features"], one["buy_cost"]) for one in data["alternatives"]] == [
        (["early"], {"chain": ["roller"]}, 164.5),
        (["late"], {"chain": ["tooth"]}, 163.5),
    ]


def test_people_read_how_to_see_what_is_open_and_what_each_means() -> None:
    text = as_text(brennick_scope())
    assert "- Primary chain style: roller or tooth. How to see it: Look through the filler." in " ".join(text.split())
    assert "Build early (Primary chain style: roller): 3.3 h, parts 164.50 EUR" in text
    assert "           Only where 'Primary chain style' is tooth." in text


def test_cautions_stand_stop_first_and_only_where_they_apply() -> None:
    assert [one["id"] for one in as_dict(brennick_scope(LATE))["cautions"]] == ["valves", "tooth-only", "oil"]
    early = as_dict(brennick_scope(EARLY))
    assert [one["id"] for one in early["cautions"]] == ["valves", "oil"]
    assert early["steps"][0]["cautions"] == ["valves"]


def test_tightening_is_shown_in_the_shops_units_and_what_cannot_be_read_as_written() -> None:
    data = as_dict(brennick_scope(LATE))
    assert data["steps"][0]["torque"] == [
        {"bolts": "Phaser", "steps": ["41 N m (30 lbf ft)", "-360 deg", "a quarter turn"]}
    ]


def test_the_text_of_a_known_build_reads_as_a_plan() -> None:
    assert as_text(brennick_scope(LATE)) == KNOWN


KNOWN = f"""\
Repair scope: Primary chain elongated
Engine
Build: late

In all: 3.3 h, parts 163.50 EUR, together 477.00 EUR before tax.

STOP:    Turn by hand, stop at resistance.
STOP:    Narrow pins.
Warning: Hot oil. Let it cool.

Work: 3.3 h
  1. Take off the front cover, 2.6 h
     Why: access to 'Renew the chain', 'Tensioner'
     Tools: balancer puller
     STOP:    Turn by hand, stop at resistance.
     STOP:    Narrow pins.
     - Undo the bolts from outside to inside.
     - Tighten Phaser: 41 N m (30 lbf ft), then loosen 360 deg, then a quarter
       turn
       Source: none given. The maker's data decide.
  2. Renew the chain, 0.4 h
     Why: mends 'Primary chain elongated'
  3. Tensioner, 0.3 h
     Why: Tired. Done with 'Renew the chain'.

Parts, bought singly: 176.50 EUR
  BV-2         1 x Chain at 96.00 EUR
  N-seal       1 x The seal at 14.50 EUR
               Single use: The lip takes a set.
  N-tensioner  1 x The tensioner at 66.00 EUR
               Deposit 15.00 EUR each, back with the old part.

Cheapest to buy: 163.50 EUR
  BV-K1   1 x Kit BV-K1 at 149.00 EUR
          Holds: 1 x Chain; 1 x The tensioner.
  N-seal  1 x The seal at 14.50 EUR

Labour, at 95.00 EUR an hour: 313.50 EUR. With the parts as bought: 477.00 EUR
before tax.

While it is open:
  - The pump: adds 0.5 h and 187.50 EUR, saves 2.6 h against doing it on another
    day. Behind the same cover.
  Savings do not add up: two offers may lie behind the same cover.

Afterwards:
  - Turn twice by hand.

{NOTICE[:80]}
{NOTICE[81:]}
"""


def test_open_builds_have_their_bills_and_what_is_open_at_the_top() -> None:
    head = as_text(brennick_scope()).partition("STOP")[0]
    assert head.endswith(
        "In all, by build, before tax:\n"
        "  early  3.3 h, parts 164.50 EUR, together 478.00 EUR\n"
        "  late   3.3 h, parts 163.50 EUR, together 477.00 EUR\n"
        "Still open: Primary chain style. How to see it: at the end.\n\n"
    )


def test_in_a_few_words_open_builds_give_the_least_and_the_most() -> None:
    assert in_all(brennick_scope()) == "3.3 h, together 477.00 EUR to 478.00 EUR before tax, by build"
    assert in_all(brennick_scope(EARLY)) == "3.3 h, parts 164.50 EUR, together 478.00 EUR before tax"


def test_many_open_builds_have_one_line_at_the_top() -> None:
    many = [Build(f"b{place}", {"kind": str(place)}) for place in range(7)]
    values = tuple(build.features["kind"] for build in many)
    works = [replace(step(f"s{value}", float(value)), when=when(kind=value)) for value in values]
    made = engine(works, builds=many, features=[Feature("kind", "Kind", values)])
    text = as_text(scope(library(made, fault("f", *made.work)), made, many, [fault("f", *made.work)]))
    assert "In all: 0 h to 6 h, " in text


def test_a_library_without_a_shop_has_no_money_at_the_top() -> None:
    made = brennick()
    bare = replace(library(made, WORN), shop=None)
    text = as_text(scope(bare, made, [LATE], [WORN]))
    assert "In all: 3.3 h, parts 163.50.\n" in text


def test_what_is_closed_at_the_end_stands_once_more_the_last_opened_first() -> None:
    made = brennick()
    work = dict(made.work)
    work["drain"] = replace(work["drain"], do=("Let it out.", "At the end, all closed: fill it."))
    work["cover-off"] = replace(work["cover-off"], after=("drain",), do=("Undo it. At the end: new seal.",))
    work["renew-chain"] = replace(work["renew-chain"], do=("At the ending of the chain, look.",))
    made = replace(made, work=work)
    found = scope(library(made, WORN), made, (LATE,), [WORN])
    assert as_dict(found)["closing"] == [
        {"step": "cover-off", "do": ["New seal."]},
        {"step": "drain", "do": ["All closed: fill it."]},
    ]
    text = as_text(found)
    assert "  - Step 2, Take off the front cover:\n      New seal.\n  - Step 1, The drain:\n      All closed" in text
    assert text.index("Closing up, in this order:") > text.index("3. Renew the chain")
    assert "Closing up" not in as_text(brennick_scope(LATE))


def test_titles_with_commas_are_parted_by_semicolons() -> None:
    one, other = replace(WORN, title="Chain, short"), replace(WORN, id="b", title="Chain, long")
    made = brennick()
    assert as_text(scope(library(made, one, other), made, (LATE,), [one, other])).startswith(
        "Repair scope: Chain, short; Chain, long\n"
    )
    plain = replace(WORN, id="b", title="Pump worn")
    assert as_text(scope(library(made, WORN, plain), made, (LATE,), [WORN, plain])).startswith(
        "Repair scope: Primary chain elongated and Pump worn\n"
    )


def test_a_fault_that_no_build_can_have_is_not_named_as_mended() -> None:
    other = replace(WORN, id="b", title="Tooth gone", when=when(chain="tooth"), verify=("Count them.",))
    made = brennick()
    text = as_text(scope(library(made, WORN, other), made, (EARLY,), [WORN, other]))
    assert text.startswith("Repair scope: Primary chain elongated\n")
    assert "Count them." not in text
    assert "'Tooth gone' cannot be in this build" in text


def test_reasons_that_are_sentences_are_not_run_together() -> None:
    made = brennick()
    work = dict(made.work)
    work["cover-off"] = replace(work["cover-off"], brings={"renew-tensioner": "It was off."})
    made = replace(made, work=work)
    (line,) = (
        line.strip()
        for line in as_text(scope(library(made, WORN), made, (LATE,), [WORN]), 200).splitlines()
        if "Tired." in line
    )
    assert line == "Why: It was off. Done with 'Take off the front cover'. Tired. Done with 'Renew the chain'."


def test_hours_that_were_rounded_say_so() -> None:
    made = engine([step("s", 0.333), step("t", 0.333)])
    wanted = fault("f", "s", "t")
    text = as_text(scope(library(made, wanted), made, tuple(made.builds.values()), [wanted]))
    assert "Work: 0.67 h\n  Hours are shown to the hundredth; sums and money are of the exact hours.\n" in text
    assert "Hours are shown" not in as_text(brennick_scope(LATE))


def test_the_end_of_a_walk_says_what_it_costs_only_to_close() -> None:
    found = brennick_scope(LATE, opened={"peep": ("cover-off",)})
    assert as_dict(found)["close_up"] == {"hours": 2.6, "parts_cost": 14.5, "cost": 261.5}
    assert "If what was opened is only closed: 2.6 h, parts 14.50 EUR, 261.50 EUR in all." in as_text(found)
    made = brennick()
    only_closed = scope(found.library, made, [LATE], [], {"peep": ("cover-off",)})
    assert as_dict(only_closed)["steps"][0]["why"] == "opened for peep"
    assert "opened for the check 'What does the cover hide?'" in as_text(only_closed)


def test_a_library_without_engine_says_that_no_work_is_known() -> None:
    wanted = fault("f", "renew")
    found = scope(Library(faults={"f": wanted}), ONLY_ENGINE, [ONLY_BUILD], [wanted])
    data = as_dict(found)
    assert (data["engine"], data["build"], data["steps"], data["currency"]) == (None, None, [], "h")
    assert "The library has no engine" in as_text(found)


def test_a_fault_without_work_says_that_none_is_needed() -> None:
    made = engine([step("a")])
    wanted = fault("f")
    assert "Work: none is needed." in as_text(scope(library(made, wanted), made, [Build("b")], [wanted]))


@given(engines(), st.integers(24, 100), st.booleans())
def test_no_line_is_wider_than_the_columns_and_the_notice_is_always_there(
    made: Engine, columns: int, known: bool
) -> None:
    wide = replace(made, title="正時鏈條" * 9)
    wanted = fault("f", *made.work)
    builds = tuple(wide.builds.values())[: 1 if known else 2]
    text = as_text(scope(library(wide, wanted), wide, builds, [wanted]), columns)
    assert all(cells(line) <= columns for line in text.splitlines())
    assert NOTICE in " ".join(text.split())
    assert not any(line.endswith(" ") for line in text.splitlines())


@given(engines())
def test_json_is_one_object_and_says_the_same_each_time(made: Engine) -> None:
    wanted = fault("f", *made.work)
    found = scope(library(made, wanted), made, tuple(made.builds.values()), [wanted])
    assert json.loads(as_json(found)) == as_dict(found)
    assert as_json(found) == as_json(scope(library(made, wanted), made, tuple(made.builds.values()), [wanted]))
    numbers = [one["number"] for one in as_dict(found)["buy"]]
    assert all(one <= other for one, other in pairwise(numbers))
