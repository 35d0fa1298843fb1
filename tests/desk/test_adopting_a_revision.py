"""A new revision of the manual: what changes, what it opens, which releases it ends, and who has read it."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import Release
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import definitions, state
from gyrewright.desk.services.demo import demo_text
from gyrewright.desk.services.records import record_act
from kit.desk import client_of, held, words

DUNLIN = "N0-101D"
REVISION = reverse("aircraft-revision", args=[DUNLIN])
OLD = demo_text("aircraft/dunlin.toml")
NEW = OLD.replace('revision = "4"', 'revision = "5"').replace('at_most = "35 kt"', 'at_most = "30 kt"')


def adopt(client, text=NEW, **more):
    return client.post(REVISION, {"text": text, "seen": "yes", "why": "less wind after an accident", **more})


def wind():
    limits = state.machine(DUNLIN, clock.now()).aircraft.definition.limits
    return next(each.typed for each in limits if each.of == "wind")


def test_first_it_shows_what_changes_and_adopts_nothing(demo_day):
    client = client_of("okafor-lind")
    file = SimpleUploadedFile("dunlin.toml", NEW.encode(), content_type="text/plain")
    answer = client.post(REVISION, {"file": file})
    said = words(answer)
    assert "from revision 4 to 5 of its manual" in said
    assert "Wind, at most (gusts counted) 35 kt 30 kt 2-6" in said
    assert "the 89 values that stay as they were" in said
    assert wind() == "35 kt"
    assert held(answer)["text"].strip() == "" or "revision" in answer.content.decode()


def test_adopted_it_holds_and_everything_is_to_be_checked_again(demo_day):
    client = client_of("okafor-lind")
    answer = adopt(client)
    assert (answer.status_code, answer.url) == (302, reverse("aircraft-one", args=[DUNLIN]))
    assert wind() == "30 kt"
    found = definitions.checked_of(DUNLIN, clock.now())
    assert len(found.open) == len(found.values) == 90
    said = words(client.get(answer.url))
    assert "None of its 90 values has been checked against the page" in said
    assert "Revision 5, entered" in said
    assert "Revision 4, entered" in said
    assert "less wind after an accident" in said


def test_a_release_that_still_holds_ends(demo_day):
    flight = next(iter(state.flights(clock.now()).values()))
    act = Release(flight=flight.id, verdict="GO", valid_until=flight.act.depart_at, answer="{}", rules={})
    release = record_act(act=act, by="sunde", about=DUNLIN).record
    adopt(client_of("okafor-lind"))
    ended = find_records(about=DUNLIN, kinds=("release-superseded",))
    assert [(each.act.release, each.act.because) for each in ended] == [
        (release.id, "revision 5 of the manual was adopted")
    ]


def test_everybody_who_flies_reads_it_and_says_so(demo_day):
    adopt(client_of("okafor-lind"))
    client = client_of("sunde")
    assert "You have still to read what the new revision of the manual changed: Dunlin N0-101D" in words(
        client.get(reverse("person", args=["sunde"]))
    )
    said = words(client.get(reverse("aircraft-one", args=[DUNLIN])))
    assert "Wind, at most (gusts counted) 35 kt 30 kt 2-6" in said
    assert "Not read yet by" in said
    assert "Tobiah Sunde" in said
    answer = client.post(reverse("aircraft-read", args=[DUNLIN]))
    assert answer.status_code == 302
    read = definitions.readers(DUNLIN, clock.now())
    assert set(read.done) == {"sunde"}
    assert "sunde" not in read.lacking
    assert "halloran" in read.lacking
    # A maintainer does not fly it.
    assert "arrowood" not in read.lacking
    # Said twice, it is there once.
    client.post(reverse("aircraft-read", args=[DUNLIN]))
    assert len(find_records(about=DUNLIN, kinds=("revision-acknowledged",))) == 1


def test_before_a_new_revision_there_is_nothing_to_read(demo_day):
    said = words(client_of("sunde").post(reverse("aircraft-read", args=[DUNLIN])), 400)
    assert "No new revision" in said


def test_the_same_revision_typed_otherwise_is_a_correction_and_keeps_the_rest_checked(demo_day):
    client = client_of("okafor-lind")
    text = OLD.replace('at_most = "35 kt"', 'at_most = "30 kt"')
    assert "what was typed from revision 4, corrected" in words(client.post(REVISION, {"text": text}))
    assert adopt(client, text).status_code == 302
    first, last = find_records(about=DUNLIN, kinds=("aircraft-defined",))
    assert last.corrects == first.id
    assert [each.label for each in definitions.checked_of(DUNLIN, clock.now()).open] == [
        "wind, at most (gusts counted)"
    ]
    assert definitions.readers(DUNLIN, clock.now()).since is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (OLD, "is the text that counts already"),
        ("", "hand in the aircraft's file, or paste its text"),
        ("name = ", "cannot be read"),
        (NEW.replace('at_most = "30 kt"', 'at_most = "30 kg"'), "cannot be read"),
        (NEW.replace("N0-101D", "N0-999X"), "not about 'N0-101D'"),
    ],
)
def test_what_does_not_read_or_says_nothing_new_is_refused_and_kept(demo_day, text, says):
    answer = client_of("okafor-lind").post(REVISION, {"text": text, "seen": "yes"})
    assert says in words(answer, 400)
    assert len(find_records(about=DUNLIN, kinds=("aircraft-defined",))) == 1
    assert answer.content.decode().count('role="alert"') == 1


def test_a_file_that_is_no_text_or_too_long_is_refused(demo_day):
    client = client_of("okafor-lind")
    for content, says in ((b"\xff\xfe\x00", "is no text in UTF-8"), (b"#" * 1_000_001, "at most 1,000,000")):
        file = SimpleUploadedFile("x.toml", content, content_type="text/plain")
        assert says in words(client.post(REVISION, {"file": file}), 400)


def test_only_whoever_answers_for_the_aircraft_adopts_one(demo_day):
    assert client_of("sunde").get(REVISION).status_code == 403
    # An owner answers for an own aircraft alone.
    assert adopt(client_of("yarrow")).status_code == 403
    assert wind() == "35 kt"
