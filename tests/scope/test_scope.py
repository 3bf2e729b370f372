from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.graph.labour import closure, labour
from diagtree.graph.pricing import mean_hours, step_price
from diagtree.model.engine import ONLY_BUILD, ONLY_ENGINE, Build, Engine, Feature, Part, PartNumber
from diagtree.model.library import Library
from diagtree.scope.plan import Reason
from diagtree.scope.repair import CloseUp
from diagtree.scope.request import Request, request
from diagtree.scope.scope import NO_ENGINE, Scope, scope
from tests.scope.making import SHOP, engine, engines, fault, kit, library, part, step, take, when

CHAIN = Feature("chain", "Chain", ("roller", "tooth"), "Look.")
COLOUR = Feature("colour", "Colour", ("red", "blue"))
BUILDS = tuple(
    Build(f"{chain}-{colour}", {"chain": chain, "colour": colour})
    for chain, colour in product(("roller", "tooth"), ("red", "blue"))
)


def single(made: Engine, *repair: str, opened: dict[str, tuple[str, ...]] | None = None) -> Scope:
    """The scope of one fault with these repair steps, for all builds of an engine."""
    wanted = fault("f", *repair)
    return scope(library(made, wanted), made, tuple(made.builds.values()), [wanted], opened)


def names(found: Scope) -> list[str]:
    return [marked.entry.step.id for marked in found.steps]


def reasons(found: Scope) -> dict[str, tuple[Reason, ...]]:
    return {marked.entry.step.id: marked.entry.reasons for marked in found.steps}


@given(engines(), st.data())
def test_hours_parts_and_steps_are_those_of_the_closure(made: Engine, data: st.DataObject) -> None:
    repair = data.draw(st.lists(st.sampled_from(sorted(made.work)), min_size=1, max_size=3, unique=True))
    behind = tuple(data.draw(st.lists(st.sampled_from(sorted(made.work)), max_size=2, unique=True)))
    build = data.draw(st.sampled_from(list(made.builds.values())))
    wanted = fault("f", *repair)
    found = scope(library(made, wanted), made, [build], [wanted], {"check": behind})
    work = labour(made, build)
    everything = closure(work, repair) | closure(work, behind)
    assert sorted(names(found)) == sorted(everything)
    assert found.hours == sum((mean_hours(work.steps[name].hours) for name in everything), Fraction(0))
    assert found.parts_cost is not None
    total = found.hours * 100 + found.parts_cost
    assert total == sum((step_price(work, work.steps[name], 100.0) for name in everything), Fraction(0))
    assert found.buy_cost is not None
    assert found.buy_cost <= found.parts_cost
    assert not found.open
    assert all(marked.entry.reasons for marked in found.steps)
    assert found.close_up is not None
    assert found.close_up.hours == sum(
        (mean_hours(work.steps[name].hours) for name in closure(work, behind)), Fraction(0)
    )


@given(engines(), st.data())
def test_an_offer_saves_what_its_own_closure_shares_with_the_scope(made: Engine, data: st.DataObject) -> None:
    repair = data.draw(st.lists(st.sampled_from(sorted(made.work)), min_size=1, max_size=2, unique=True))
    build = data.draw(st.sampled_from(list(made.builds.values())))
    wanted = fault("f", *repair)
    found = scope(library(made, wanted), made, [build], [wanted])
    work = labour(made, build)
    base = closure(work, repair)
    offered = {marked.entry.step.id: marked.entry for marked in found.offers}
    assert set(offered) == {name for name, one in work.steps.items() if one.offer and name not in base}
    for name, offer in offered.items():
        shared = closure(work, [name]) & base
        wider = closure(work, [*repair, name])
        assert offer.saving == sum((mean_hours(work.steps[other].hours) for other in shared), Fraction(0))
        assert offer.hours == sum((mean_hours(work.steps[other].hours) for other in wider - base), Fraction(0))
        assert offer.cost == sum((step_price(work, work.steps[other], 100.0) for other in wider - base), Fraction(0))


