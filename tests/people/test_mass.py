"""What a person counts for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.people.mass import MassRule, counted, read_mass_rule
from gyrewright.reading import Problems, section_of

RULE = MassRule(fresh_days=7.0, share=0.08, near_kg=15.0)


def test_a_fresh_reading_stands_on_its_last_day():
    assert counted(mass_kg=88.0, weighed=True, age_days=7.0, rule=RULE) == (88.0, 88.0, False)
    assert counted(mass_kg=88.0, weighed=True, age_days=0.0, rule=RULE) == (88.0, 88.0, False)


@pytest.mark.parametrize(("weighed", "age"), [(True, 7.01), (True, None), (True, -0.1), (False, 0.0), (False, None)])
def test_anything_else_counts_to_both_careful_sides(weighed, age):
    light, heavy, _ = counted(mass_kg=100.0, weighed=weighed, age_days=age, rule=RULE)
    assert (light, heavy) == (pytest.approx(92.0), pytest.approx(108.0))


@pytest.mark.parametrize(("margin", "needs"), [(15.0, True), (15.1, False), (-3.0, True), (None, False)])
def test_near_a_limit_the_scale_must_say(margin, needs):
    assert counted(mass_kg=100.0, weighed=False, age_days=None, rule=RULE, margin_kg=margin).needs_scale is needs


def test_without_a_rule_of_the_house_only_the_scale_counts():
    assert counted(mass_kg=100.0, weighed=False, age_days=None, rule=None).needs_scale
    assert not counted(mass_kg=100.0, weighed=True, age_days=300.0, rule=None).needs_scale


@given(st.floats(30, 200), st.booleans(), st.one_of(st.none(), st.floats(-5, 60)), st.floats(0, 0.3))
def test_the_careful_masses_enclose_the_given_one_and_growing_old_never_narrows_them(mass, weighed, age, share):
    rule = MassRule(7.0, share, 15.0)
    light, heavy, _ = counted(mass_kg=mass, weighed=weighed, age_days=age, rule=rule)
    assert light <= mass <= heavy
    older = counted(mass_kg=mass, weighed=weighed, age_days=None if age is None else age + 10, rule=rule)
    if age is None or age >= 0:
        assert older.light_kg <= light
        assert older.heavy_kg >= heavy


def rule_of(text):
    problems = Problems()
    made = read_mass_rule(section_of(text, file="house.toml", problems=problems))
    return made, problems.found


def test_the_rule_is_read_from_the_house_and_an_absent_one_is_none():
    assert rule_of('fresh = "7 days"\nshare = "8 %"\nnear = "15 kg"') == (MassRule(7.0, 0.08, 15.0), [])
    assert rule_of("") == (None, [])
    made, found = rule_of('fresh = "7 days"\nshare = "8 %"')
    assert made is None
    assert "near: is missing" in str(found[0])
