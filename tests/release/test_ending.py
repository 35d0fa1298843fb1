"""A paper of a person, or of the insurer, that ends in the month of the flight is a caution: named and counted."""

from datetime import date

import pytest

from gyrewright.finding import Verdict
from gyrewright.release.decide import decide
from gyrewright.words.detail import cautions_of
from gyrewright.words.tell import tell
from kit.files import good_day
from scenarios.fixture import Flight, answer, question

LAST = date(2027, 7, 31)


def of(files, id):
    return next(each for each in files["person"] if each["id"] == id)


def medical(files):
    # Born in 1980 and examined after 40: 24 calendar months.
    of(files, "I1")["medical"]["exam_on"] = date(2025, 7, 3)


def review(files):
    of(files, "I1")["review_on"] = date(2025, 7, 20)


def teaching(files):
    of(files, "I1")["teaching"]["recent_on"] = date(2025, 7, 9)


def insurance(files):
    files["insurance"][0]["until"] = LAST


ENDING = {
    "people.ends.medical": medical,
    "people.ends.review": review,
    "people.ends.teaching": teaching,
    "people.ends.insurance": insurance,
}


def changed(*several):
    files = good_day()
    for each in several:
        files = files.changed("people.toml", each)
    return files


@pytest.mark.parametrize("id", ENDING)
def test_each_paper_that_ends_this_month_is_one_caution_and_changes_no_verdict(id):
    plain, answer = good_day().answer(), changed(ENDING[id]).answer()
    (caution,) = answer.cautions
    assert caution.id == id
    assert caution.params["until"] == LAST
    assert caution.params.get("who", "") == ("" if id == "people.ends.insurance" else "I1")
    assert plain.cautions == ()
    assert answer.verdict is plain.verdict is Verdict.GO


def test_it_is_told_with_whose_it_is_and_its_last_day():
    told = [*cautions_of(tell(changed(review, insurance).answer()))]
    assert told == [
        "The review of I1 ends this month, on 31 July 2027.",
        "The insurance of this aircraft ends this month, on 31 July 2027.",
    ]


LODA = 'id = "LODA-G2"\nissued_on = 2025-04-01'


@pytest.mark.parametrize(("paid", "cautions"), [("true", ["people.ends.authority"]), ("false", [])])
def test_the_authority_to_teach_in_an_experimental_aircraft_counts_where_the_lesson_rests_on_it(paid, cautions):
    flight = Flight(
        aircraft="G2",
        seats={"left": "S1", "right": "I1"},
        people=(LODA, f"{LODA}\nuntil_on = 2027-07-31"),
        law={"training_is_paid": paid},
    )
    assert [each.id for each in decide(question(flight)).cautions] == cautions


SOLO = {
    "purpose": "student alone",
    "seats": {"front": "S2", "rear": "empty"},
    "parts": {"commander": "S2", "student": "S2"},
    "present": ("I1",),
    "named": ("I1",),
}


def test_the_endorsement_that_a_student_alone_flies_on_counts_until_its_last_day():
    # Given on 22 June for ninety days, its last day is in September; asked then, with the training of the day before.
    july = answer(Flight(**SOLO))
    assert "people.ends.endorsement" not in [each.id for each in july.cautions]
    given = (
        "given_on = DAY_AGO_22\nrests_on = DAY_AGO_22\nvalid_days = 90",
        "given_on = DAY_AGO_80\nrests_on = DAY_AGO_80\nvalid_days = 90",
    )
    (caution,) = [each for each in answer(Flight(**SOLO, people=given)).cautions if each.id.startswith("people.ends.")]
    assert (caution.id, caution.params["who"]) == ("people.ends.endorsement", "S2")


def test_three_of_them_ask_for_a_second_view_as_any_three_cautions_do():
    answer = changed(medical, review, insurance).answer()
    assert len(answer.cautions) == 3
    assert answer.verdict is Verdict.JUDGE
    assert "cautions.counted" in [each.id for each in answer.findings]


def test_the_last_day_itself_still_counts_and_a_paper_that_ended_is_no_caution():
    def ended(files):
        of(files, "I1")["review_on"] = date(2025, 6, 20)

    answer = changed(ended).answer()
    assert answer.cautions == ()
    assert answer.verdict is Verdict.STOP


def test_the_paper_of_somebody_who_has_no_part_in_the_flight_is_none_of_its_cautions():
    def other(files):
        of(files, "I2")["review_on"] = date(2025, 7, 20)

    assert changed(other).answer().cautions == ()


def test_a_house_that_wants_no_such_cautions_has_none():
    files = changed(medical, review)
    quiet = files.changed(
        "operation.toml", lambda data: data["house"]["maintenance"].update(cautions_ending_this_month=False)
    )
    assert [each.id for each in files.answer().cautions] == ["people.ends.medical", "people.ends.review"]
    assert quiet.answer().cautions == ()