@given(engines(), st.data())
def test_each_build_finds_its_own_result_among_the_marked_lines(made: Engine, data: st.DataObject) -> None:
    """What a build needs, worked out alone, is what the lines marked for it say when it is one of several."""
    repair = data.draw(st.lists(st.sampled_from(sorted(made.work)), min_size=1, max_size=3, unique=True))
    wanted = fault("f", *repair)
    together = single(made, *repair)
    for build in made.builds.values():
        alone = scope(library(made, wanted), made, [build], [wanted])

        def mine(when: tuple[tuple[str, tuple[str, ...]], ...], build: Build = build) -> bool:
            return all(build.features[name] in values for name, values in when)

        # One order for all builds may break ties otherwise than the order for one.
        assert sorted(marked.entry.step.id for marked in together.steps if mine(marked.when)) == sorted(names(alone))
        assert [marked.entry for marked in together.parts if mine(marked.when)] == [m.entry for m in alone.parts]
        assert [marked.entry for marked in together.buy if mine(marked.when)] == [m.entry for m in alone.buy]
        assert [marked.entry for marked in together.offers if mine(marked.when)] == [m.entry for m in alone.offers]
        (own,) = [one for one in together.alternatives if build in one.builds]
        assert [line.step.id for line in own.repair.steps] == names(alone)
        assert own.repair.hours == alone.hours
        assert own.repair.buy_cost == alone.buy_cost
    assert bool(together.open) == (len(together.alternatives) > 1)


def test_an_excluded_step_is_dropped_with_what_only_it_would_pull_in() -> None:
    made = engine(
        [
            step("cover"),
            step("mount"),
            step("pump", after=["mount"], admits=when(chain="tooth")),
            step("chain", after=["cover"], brings={"pump": "Behind it."}),
        ],
        builds=[Build("roller", {"chain": "roller"})],
        features=[CHAIN],
    )
    assert names(single(made, "chain")) == ["cover", "chain"]


def test_steps_that_bring_each_other_are_done_once() -> None:
    made = engine(
        [step("chain", 0.4, brings={"tensioner": "Tired."}), step("tensioner", 0.3, brings={"chain": "Worn."})]
    )
    found = single(made, "chain")
    assert names(found) == ["chain", "tensioner"]
    assert found.hours == Fraction(7, 10)
    assert reasons(found) == {
        "chain": (Reason("mends", "f"),),
        "tensioner": (Reason("brings", "chain", "Tired."),),
    }


def test_access_names_the_nearest_steps_that_need_it() -> None:
    made = engine(
        [
            step("rocker"),
            step("cover", after=["rocker"]),
            step("chain", after=["cover"]),
            step("guide", after=["cover"]),
        ]
    )
    assert reasons(single(made, "chain", "guide"))["cover"] == (Reason("access", "chain"), Reason("access", "guide"))
    assert reasons(single(made, "chain"))["rocker"] == (Reason("access", "cover"),)


def test_what_a_check_opened_is_closed_again_with_its_parts() -> None:
    made = engine(
        [step("sump", 1.5, takes=[take("seal", 2)]), step("cover", 2.6), step("chain", 0.4, after=["cover"])],
        [part("seal", 4.5)],
    )
    found = single(made, "chain", opened={"look": ("sump",), "peep": ("cover",)})
    assert reasons(found)["sump"] == (Reason("opened", "look"),)
    assert reasons(found)["cover"] == (Reason("access", "chain"),)
    assert found.hours == Fraction("4.5")
    assert found.close_up is not None
    assert found.close_up == CloseUp(Fraction("4.1"), Fraction(9), Fraction(419))


def test_without_checks_there_is_no_bill_for_closing_up() -> None:
    assert single(engine([step("a")]), "a").close_up is None


def test_what_is_opened_already_counts_as_in_the_scope_for_an_offer() -> None:
    made = engine([step("cover", 2.6), step("pump", 0.5, after=["cover"], offer="Behind it."), step("wash", 0.2)])
    (marked,) = single(made, "wash", opened={"look": ("cover",)}).offers
    assert (marked.entry.saving, marked.entry.hours) == (Fraction("2.6"), Fraction("0.5"))
    assert marked.entry.cost == 50
    assert marked.entry.ready
    (marked,) = single(made, "wash").offers
    assert marked.entry.saving == 0
    assert not marked.entry.ready


