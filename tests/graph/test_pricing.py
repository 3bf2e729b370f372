from dataclasses import replace
from fractions import Fraction

from diagtree.graph.labour import labour
from diagtree.graph.pricing import exact, mean_hours, number_for, parts_price, quantities, step_price, unit_price
from diagtree.model.engine import Build, Part, PartNumber
from diagtree.model.quantity import Hours
from tests.scope.making import engine, part, step, take, when

ROLLER, TOOTH = Build("r", {"chain": "roller"}), Build("t", {"chain": "tooth"})
CHAIN = Part(
    "chain", "Chain", (PartNumber("N-1", 84.0, when(chain="roller")), PartNumber("N-2", 96.0, when(chain="tooth")))
)


def test_a_decimal_is_the_fraction_that_it_was_written_as() -> None:
    assert exact(0.1) == Fraction(1, 10)
    assert exact(3) == 3


def test_mean_hours_are_the_beta_pert_mean() -> None:
    assert mean_hours(Hours(10, 30, 90)) == Fraction(220, 6)


def test_the_one_number_that_admits_the_build_is_taken() -> None:
    assert number_for(CHAIN, ROLLER) == CHAIN.numbers[0]
    assert unit_price(CHAIN, TOOTH) == 96


def test_none_or_two_fitting_numbers_are_no_number() -> None:
    assert number_for(CHAIN, Build("?", {})) is None
    twice = replace(CHAIN, numbers=(PartNumber("N-1", 1.0), PartNumber("N-2", 2.0)))
    assert number_for(twice, ROLLER) is None
    assert unit_price(twice, ROLLER) == 0


def test_quantities_add_up_by_feature_and_leave_out_what_is_nothing() -> None:
    takes = [take("bolt", 0.0, "chain", roller=2.0, tooth=4.0), take("bolt", 1), take("none", 0)]
    assert quantities(takes, ROLLER) == {"bolt": 3}
    assert quantities(takes, TOOTH) == {"bolt": 5}
    assert quantities(takes, Build("?", {})) == {"bolt": 1}


def test_the_price_of_a_step_is_labour_and_single_parts() -> None:
    made = engine([step("a", 0.3, takes=[take("oil", 7.5), take("seal", 2)])], [part("oil", 9.95), part("seal", 0.1)])
    build = made.builds["b"]
    assert parts_price(made, build, made.work["a"].takes) == Fraction("74.825")
    assert step_price(labour(made, build), made.work["a"], 95.0) == Fraction("103.325")
