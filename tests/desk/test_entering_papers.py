"""What a person's papers say, landings, the scale, check-outs and authorities."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.models import Personal
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from kit.desk import client_of, held, words


def address(person, name):
    return reverse("person-enter", args=[person, name])


def folk(person):
    return state.folk(clock.now()).people[person]


# --- papers ---


def test_what_is_not_written_stays_as_it_was(demo_day):
    client = client_of("okafor-lind")
    form = held(client.get(address("dunmore", "papers")))
    assert not any(form[name] for name in ("certificate", "review_on", "route", "ratings"))
    given = {"review_on": "2027-06-10", "review_scope": "full", "from_paper": "logbook page 30"}
    before = folk("dunmore")
    assert client.post(address("dunmore", "papers"), given).status_code == 302
    after = folk("dunmore")
    assert (after.review_on.isoformat(), after.review_scope) == ("2027-06-10", "full")
    assert (after.certificate, after.medical, after.ratings) == (before.certificate, before.medical, before.ratings)
    assert "Last flight review on 10 June 2027, full scope" in words(client.get(reverse("person", args=["dunmore"])))


def test_a_student_and_an_instructor_have_fields_of_their_own(demo_day):
    client = client_of("okafor-lind")
    assert "presolo_errors_reviewed" in held(client.get(address("castellane", "papers")))
    assert "teaching_on" in held(client.get(address("sunde", "papers")))
    assert "teaching_on" not in held(client.get(address("castellane", "papers")))
    given = {"knowledge_test_on": "2027-06-01", "areas_missed": "2", "missed_areas_reviewed": "no"}
    assert client.post(address("castellane", "papers"), given).status_code == 302
    studies = folk("castellane").studies
    assert (studies.areas_missed, studies.missed_areas_reviewed) == (2, False)


def test_nobody_enters_their_own_papers_and_nothing_is_not_entered(demo_day):
    assert client_of("dunmore").post(address("dunmore", "papers"), {"review_on": "2027-06-10"}).status_code == 403
    assert client_of("okafor-lind").get(address("okafor-lind", "papers")).status_code == 403
    assert "nothing was written" in words(client_of("okafor-lind").post(address("dunmore", "papers"), {}), 400)


def test_no_field_asks_for_a_medical_detail(demo_day):
    text = client_of("okafor-lind").get(address("dunmore", "papers")).content.decode().lower()
    for word in ("diagnos", "condition of health", "blood", "medication", "illness", "disease"):
        assert word not in text


def test_a_list_is_complete_once_somebody_says_so(demo_day):
    client = client_of("okafor-lind")
    given = {"name": "Nell Vane", "roles": ["student"]}
    page = client.post(reverse("person-add"), given)
    person = page.url.rsplit("/", 1)[1]
    assert folk(person).endorsements is None
    assert "complete from here on is missing" in words(client.post(address(person, "complete"), {}), 400)
    assert client.post(address(person, "complete"), {"complete": ["endorsement", "landings"]}).status_code == 302
    assert (folk(person).endorsements, folk(person).landings, folk(person).checkouts) == ((), (), None)


# --- landings ---

LANDED = {
    "on": "2027-06-11",
    "take_offs": "3",
    "landings": "3",
    "aircraft": "N0-101D",
    "aircraft_class": "rotorcraft gyroplane",
    "sole": "yes",
}


def test_a_pilot_enters_own_landings_and_they_count(demo_day):
    client = client_of("dunmore")
    assert client.post(address("dunmore", "landings"), LANDED).status_code == 302
    said = words(client.get(reverse("person", args=["dunmore"])))
    assert "11 Jun 2027, N0-101D: 3 take-offs, 3 landings" in said
    # Three more on the 11th: enough until the 90th day after them.
    assert "enough until 9 September 2027" in said


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"on": "2027-06-13"}, "is still to come"),
        ({"take_offs": "three"}, "is no whole number"),
        ({"take_offs": "0", "landings": "0"}, "how many take-offs and landings"),
        ({"sole": ""}, "alone at the controls is missing"),
        ({"take_offs": "201"}, "is outside 0 to 200"),
    ],
)
def test_landings_that_cannot_be_are_refused(demo_day, change, says):
    answer = client_of("dunmore").post(address("dunmore", "landings"), {**LANDED, **change})
    assert says in words(answer, 400)
    assert held(answer)["aircraft"] == "N0-101D"


def test_landings_are_corrected_by_a_later_entry(demo_day):
    client = client_of("dunmore")
    client.post(address("dunmore", "landings"), LANDED)
    wrong = find_records(about="dunmore", kinds=("landings",))[-1]
    assert held(client.get(address("dunmore", "landings"), {"corrects": wrong.id}))["landings"] == "3"
    given = {**LANDED, "corrects": wrong.id, "landings": "2"}
    assert client.post(address("dunmore", "landings"), given).status_code == 302
    assert [each.landings for each in folk("dunmore").landings if each.on.isoformat() == "2027-06-11"] == [2]


# --- the scale ---


def test_somebody_else_reads_the_scale_and_the_number_lies_beside_the_chain(demo_day):
    given = {"mass": "76 kg", "done_at": "2027-06-12T06:05"}
    answer = client_of("arrowood").post(address("halloran", "mass"), given)
    assert (answer.status_code, answer.url) == (302, reverse("person", args=["arrowood"]))
    mass = folk("halloran").mass
    assert (mass.typed, mass.origin.value, mass.by) == ("76 kg", "weighed", "arrowood")
    last = find_records(about="halloran", kinds=("person-weighed",))[-1]
    assert not hasattr(last.act, "mass")
    assert Personal.objects.filter(person="halloran", content__contains="76 kg").count() == 1


def test_what_one_says_of_ones_own_mass_is_stated(demo_day):
    given = {"mass": "75 kg", "done_at": "2027-06-12T06:05"}
    assert client_of("halloran").post(address("halloran", "mass"), given).status_code == 302
    assert folk("halloran").mass.origin.value == "stated"
    assert "Mass stated" in words(client_of("sunde").get(reverse("person", args=["halloran"])))


def test_a_mass_needs_its_unit_and_a_student_weighs_nobody_else(demo_day):
    given = {"mass": "75", "done_at": "2027-06-12T06:05"}
    assert "75" in words(client_of("halloran").post(address("halloran", "mass"), given), 400)
    assert client_of("castellane").post(address("halloran", "mass"), given).status_code == 404


# --- check-outs and authorities ---


def test_a_check_out_opens_the_make_and_model_to_a_renter(demo_day):
    client = client_of("sunde")
    given = {"make_model": "Dunlin D2-96", "on": "2027-06-12", "checked_by": "sunde"}
    assert "no check-out on Dunlin D2-96" in words(client.get(reverse("person", args=["dunmore"])))
    assert client.post(address("dunmore", "check-out"), given).status_code == 302
    said = words(client.get(reverse("person", args=["dunmore"])))
    assert "Dunlin D2-96, by Tobiah Sunde on 12 Jun 2027" in said
    assert "no check-out on Dunlin D2-96" not in said


def test_a_check_out_is_its_instructors_own_or_has_a_page(demo_day):
    given = {"make_model": "Dunlin D2-96", "on": "2027-06-12", "checked_by": "okafor-lind"}
    client = client_of("sunde")
    assert "is copied from its page" in words(client.post(address("dunmore", "check-out"), given), 400)
    assert client.post(address("dunmore", "check-out"), {**given, "from_paper": "log page 3"}).status_code == 302
    assert client_of("dunmore").post(address("dunmore", "check-out"), given).status_code == 403
    later = {**given, "checked_by": "sunde", "on": "2027-07-01"}
    assert "is still to come" in words(client.post(address("dunmore", "check-out"), later), 400)


def test_the_manager_keeps_the_written_authorities(demo_day):
    given = {
        "what_for": "training in an experimental aircraft",
        "paper": "LODA-X9",
        "issued_on": "2027-06-01",
        "aircraft": ["N0-101D"],
    }
    assert client_of("sunde").post(address("okafor-lind", "authority"), given).status_code == 403
    client = client_of("okafor-lind")
    assert client.post(address("okafor-lind", "authority"), given).status_code == 302
    assert "LODA-X9, issued 1 Jun 2027, for N0-101D" in words(client.get(reverse("person", args=["okafor-lind"])))
    ended = {**given, "until_on": "2027-05-01"}
    assert "check the two days" in words(client.post(address("okafor-lind", "authority"), ended), 400)
    assert "say what it allows" in words(
        client.post(address("okafor-lind", "authority"), {**given, "what_for": ""}), 400
    )