def open_chain() -> Engine:
    chain = Part(
        "chain", "Chain", (PartNumber("N-1", 84.0, when(chain="roller")), PartNumber("N-2", 96.0, when(chain="tooth")))
    )
    return engine(
        [step("renew", 0.4, takes=[take("chain"), take("bolt", 2.0)])],
        [chain, part("bolt", 7.5)],
        [kit("K-1", 100, when(chain="tooth"), chain=1, bolt=1)],
        BUILDS,
        [CHAIN, COLOUR],
    )


def test_an_open_feature_that_changes_a_number_is_listed_and_both_numbers_are_given() -> None:
    found = single(open_chain(), "renew")
    assert dict(found.open) == {"chain": ("roller", "tooth")}  # the colour changes nothing
    assert [(marked.entry.number, marked.when) for marked in found.parts] == [
        ("N-1", (("chain", ("roller",)),)),
        ("N-2", (("chain", ("tooth",)),)),
        ("N-bolt", ()),
    ]
    assert (found.hours, found.parts_cost, found.buy_cost) == (Fraction("0.4"), None, None)
    assert [(len(one.builds), one.repair.buy_cost) for one in found.alternatives] == [(2, 99), (2, Fraction("107.5"))]


def test_a_kit_is_marked_with_the_feature_of_its_own_condition() -> None:
    """Chain and colour go together in the two builds left; each line names what it itself depends on."""
    made = replace(open_chain(), kits=(kit("K-1", 8, when(colour="blue"), bolt=2),))
    wanted = fault("f", "renew")
    found = scope(library(made, wanted), made, (BUILDS[0], BUILDS[3]), [wanted])
    assert {marked.entry.number: marked.when for marked in found.buy} == {
        "K-1": (("colour", ("blue",)),),
        "N-1": (("chain", ("roller",)),),
        "N-2": (("chain", ("tooth",)),),
        "N-bolt": (("chain", ("roller",)),),
    }


def test_a_feature_that_is_known_is_not_open() -> None:
    made = open_chain()
    wanted = fault("f", "renew")
    found = scope(library(made, wanted), made, BUILDS[2:], [wanted])
    assert not found.open
    assert len(found.alternatives) == 1
    assert found.buy_cost == Fraction("107.5")
    assert [marked.entry.number for marked in found.buy] == ["K-1", "N-bolt"]


def test_a_feature_that_nothing_asks_for_is_not_open_though_it_differs_along() -> None:
    made = open_chain()
    wanted = fault("f", "renew")
    found = scope(library(made, wanted), made, (BUILDS[0], BUILDS[3]), [wanted])
    assert list(found.open) == ["chain"]


def test_an_open_step_changes_the_hours_and_is_marked() -> None:
    made = engine(
        [step("box", 6.0, admits=when(chain="tooth")), step("chain", 0.4, after=["box"])],
        builds=BUILDS,
        features=[CHAIN, COLOUR],
    )
    found = single(made, "chain")
    assert found.hours is None
    assert [(marked.entry.step.id, marked.when) for marked in found.steps] == [
        ("box", (("chain", ("tooth",)),)),
        ("chain", ()),
    ]
    assert [one.repair.hours for one in found.alternatives] == [Fraction("0.4"), Fraction("6.4")]


def test_builds_that_no_conjunction_singles_out_are_marked_one_by_one() -> None:
    """Two bolts on roller-red and tooth-blue, one on the others."""
    extra = [
        step("more-red", admits=when(chain="roller", colour="red"), takes=[take("bolt", 1.0)]),
        step("more-blue", admits=when(chain="tooth", colour="blue"), takes=[take("bolt", 1.0)]),
    ]
    made = engine(
        [*extra, step("renew", after=["more-red", "more-blue"], takes=[take("bolt", 1.0)])],
        [part("bolt", 7.5)],
        builds=BUILDS,
        features=[CHAIN, COLOUR],
    )
    found = single(made, "renew")
    assert [marked.entry.quantity for marked in found.parts] == [2, 2, 1, 1]
    assert [marked.builds for marked in found.parts] == [
        ("roller-red",),
        ("tooth-blue",),
        ("roller-blue",),
        ("tooth-red",),
    ]


