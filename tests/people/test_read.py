"""Reading people: what is absent is missing, what is wrong is one clear line."""

from datetime import date

import pytest

from gyrewright.fact import Origin
from gyrewright.finding import Whose


def one_problem(read_text, text):
    _, _, problems = read_text(text)
    assert len(problems.found) == 1, problems.found
    return str(problems.found[0])


def test_the_file_of_the_scenarios_is_read_whole(people, insurance):
    assert list(people) == ["I1", "I2", "S2", "E1", "M1"]
    first = people["I1"]
    assert first.mass.origin is Origin.WEIGHED
    assert first.teaching.recent_on == date(2026, 6, 1)
    assert first.medical.route == "licence"
    assert len(insurance) == 2


def test_a_list_that_is_absent_is_not_an_empty_one(people):
    assert people["I1"].endorsements == ()
    assert people["I2"].endorsements is None
    assert people["I2"].landings is None
    assert people["I1"].authorities == ()
    assert people["E1"].authorities is None


def test_a_mass_without_an_origin_is_stated_and_an_absent_one_is_missing(people):
    assert people["S2"].mass.origin is Origin.STATED
    assert not people["M1"].mass.is_known


def test_the_numbers_of_an_endorsement_are_limits_of_its_layer(people):
    (endorsement,) = people["S2"].endorsements
    assert [limit.whose for limit in endorsement.limits] == [Whose.ENDORSEMENT] * 2
    assert [limit.of for limit in endorsement.limits] == ["wind", "crosswind"]
    assert endorsement.giver_in_standing is True


def test_own_minimums_are_kept_beside_todays_tightening(people):
    own = people["S2"].own_limits
    assert [round(limit.value * 3600 / 1852, 6) for limit in own] == [12.0, 7.0]
    assert own[1].scope == "fatigue"
    assert all(limit.whose is Whose.OWN for limit in own)


def test_an_endorsement_by_somebody_unknown_is_one_clear_line(read_text, text):
    line = one_problem(read_text, text.replace('given_by = "I1"', 'given_by = "I9"'))
    assert line.startswith("people.toml: person[S2].endorsement[solo].given_by: 'I9' is nobody in this file")
    assert "use one of: I1, I2, S2, E1, M1" in line


def test_nobody_endorses_himself_or_herself(read_text, text):
    line = one_problem(read_text, text.replace('given_by = "I1"', 'given_by = "S2"'))
    assert "cannot endorse himself or herself" in line


def test_training_comes_before_the_endorsement_that_rests_on_it(read_text, text):
    line = one_problem(read_text, text.replace("rests_on = 2027-06-22", "rests_on = 2027-06-23"))
    assert "training comes first" in line


@pytest.mark.parametrize(
    ("old", "new", "part"),
    [
        ('roles = ["examiner", "pilot"]', 'roles = ["examinor"]', "is not one of: student"),
        ('fitness = "fit"', 'fitness = "a cold"', "is not one of: fit, fit with caution, not fit"),
        ('fitness = "fit"\n', 'fitness = "fit"\nillness = "a cold"\n', "person[I1].today.illness: is an unknown key"),
        ('route = "licence"\n', 'route = "licence"\nillness = "a cold"\n', "is an unknown key"),
        ('id = "E1"', 'id = "I2"', "is given twice"),
        ('named = ["I1", "I2"]', 'named = ["I1", "I9"]', "'I9' is nobody in this file"),
        ("end = 2027-07-13T20:12:00-07:00", "end = 2027-07-13T12:00:00-07:00", "lies before the start"),
        ("fitness_at = 2027-07-14T07:00:00-07:00", "fitness_at = 2027-07-14T07:00:00", "has no offset from UTC"),
        ('by = "5 kt"\n', "", "is missing; write it with its unit"),
        ('of = "wind"\nby', 'of = "crosswind"\nby', "has no own minimum to tighten"),
        ("from = 2022-06-01, until = 2024-06-30", "from = 2022-06-01, until = 2021-06-30", "lies before"),
        ("sober = { said = true,", "sober = {", "write true or false"),
    ],
)
def test_each_mistake_is_one_clear_line(read_text, text, old, new, part):
    assert old in text
    assert part in one_problem(read_text, text.replace(old, new, 1))


def test_only_its_speaker_takes_a_no_back(read_text, text):
    said = '\n[[person.no]]\nsaid_at = 2027-07-14T08:00:00-07:00\nabout = "wind"\n'
    back = "taken_back_at = 2027-07-14T08:30:00-07:00\n"
    whole = text.replace("[[insurance]]", f"{said}[[insurance]]", 1)
    people, _, problems = read_text(whole)
    assert problems.found == []
    assert people["M1"].noes[0].taken_back_at is None
    own = whole.replace('about = "wind"\n', f'about = "wind"\n{back}taken_back_by = "M1"\n')
    assert read_text(own)[0]["M1"].noes[0].taken_back_at is not None
    other = own.replace('taken_back_by = "M1"', 'taken_back_by = "I1"')
    people, _, problems = read_text(other)
    assert "only its speaker can" in str(problems.found[0])
    assert people["M1"].noes[0].taken_back_at is None


@pytest.mark.parametrize(
    ("given_on", "standing"),
    [
        (date(2022, 5, 31), False),
        (date(2022, 6, 1), True),
        (date(2024, 6, 30), True),
        (date(2024, 7, 1), True),
        (date(2028, 6, 30), True),
        (date(2028, 7, 1), False),
    ],
)
def test_the_givers_standing_is_that_of_the_day_of_giving(people, given_on, standing):
    from gyrewright.people.read import in_standing

    assert in_standing(people["I1"], given_on) is standing


def test_somebody_who_is_no_instructor_never_stands_and_one_without_dates_is_unknown(people):
    from gyrewright.people.read import in_standing

    assert in_standing(people["S2"], date(2027, 1, 1)) is False
    assert in_standing(people["I2"], date(2027, 1, 1)) is None
