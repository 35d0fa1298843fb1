"""Rules that people take for binding and that do not bind a gyroplane flown by visual rules."""

from dataclasses import replace
from datetime import date

import pytest

from gyrewright.finding import Verdict
from gyrewright.rules import checks_in_force, limits_in_force, needed

ON = date(2027, 6, 14)
KINDS = ["standard", "light-sport", "amateur-built", "experimental light-sport"]


def every_check(us, shapes, **words):
    return checks_in_force(us, ON, replace(shapes["flight"], **words))


@pytest.mark.parametrize("kind", KINDS)
def test_no_rule_asks_for_an_emergency_transmitter(us, shapes, kind):
    asked = needed(every_check(us, shapes, certificate=kind))
    assert not any("transmitter" in name or "elt" in name.split("_") for name in asked)
    assert not any("91.207" in value.source.section for rule in us.rules for value in rule.values)


def test_the_reserve_is_twenty_minutes_never_thirty_or_forty_five(us, shapes):
    for light in ("day", "twilight", "night"):
        reserves = [
            each.value * 60
            for each in limits_in_force(us, ON, replace(shapes["flight"], light=light))
            if each.of == "reserve"
        ]
        assert reserves == [pytest.approx(20)]


def test_no_altimeter_and_static_test_is_asked_for(us):
    assert not any("91.411" in value.source.section for rule in us.rules for value in rule.values)


def test_an_instructor_without_five_hours_in_the_make_and_model_may_teach(us, shapes):
    asked = needed(every_check(us, shapes))
    assert not any("hours" in name and name.startswith("instructor") for name in asked)
    assert not any("61.195(f)" in value.source.section for rule in us.rules for value in rule.values)


def test_no_relief_written_for_helicopters_lowers_the_visibility(us, shapes):
    flight = replace(shapes["flight"], privileges="private", airspace="G", light="day")
    assert min(each.value for each in limits_in_force(us, ON, flight) if each.of == "visibility") == pytest.approx(
        1609.344
    )
    night = replace(flight, light="night")
    assert min(each.value for each in limits_in_force(us, ON, night) if each.of == "visibility") == pytest.approx(
        3 * 1609.344
    )


def test_stalls_are_not_among_the_things_taught_before_solo(us):
    (value,) = us.rule("us.61.87.training").values
    assert len(value.parameters["items"]) == 15
    assert not any("stall" in item for item in value.parameters["items"])


def test_a_slow_gyroplane_needs_no_endorsement_for_slow_airplanes(ask):
    assert ask("us.61.327", {"aircraft_vh_m_s": 44.0, "commander_endorsed_for": frozenset()}) == ()


@pytest.mark.parametrize("kind", ["amateur-built", "exhibition", "experimental light-sport", "light-sport"])
def test_annual_inspection_hundred_hours_and_equipment_list_bind_standard_certificates_only(us, shapes, kind):
    ids = {check.id for check in every_check(us, shapes, certificate=kind)}
    assert not ids & {"rule.us.91.409.annual", "rule.us.91.409.hundred", "rule.us.91.205"}
    standard = {check.id for check in every_check(us, shapes, certificate="standard")}
    assert {"rule.us.91.409.annual", "rule.us.91.409.hundred", "rule.us.91.205"} <= standard


def test_an_owner_flying_an_amateur_built_machine_alone_has_no_hundred_hour_clock(ask, us, shapes):
    ids = {check.id for check in every_check(us, shapes, purpose="private", aboard=1)}
    assert not any("hundred" in id for id in ids)
    assert ask("us.91.326.hundred", {"training_authority_relied_on": False, "time_in_service_h": 900.0}) == ()


def test_a_student_for_a_sport_certificate_meets_61_94_and_another_student_61_95_in_class_b_only(us, shapes):
    def ids(**words):
        checks = every_check(us, shapes, purpose="student alone", aboard=1, **words)
        return {check.id for check in checks} & {"rule.us.61.94", "rule.us.61.95"}

    assert ids(privileges="student sport", airspace="D") == {"rule.us.61.94"}
    assert ids(privileges="student sport", airspace="B") == {"rule.us.61.94"}
    assert ids(privileges="student private", airspace="D") == set()
    assert ids(privileges="student private", airspace="B") == {"rule.us.61.95"}


def test_rules_for_other_aircraft_are_not_in_the_pack(us):
    for rule in us.rules:
        for value in rule.values:
            assert not any(name in value.source.section for name in ("SFAR 73", "61.31(e)", "61.31(f)", "61.31(i)"))


def test_alone_no_landings_are_asked_for(us, shapes):
    ids = {check.id for check in every_check(us, shapes, aboard=1, purpose="private")}
    assert "rule.us.61.57.day" not in ids


def test_a_private_pilot_rated_in_gyroplanes_meets_no_sport_limit(us, shapes):
    ids = {check.id for check in every_check(us, shapes, privileges="private", purpose="private")}
    assert not any(id.startswith(("rule.us.61.315", "rule.us.61.316", "rule.us.61.32")) for id in ids)


def test_an_experimental_certificate_frees_from_part_43_but_not_from_the_day(ask, shapes):
    late = {"depart_at": shapes["at"](22), "land_at": shapes["at"](23), "night_flight_authorized": None}
    (found,) = ask("us.91.319.night", late)
    assert found.verdict is Verdict.UNKNOWN