def test_a_part_without_one_number_is_named_and_not_reckoned() -> None:
    bare = Part("seal", "Seal", (PartNumber("N-1", 5.0, when(chain="roller")),))
    made = engine([step("a", takes=[take("seal")])], [bare], builds=[Build("t", {"chain": "tooth"})])
    found = single(made, "a")
    assert found.remarks == ("No one number of 'Seal' fits this build: its price is not in the sums.",)
    assert found.parts[0].entry.number == ""
    assert found.parts_cost == 0
    assert not found.buy


def test_a_remark_that_holds_for_some_builds_names_them() -> None:
    bare = Part("seal", "Seal", (PartNumber("N-1", 5.0, when(chain="roller")),))
    made = engine([step("a", takes=[take("seal")])], [bare], builds=BUILDS, features=[CHAIN, COLOUR])
    (remark,) = single(made, "a").remarks
    assert remark.endswith("(Build: tooth-red, tooth-blue.)")


def test_parts_that_share_a_number_are_bought_as_one() -> None:
    left = Part("left", "Left bolt", (PartNumber("N-1", 2.0),))
    right = Part("right", "Right bolt", (PartNumber("N-1", 2.0),))
    made = engine(
        [step("a", takes=[take("left", 2), take("right", 3)])], [left, right], [kit("N-0", 7, left=2, right=2)]
    )
    found = single(made, "a")
    assert {marked.entry.number: int(marked.entry.count) for marked in found.buy} == {"N-0": 1, "N-1": 1}
    assert found.buy_cost == 9


def test_a_library_without_an_engine_has_a_scope_without_steps_that_says_so() -> None:
    wanted = fault("f", "renew")
    bare = Library(shop=SHOP, faults={"f": wanted})
    found = scope(bare, ONLY_ENGINE, [ONLY_BUILD], [wanted])
    assert not found.steps
    assert found.hours == 0
    assert found.buy_cost == 0
    assert found.remarks == (NO_ENGINE,)


def test_no_possible_build_is_our_own_mistake() -> None:
    made = engine([step("a")])
    with pytest.raises(ValueError, match="at least one"):
        scope(library(made), made, [], [])


def test_a_fault_that_the_build_cannot_have_is_left_out_with_a_remark() -> None:
    made = engine([step("a"), step("b")], builds=[BUILDS[0]])
    one, other = fault("one", "a"), fault("other", "b", admits=when(chain="tooth"))
    found = scope(library(made, one, other), made, [BUILDS[0]], [one, other])
    assert names(found) == ["a"]
    assert found.remarks == ("'Fault other' cannot be in this build: its work is left out.",)


def test_a_request_keeps_the_builds_that_can_have_all_the_faults() -> None:
    made = engine([step("a")], builds=BUILDS)
    tooth, red = fault("tooth", "a", admits=when(chain="tooth")), fault("red", "a", admits=when(colour="red"))
    known = library(made, tooth, red)
    assert request(known, BUILDS, ["tooth", "red", "tooth"]) == Request((tooth, red), (BUILDS[2],))


def test_a_request_for_an_unknown_fault_names_the_nearest() -> None:
    made = engine([step("a")])
    known = library(made, fault("chain-long", "a"), fault("oil-low", "a"))
    assert request(known, BUILDS, ["chian-long"]) == (
        "The library has no fault 'chian-long'. The nearest is 'chain-long'."
    )


def test_a_request_for_a_fault_that_the_build_excludes_says_where_it_occurs() -> None:
    made = engine([step("a")], builds=BUILDS)
    known = library(
        made, fault("tooth", "a", admits=when(chain="tooth")), fault("roller", "a", admits=when(chain="roller"))
    )
    assert request(known, BUILDS[:1], ["tooth"]) == (
        "'tooth' occurs only where chain: tooth. Build 'roller-red' is none of these."
    )
    assert request(known, BUILDS, ["tooth", "roller"]) == (
        "No one build can have 'tooth', 'roller' together. Ask for them one by one."
    )
