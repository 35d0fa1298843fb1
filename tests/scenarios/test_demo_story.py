"""The demonstration's day as a whole: its table of flights, the state of its aircraft, its people and its law."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gyrewright.finding import Verdict, Whose
from kit.files import DEMO, demo, files_of
from scenarios.fixture import finding

DAY = "2027-06-12T"
GREASED = {"task": "grease", "on": datetime.fromisoformat(DAY + "18:30:00-07:00").date(), "at": {"rotor": "913.2 h"}}


def moment(text):
    return datetime.fromisoformat(f"{DAY}{text}:00-07:00")


def reasons(answer, least=Verdict.GO_IF):
    return {each.id for each in answer.findings if each.verdict >= least}


def greased(name, signed_by="yarrow"):
    """Return a flight's files in which somebody has signed for the greasing."""

    def entry(data):
        data["done"].append({**GREASED, "signed_by": signed_by})

    return with_records(name, "sanderling", entry)


def with_records(name, aircraft, change):
    path = f"aircraft/{aircraft}-records.toml"
    paths = ("operation.toml", "people.toml", path)
    return files_of(f"flights/{name}.toml", lambda each: (DEMO / each).read_text(), paths).changed(path, change)


# --- the five flights of the day ---


def test_the_first_lesson_of_the_day_has_nothing_against_it():
    asked = demo("0630-sunde-halloran").answer()
    assert asked.verdict is Verdict.GO
    assert reasons(asked) == set()
    assert asked.cautions == ()


def test_of_everything_counted_in_hours_the_directive_binds_next():
    asked = demo("0630-sunde-halloran").answer()
    directive = finding(asked, "maintenance.directive")
    assert directive.about == "AD-D2-011"
    assert directive.params["latest_h"] - directive.params["now_h"] == pytest.approx(2.8)
    assert directive.margin == pytest.approx(1.7)
    hours = [each for each in asked.findings if each.id.startswith("maintenance.") and "latest_h" in each.params]
    assert min(hours, key=lambda each: each.binds_next.share) is directive


def test_the_second_lesson_waits_for_a_judgement_of_a_hasty_walk_round():
    asked = demo("0820-okafor-lind-castellane").answer()
    assert asked.verdict is Verdict.JUDGE
    assert reasons(asked) == {"inspection.pace"}
    pace = finding(asked, "inspection.pace")
    assert pace.params["walker"] == ("castellane",)
    assert pace.params["judge"] == "okafor-lind"
    assert pace.value / pace.params["usual_min"] == pytest.approx(1.0 / 3.0)


def test_the_third_lesson_of_the_day_is_refused_by_the_directive():
    def third(data):
        data["time"]["depart"] = moment("10:10")
        data["time"]["block"] = "1.0 h"

    files = demo("0820-okafor-lind-castellane")
    asked = files.changed(files.flight, third).answer()
    assert {"maintenance.directive", "rule.us.39.7"} <= reasons(asked, Verdict.STOP)
    directive = finding(asked, "maintenance.directive", "AD-D2-011")
    assert directive.params["before_h"] == pytest.approx(2.2)
    assert directive.params["longest_h"] == pytest.approx(0.6)


def test_the_whimbrel_is_stopped_for_instruction_by_law_while_its_makers_would_let_it_fly():
    asked = demo("0900-okafor-lind-eklund").answer()
    assert reasons(asked, Verdict.STOP) == {"maintenance.inspection", "rule.us.91.409.hundred"}
    check = finding(asked, "maintenance.inspection", "100h")
    assert check.params["over_h"] == pytest.approx(6.4)
    assert {layer.limit.whose: layer.passes for layer in check.layers} == {Whose.LAW: False, Whose.MAKER: True}
    assert finding(asked, "rule.us.91.409.hundred").params["left_h"] == pytest.approx(-6.4)


def test_the_chief_instructor_as_owner_may_fly_the_whimbrel_privately():
    def private(data):
        data["purpose"] = "private"
        data["seats"] = {"front": "okafor-lind", "rear": "empty"}
        data["parts"] = {"commander": "okafor-lind"}
        data["law"]["instruction_for_hire"] = False

    files = demo("0900-okafor-lind-eklund")
    asked = files.changed(files.flight, private).answer()
    assert reasons(asked, Verdict.UNKNOWN) == set()
    assert finding(asked, "rule.us.91.409.annual").verdict is Verdict.GO


