"""Adding a person, giving and ending roles, a changed name."""

from __future__ import annotations

from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.models import Personal, Record
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services.people import all_people
from kit.desk import client_of, held, words


def address(person, name):
    return reverse("person-enter", args=[person, name])


def test_somebody_new_has_a_page_and_roles(demo_day):
    client = client_of("okafor-lind")
    form = held(client.get(reverse("person-add")))
    given = {
        "id": form["id"],
        "person": form["person"],
        "name": "Nell Vane",
        "contact": "555 0101",
        "roles": ["student", "pilot"],
    }
    answer = client.post(reverse("person-add"), given)
    assert (answer.status_code, answer.url) == (302, reverse("person", args=[form["person"]]))
    assert "Nell Vane: pilot, student" in words(client.get(answer.url))
    # Handed in twice, one person.
    client.post(reverse("person-add"), given)
    assert [known.name for known in all_people().values()].count("Nell Vane") == 1


def test_neither_the_name_nor_its_letters_are_in_the_chain(demo_day):
    client = client_of("okafor-lind")
    answer = client.post(reverse("person-add"), {"name": "Nell Vane", "contact": "555 0101"})
    person = answer.url.rsplit("/", 1)[1]
    assert person.startswith("p-")
    assert "vane" not in person
    for record in Record.objects.all():
        assert "Vane" not in record.body + record.about + record.by
    assert Personal.objects.filter(person=person).count() == 1


def test_only_the_manager_adds_and_gives_roles(demo_day):
    assert client_of("sunde").get(reverse("person-add")).status_code == 403
    assert (
        client_of("sunde").post(address("halloran", "role"), {"role": "pilot", "from_on": "2027-06-12"}).status_code
        == 403
    )


def test_a_role_is_given_and_ends_with_dates(demo_day):
    client = client_of("okafor-lind")
    given = {"role": "named instructor", "from_on": "2027-06-12", "until": "2027-12-31", "aircraft": ["N0-101D"]}
    assert client.post(address("sunde", "role"), given).status_code == 302
    said = words(client.get(reverse("person", args=["sunde"])))
    assert "Named instructor from 12 Jun 2027 until 31 Dec 2027, for N0-101D" in said
    form = held(client.get(address("sunde", "role-ends"), {"role": "named instructor"}))
    assert form["role"] == "named instructor"
    assert (
        client.post(address("sunde", "role-ends"), {"role": "named instructor", "from_on": "2027-06-13"}).status_code
        == 302
    )
    known = all_people()["sunde"]
    assert "named instructor" in known.roles_on(clock.now().date())
    assert [each.until.isoformat() for each in known.roles if each.role == "named instructor"] == ["2027-06-12"]


def test_a_visitor_needs_a_last_day_and_no_role_ends_before_it_begins(demo_day):
    client = client_of("okafor-lind")
    given = {"role": "visitor", "from_on": "2027-06-12"}
    assert "a visitor's view needs a last day" in words(client.post(address("halloran", "role"), given), 400)
    given = {"role": "pilot", "from_on": "2027-06-12", "until": "2027-06-01"}
    assert "would end on" in words(client.post(address("halloran", "role"), given), 400)
    assert "is no choice for role" in words(client.post(address("halloran", "role"), {**given, "role": "king"}), 400)


def test_a_changed_name_is_the_same_person(demo_day):
    client = client_of("halloran")
    form = held(client.get(address("halloran", "name")))
    assert form["name"] == "Wren Halloran"
    given = {"name": "Wren Halloran-Vale", "born_on": "1999-12-03"}
    assert client.post(address("halloran", "name"), given).status_code == 302
    assert "Wren Halloran-Vale: student" in words(client_of("sunde").get(reverse("person", args=["halloran"])))
    assert len(find_records(about="halloran", kinds=("endorsement",))) == 2
    assert "name is missing" in words(client.post(address("halloran", "name"), {"name": " "}), 400)
