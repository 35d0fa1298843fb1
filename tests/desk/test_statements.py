"""The sentences that people sign: one for each declaration, to the person it binds, kept as they stood when signed."""

import html
from dataclasses import replace

import pytest
from django.urls import reverse

from desk.test_flight_page import client_of, flight_at
from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.records import new_id, withdraw
from gyrewright.desk.services.statements import FIT, WORDS, to_sign
from gyrewright.finding import Verdict
from gyrewright.rules.pack import pack_named


def test_every_declaration_that_a_rule_asks_for_has_its_sentence():
    asked = {name for rule in pack_named("us").rules if rule.declared for name in rule.facts.values()}
    names = {name.removeprefix("commander_") for name in asked if not name.endswith("_at")}
    assert "sober" in names
    assert names <= set(WORDS)


# Each sentence with what its section makes the signer stand for; read against regulations-us.md 5.6, 7 and 8.
@pytest.mark.parametrize(
    ("name", "section", "said"),
    [
        ("sober", "91.17(a)", ["eight hours", "0.04", "influence", "drug"]),
        (
            "documents_aboard",
            "61.3(a), (c), (d)",
            ["pilot certificate", "photo ident", "medical certificate", "instructor"],
        ),
        ("documents_aboard", "61.51(i)", ["logbook or the endorsements in it"]),
        ("address_current", "61.60", ["mailing address", "30 days"]),
        ("restrictions_kept", "61.315(c)(15) to (17)", ["medical certificate or driver's license", "endorsements"]),
        ("belts_briefed", "91.107(a)", ["shown how", "opened", "fastened before we move, take off, land"]),
        ("briefing_taken", "91.103", ["all available information", "runway lengths", "alternatives", "delays"]),
        ("flow_avoided", "91.126(b)(2)", ["flow of powered fixed-wing aircraft"]),
        ("heights_planned", "91.119", ["take-off and landing", "1,000 ft", "2,000 ft", "500 ft", "without power"]),
        ("instructor_scope_stated", "61.413", ["sport privileges only"]),
        ("nature_advised", "91.319(d)(1), 91.327(e)", ["experimental or special nature", "standard airworthiness"]),
        (
            "radio_and_clearance_arranged",
            "91.129 to 91.131",
            ["two-way radio contact", "class B only with a clearance"],
        ),
        ("restrictions_clear", "91.133, 91.137 to 91.145", ["prohibited and restricted", "temporary flight restrict"]),
        ("deviation_asked", "91.215(d)", ["asked by me", "agreed"]),
        ("commander_finds_safe", "91.7(b)", ["condition for safe flight", "I end the flight"]),
        ("ground_in_sight", "61.89(a)(7)", ["visual reference to the surface"]),
    ],
)
def test_a_sentence_says_what_its_section_asks(name, section, said):
    for each in said:
        assert each in WORDS[name], section


def test_the_sentences_are_recorded_as_they_stood_and_told_on_the_record_s_page(demo_day):
    client, id = client_of("okafor-lind"), flight_at("08:20")
    client.post(reverse("flight-sign", args=[id]), {"id": new_id(), "person": "okafor-lind", "all": "yes"})
    (signed,) = find_records(kinds=("declared",), newest_first=True, count=1)
    assert signed.act.words == {name: WORDS[name] for name in signed.act.answers}
    page = html.unescape(client.get(reverse("record", args=[signed.id])).content.decode())
    assert signed.act.words["belts_briefed"] in page


def test_the_word_of_the_day_says_what_fit_means(demo_day):
    for said in find_records(about="sunde", kinds=("today",)):
        withdraw(id=new_id(), record=said.id, by="sunde")
    page = html.unescape(client_of("sunde").get(reverse("flight", args=[flight_at("06:30")])).content.decode())
    assert FIT in page
    assert "no condition, medicine or treatment" in FIT


def test_what_an_instructor_stands_for_is_signed_by_the_instructor_whoever_commands(demo_day):
    at = clock.now()
    found = answered(state.flight(flight_at("08:20"), at), at)
    both = ("instructor_scope_stated", "commander_finds_safe")
    wanting = replace(found.answer.findings[0], verdict=Verdict.UNKNOWN, lacking=both, inputs=())
    flight = replace(found.question.flight, parts=(("commander", "castellane"), ("instructor", "okafor-lind")))
    turned = replace(
        found, question=replace(found.question, flight=flight), answer=replace(found.answer, findings=(wanting,))
    )
    said = {each.person: [one.name for one in each.statements] for each in to_sign(turned)}
    assert said == {"castellane": ["commander_finds_safe"], "okafor-lind": ["instructor_scope_stated"]}