def test_in_the_heat_climb_and_crosswind_stop_the_dunlin_and_the_directive_too():
    asked = demo("1330-sunde-halloran").answer()
    stopped = {"performance.climb", "wind.crosswind", "maintenance.directive", "rule.us.39.7"}
    assert reasons(asked) == stopped


def test_the_evening_solo_in_the_sanderling_is_unknown_for_want_of_a_signed_greasing():
    asked = demo("1900-halloran-alone").answer()
    assert asked.verdict is Verdict.UNKNOWN
    assert reasons(asked, Verdict.UNKNOWN) == {"maintenance.inspection"}
    grease = finding(asked, "maintenance.inspection", "grease")
    assert (grease.why, grease.params["said_by"]) == ("no_evidence", ("yarrow",))


def test_once_the_greasing_is_shown_the_solo_is_on_only_if_it_is_down_by_sunset():
    asked = greased("1900-halloran-alone").answer()
    assert asked.verdict is Verdict.GO_IF
    assert reasons(asked) == {"maintenance.day_only", "maintenance.defect"}
    down = finding(asked, "maintenance.day_only").conditions
    assert [(each.id, each.until) for each in down] == [("maintenance.down_by_sunset", moment("20:44"))]
    assert all(each.owner for each in finding(asked, "maintenance.defect", "S-17").conditions)


def test_a_greasing_that_nobody_signed_shows_nothing():
    assert greased("1900-halloran-alone", signed_by="").answer().verdict is Verdict.UNKNOWN


def test_after_sunset_the_deferral_is_over():
    def late(data):
        data["asked_at"], data["time"]["depart"] = moment("19:40"), moment("19:50")
        data["weather"]["reports"] = ["METAR X0TB 130235Z 21006KT 10SM CLR 22/08 A2973"]
        data["fuel"]["stick"]["at"] = moment("19:35")

    files = greased("1900-halloran-alone")
    assert "maintenance.day_only" in reasons(files.changed(files.flight, late).answer(), Verdict.STOP)


# --- the whole table ---

# Row of the table -> its full verdict: the worst of the table itself and of the aircraft's state.
FULL = {
    "0630-dunlin-dual-25": "GO",
    "0630-dunlin-dual-16": "STOP",
    "0630-dunlin-solo-25": "GO",
    "0630-dunlin-solo-16": "GO",
    "0630-whimbrel-dual-25": "STOP",
    "0630-whimbrel-dual-16": "STOP",
    "0630-sanderling-dual-25": "STOP",
    "0630-sanderling-dual-16": "STOP",
    "0630-sanderling-solo-25": "UNKNOWN",
    "0630-sanderling-solo-16": "STOP",
    "1330-dunlin-dual-25": "STOP",
    "1330-dunlin-dual-16": "STOP",
    "1330-dunlin-solo-25": "STOP",
    "1330-dunlin-solo-16": "STOP",
    "1330-whimbrel-dual-25": "STOP",
    "1330-whimbrel-dual-16": "STOP",
    "1330-sanderling-dual-25": "STOP",
    "1330-sanderling-dual-16": "STOP",
    "1330-sanderling-solo-25": "STOP",
    "1330-sanderling-solo-16": "STOP",
    "1900-dunlin-dual-25": "STOP",
    "1900-dunlin-dual-16": "STOP",
    "1900-dunlin-solo-25": "GO",
    "1900-dunlin-solo-16": "GO",
    "1900-whimbrel-dual-25": "STOP",
    "1900-whimbrel-dual-16": "STOP",
    "1900-sanderling-dual-25": "STOP",
    "1900-sanderling-dual-16": "STOP",
    "1900-sanderling-solo-25": "UNKNOWN",
    "1900-sanderling-solo-16": "STOP",
}


def test_every_row_of_the_table_has_its_full_verdict():
    rows = Path(__file__).with_name("demo_day.txt").read_text().splitlines()
    assert {row.split()[0] for row in rows if not row.startswith("#")} == set(FULL)


@pytest.mark.parametrize("row", FULL)
def test_the_full_verdict_of_a_row_is_the_worst_of_the_table_and_the_aircrafts_state(row):
    assert demo(f"table-{row}").answer().verdict.code == FULL[row]


def test_at_half_past_one_the_whimbrel_on_16_is_stopped_by_law_alone():
    asked = demo("table-1330-whimbrel-dual-16").answer()
    assert reasons(asked) == {"maintenance.inspection", "rule.us.91.409.hundred"}


