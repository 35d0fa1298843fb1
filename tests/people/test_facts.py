"""The facts of a crew, by name."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from gyrewright.errors import UnknownName
from gyrewright.people import endorsement_limits, own_limits


def test_each_part_gives_its_facts_under_its_name(crew):
    facts = crew()
    assert facts["commander_review_on"].value == date(2026, 2, 3)
    assert facts["instructor_teaching_recent_on"].value == date(2026, 6, 1)
    assert facts["instructor_teaching_on"].value == date(2022, 6, 1)
    assert facts["commander_certificate_on"].value == date(2019, 1, 1)
    assert facts["commander_medical_route"].value == "licence"
    assert facts["commander_sober"].value is True
    assert facts["instructor_taught"].value[0][0].hour == 13
    assert facts["student_presolo_items"].value == {"climbs"}


def test_what_nobody_has_said_is_there_as_missing(crew):
    facts = crew()
    for name in ("student_landings", "student_fitness", "student_review_on", "commander_medical_exam_on"):
        assert not facts[name].is_known
    assert facts["commander_endorsements"].value == ()
    assert not crew(instructor="I2", commander="I2", aboard=("I2",))["instructor_endorsed_for"].is_known


def test_a_part_that_nobody_has_gives_no_facts(crew):
    assert not any(name.startswith("examiner_") for name in crew())


def test_an_id_of_nobody_is_refused_with_those_that_exist(crew):
    with pytest.raises(UnknownName, match="'X9' is nobody in the file of people; use one of: I1"):
        crew(aboard=("X9",))


def test_what_is_endorsed_depends_on_make_model_day_and_giver(crew, people):
    assert crew()["student_endorsed_for"].value == {"solo"}
    assert crew(make_model="G two")["student_endorsed_for"].value == frozenset()
    assert crew(flight_on=date(2027, 6, 21))["student_endorsed_for"].value == frozenset()
    lapsed = replace(people["S2"].endorsements[0], giver_in_standing=False)
    changed = {**people, "S2": replace(people["S2"], endorsements=(lapsed,))}
    assert crew(changed)["student_endorsed_for"].value == frozenset()


def test_days_written_in_an_endorsement_end_it(crew, people):
    short = replace(people["S2"].endorsements[0], valid_days=22)
    changed = {**people, "S2": replace(people["S2"], endorsements=(short,))}
    assert crew(changed)["student_endorsed_for"].value == {"solo"}
    assert crew(changed, flight_on=date(2027, 7, 15))["student_endorsed_for"].value == frozenset()


def test_a_new_limitation_by_the_same_hand_replaces_the_old_one_and_another_hand_stands_beside_it(people):
    old = people["S2"].endorsements[0]
    newer = replace(old, given_on=date(2027, 7, 10), limits=old.limits[:1])
    mine = {**people, "S2": replace(people["S2"], endorsements=(old, newer))}
    assert len(endorsement_limits(mine, student="S2", make_model="G one", on=date(2027, 7, 14))) == 1
    assert len(endorsement_limits(mine, student="S2", make_model="G one", on=date(2027, 7, 9))) == 2
    other = replace(newer, given_by="I2")
    both = {**people, "S2": replace(people["S2"], endorsements=(old, other))}
    assert len(endorsement_limits(both, student="S2", make_model="G one", on=date(2027, 7, 14))) == 3


def test_the_presence_asked_for_is_a_fact_only_for_a_student_alone(crew):
    alone = {"commander": "S2", "instructor": "", "aboard": ("S2",), "alone": True}
    assert crew(**alone)["needs_present"].value == {"I1"}
    assert crew(**alone)["endorsed_places"].value == {"H1"}
    assert crew(**alone)["endorsed_lessons"].value == {"circuits"}
    assert crew()["needs_present"].value == frozenset()


def test_an_unlisted_students_endorsements_leave_presence_unknown(crew, people):
    changed = {**people, "S2": replace(people["S2"], endorsements=None)}
    facts = crew(changed, commander="S2", instructor="", aboard=("S2",), alone=True)
    assert not facts["needs_present"].is_known
    assert not facts["student_givers"].is_known


def test_a_weighed_mass_counts_as_it_is_and_a_stated_one_to_both_sides(crew):
    facts = crew()
    assert (facts["commander_light_mass_kg"].value, facts["commander_heavy_mass_kg"].value) == (88.0, 88.0)
    assert facts["student_light_mass_kg"].value == pytest.approx(73.6)
    assert facts["student_heavy_mass_kg"].value == pytest.approx(86.4)
    assert facts["unweighed"].value == ("S2",)


def test_a_reading_of_the_scale_grows_old(crew, moment):
    young = crew(depart_at=moment(8, 0, 19), flight_on=date(2027, 7, 19))
    assert young["unweighed"].value == ("S2",)
    old = crew(depart_at=moment(8, 1, 19), flight_on=date(2027, 7, 19))
    assert old["unweighed"].value == ("I1", "S2")
    assert old["commander_heavy_mass_kg"].value == pytest.approx(88 * 1.08)


def test_a_missing_mass_stays_missing(crew):
    facts = crew(aboard=("M1",), commander="M1", instructor="", student="")
    assert not facts["commander_heavy_mass_kg"].is_known
    assert facts["unweighed"].value == ("M1",)


def test_the_authority_to_teach_in_an_aircraft_is_found_with_whoever_holds_it(crew, people):
    assert crew(aircraft_id="G2")["training_authority"].value == "A-7"
    assert crew(aircraft_id="G2")["training_authority_on"].value == date(2025, 3, 1)
    assert crew(aircraft_id="G1")["training_authority"].value == ""
    assert crew(aircraft_id="G2", flight_on=date(2025, 2, 28))["training_authority"].value == ""
    silent = {id: replace(person, authorities=None) for id, person in people.items()}
    assert not crew(silent, aircraft_id="G2")["training_authority"].is_known


def test_the_insurers_conditions_are_those_of_the_aircraft_and_the_day(crew):
    assert crew()["insurance"].value.named == {"I1", "I2"}
    assert crew(aircraft_id="G3")["insurance"].value.none
    assert not crew(aircraft_id="G9")["insurance"].is_known


def test_own_minimums_are_those_of_the_commander(people):
    assert len(own_limits(people, commander="S2")) == 2
    assert own_limits(people, commander="I1") == ()


def test_a_no_counts_from_everybody_aboard_or_named_and_ends_only_when_taken_back(crew, people, moment):
    from gyrewright.people.person import No

    said = No(moment(8), "wind")
    for id in ("I1", "S2", "M1"):
        changed = {**people, id: replace(people[id], noes=(said,))}
        assert [who for who, *_ in crew(changed, named=("M1",))["aboard_noes"].value] == [id]
    taken = replace(said, taken_back_at=moment(8) + timedelta(minutes=5))
    changed = {**people, "I1": replace(people["I1"], noes=(taken,))}
    assert crew(changed)["aboard_noes"].value == ()
    changed = {**people, "I1": replace(people["I1"], noes=(taken, said))}
    assert len(crew(changed)["aboard_noes"].value) == 1


def test_a_written_test_may_have_been_for_several_makes_and_models(crew, people):
    studies = replace(people["S2"].studies, presolo_test_for=("G one", "G two"))
    changed = {**people, "S2": replace(people["S2"], studies=studies)}
    assert crew(changed, make_model="G two")["student_presolo_test_for"].value == "G two"
    assert crew(changed, make_model="G three")["student_presolo_test_for"].value == "G one, G two"
