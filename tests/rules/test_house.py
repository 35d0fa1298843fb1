"""A house may only tighten, and the loader proves it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.finding import Limit, Sense, Source, When, Whose
from gyrewright.rules.house import prove_house, prove_tightens

LAW = Source(section="section 1")


def limit(of="reserve", sense=Sense.AT_LEAST, value=1.0, whose=Whose.HOUSE, **given):
    return Limit(of=of, whose=whose, sense=sense, value=value, typed=f"{value:g}", source=LAW, **given)


def test_a_longer_reserve_is_proved_and_a_shorter_one_is_named():
    law = [limit(value=1 / 3, whose=Whose.LAW)]
    assert prove_tightens(law, [limit(value=0.5)]) == ()
    (problem,) = prove_tightens(law, [limit(value=0.25)])
    assert "laxer than the law" in str(problem)
    assert "section 1" in str(problem)


def test_equal_to_the_law_is_no_laxer():
    assert prove_tightens([limit(whose=Whose.LAW)], [limit()]) == ()


def test_where_the_law_excludes_equality_a_house_may_not_include_it():
    law = [limit(sense=Sense.ABOVE, whose=Whose.LAW)]
    assert len(prove_tightens(law, [limit()])) == 1
    assert prove_tightens(law, [limit(sense=Sense.ABOVE)]) == ()
    assert prove_tightens(law, [limit(value=1.1)]) == ()


def test_the_other_side_another_quantity_and_another_wind_are_not_compared():
    law = [limit("wind", Sense.AT_MOST, 10.0, Whose.LAW, counts="gust")]
    assert prove_tightens(law, [limit("wind", Sense.AT_LEAST, 20.0)]) == ()
    assert prove_tightens(law, [limit("crosswind", Sense.AT_MOST, 20.0)]) == ()
    assert prove_tightens(law, [limit("wind", Sense.AT_MOST, 20.0, counts="mean")]) == ()
    assert len(prove_tightens(law, [limit("wind", Sense.AT_MOST, 20.0, counts="gust")])) == 1
    assert len(prove_tightens(law, [limit("wind", Sense.AT_MOST, 20.0)])) == 1


def test_limits_for_flights_that_never_coincide_are_not_compared():
    law = [limit(whose=Whose.LAW, when=When(purpose=frozenset({"test"})))]
    assert prove_tightens(law, [limit(value=0.1, when=When(purpose=frozenset({"rental"})))]) == ()
    assert len(prove_tightens(law, [limit(value=0.1, when=When(purpose=frozenset({"test", "rental"})))])) == 1
    assert len(prove_tightens(law, [limit(value=0.1)])) == 1
    one, two = When(aboard=frozenset({1})), When(aboard=frozenset({2}))
    assert prove_tightens([limit(whose=Whose.LAW, when=one)], [limit(value=0.1, when=two)]) == ()


@given(
    st.sampled_from([Sense.AT_MOST, Sense.AT_LEAST, Sense.BELOW, Sense.ABOVE]),
    st.sampled_from([Sense.AT_MOST, Sense.AT_LEAST, Sense.BELOW, Sense.ABOVE]),
    st.integers(0, 20),
    st.integers(0, 20),
    st.integers(0, 20),
)
def test_what_is_proved_to_tighten_never_allows_what_the_law_forbids(law_sense, house_sense, law, house, value):
    def passes(sense, bound):
        return {
            Sense.AT_MOST: value <= bound,
            Sense.AT_LEAST: value >= bound,
            Sense.BELOW: value < bound,
            Sense.ABOVE: value > bound,
        }[sense]

    theirs = limit(sense=law_sense, value=float(law), whose=Whose.LAW)
    mine = limit(sense=house_sense, value=float(house))
    if law_sense.is_upper == house_sense.is_upper and not prove_tightens([theirs], [mine]):
        assert not (passes(house_sense, house) and not passes(law_sense, law))


def test_the_law_of_the_us_pack_takes_the_houses_of_the_scenarios(us, shapes):
    from datetime import date

    from gyrewright.rules import limits_in_force

    law = limits_in_force(us, date(2027, 6, 14), shapes["flight"])
    assert prove_tightens(law, [limit(value=0.5)]) == ()
    with_less = prove_tightens(law, [limit(value=0.3)])
    assert len(with_less) == 1
    assert "91.151(b)" in str(with_less[0])


def test_a_number_for_every_flight_need_not_be_as_strict_as_the_law_of_some(us):
    """The law's visibility runs from 1 SM to 5 SM by airspace, light and certificate; both layers stand on a flight."""
    between = limit("visibility", value=5000.0)
    assert prove_house(us, [between]) == ()
    (problem,) = prove_house(us, [limit("visibility", value=1000.0)])
    assert "laxer than the law, at least 1 SM" in str(problem)


@pytest.mark.parametrize("value", [None])
def test_a_limit_that_gives_no_figure_is_not_compared(value):
    assert prove_tightens([limit(whose=Whose.LAW)], [limit(value=1.0, sense=Sense.AT_MOST)]) == ()
    none = Limit(of="reserve", whose=Whose.HOUSE, sense=Sense.AT_LEAST, value=value, typed="no figure")
    assert prove_tightens([limit(whose=Whose.LAW)], [none]) == ()