def test_the_dunlin_solo_in_the_evening_fits_what_is_left_of_the_directive_to_the_minute():
    name = "table-1900-dunlin-solo-25"

    def lasting(block):
        files = demo(name, "dunlin")
        return files.changed(files.flight, lambda data: data["time"].update(block=block)).answer()

    assert lasting("0.6 h").verdict is Verdict.GO
    assert "maintenance.directive" in reasons(lasting("0.7 h"), Verdict.STOP)


def test_with_its_end_left_open_the_dunlin_solo_is_on_only_if_it_lands_before_490_1_h():
    files = demo("table-1900-dunlin-solo-25", "dunlin")
    asked = files.changed(files.flight, lambda data: data["time"].update(block="open")).answer()
    assert asked.verdict is Verdict.GO_IF
    (condition,) = finding(asked, "time.open_end").conditions
    assert condition.until == moment("19:00") + timedelta(hours=0.6)
    assert condition.params["binds"] in ("maintenance.directive", "rule.us.39.7")


# --- people ---


def test_a_students_card_is_a_layer_beside_the_houses_numbers():
    asked = demo("table-1330-dunlin-solo-25").answer()
    for id in ("wind.total", "wind.spread", "wind.crosswind"):
        layers = {layer.limit.whose: layer for layer in finding(asked, id).layers}
        assert not layers[Whose.ENDORSEMENT].passes
        assert layers[Whose.ENDORSEMENT].limit.value == pytest.approx(layers[Whose.HOUSE].limit.value)


def test_without_the_card_the_student_does_not_fly_alone():
    def none(data):
        student = next(each for each in data["person"] if each["id"] == "halloran")
        student["endorsement"] = []

    asked = demo("table-0630-dunlin-solo-25", "dunlin").changed("people.toml", none).answer()
    assert "rule.us.61.87.endorsement" in reasons(asked, Verdict.STOP)


def test_the_card_is_for_two_types_and_no_third():
    def third(data):
        data["aircraft"] = "N0-202W"

    files = demo("table-0630-dunlin-solo-25")
    asked = files.changed(files.flight, third).answer()
    assert {"rule.us.61.87.endorsement", "rule.us.61.87.training"} <= reasons(asked, Verdict.STOP)


def test_the_applicants_papers_stop_the_test_for_two_reasons():
    def test(data):
        data["purpose"] = "test"
        data["parts"] = {"commander": "eklund", "student": "eklund", "examiner": "okafor-lind"}
        data["law"] |= {"test_commander_agreed": True, "examiner_standard_edition": "FAA-S-8081-29B"}

    files = demo("0900-okafor-lind-eklund")
    asked = files.changed(files.flight, test).answer()
    papers = {each.why for each in asked.findings if each.id == "rule.us.61.39" and each.verdict is Verdict.STOP}
    assert papers == {"areas", "endorsement"}


def test_the_renter_has_never_been_checked_out_on_this_dunlin():
    def rental(data):
        data["purpose"] = "rental"
        data["seats"] = {"front": "dunmore", "rear": "empty"}
        data["parts"] = {"commander": "dunmore"}

    files = demo("0630-sunde-halloran", "dunlin")
    asked = files.changed(files.flight, rental).answer()
    checkout = finding(asked, "people.checkout")
    assert (checkout.verdict, checkout.why) == (Verdict.STOP, "stop")


@pytest.mark.parametrize(("said", "verdict"), [("not fit", Verdict.STOP), ("fit with caution", Verdict.GO)])
def test_a_later_word_counts_for_later_flights_only(said, verdict):
    def evening(data):
        student = next(each for each in data["person"] if each["id"] == "halloran")
        student["today"][-1]["fitness"] = said

    morning = demo("0630-sunde-halloran", "dunlin").changed("people.toml", evening).answer()
    assert morning.verdict is Verdict.GO
    files = demo("table-1900-dunlin-solo-25", "dunlin").changed("people.toml", evening)
    assert files.answer().verdict is verdict


def test_a_no_aboard_stops_the_flight():
    def no(data):
        student = next(each for each in data["person"] if each["id"] == "halloran")
        student["no"] = [{"said_at": moment("06:10")}]

    asked = demo("0630-sunde-halloran", "dunlin").changed("people.toml", no).answer()
    assert reasons(asked) == {"people.no"}
