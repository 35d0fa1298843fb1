"""Parts by serial number: on, off, and over to another aircraft with their own hours."""

from __future__ import annotations

from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from kit.desk import client_of, held, words

DUNLIN, WHIMBREL = "N0-101D", "N0-202W"
BOLT = "teeter bolt"


def address(name, aircraft=DUNLIN):
    return reverse("upkeep-enter", args=[aircraft, name])


def part(serial, aircraft):
    parts = state.machine(aircraft, clock.now()).aircraft.records.history.parts
    return next((each for each in parts if each.serial == serial), None)


def fitted(name, aircraft=DUNLIN):
    parts = state.machine(aircraft, clock.now()).aircraft.records.history.parts
    return next(each for each in parts if each.name == name and each.fitted_to(aircraft))


def test_a_part_moves_to_another_aircraft_and_takes_its_hours_along(demo_day):
    client = client_of("arrowood")
    bolt = fitted(BOLT)
    given = {"part": f"{BOLT}|{bolt.serial}", "off": "2027-06-12", "own_off": "487.3 h", "why": "moved"}
    assert client.post(address("part-removed"), given).status_code == 302
    assert part(bolt.serial, DUNLIN).fitted_to(DUNLIN) is None
    old = fitted(BOLT, WHIMBREL)
    off = {"part": f"{BOLT}|{old.serial}", "off": "2027-06-12", "own_off": "400.0 h"}
    assert client.post(address("part-removed", WHIMBREL), off).status_code == 302
    given = {
        "name": BOLT,
        "serial": bolt.serial,
        "on": "2027-06-12",
        "meter": "rotor",
        "meter_at": "731.9 h",
        "own": "487.3 h",
        "from_paper": "parts card 7",
    }
    assert client.post(address("part-fitted", WHIMBREL), given).status_code == 302
    stays = part(bolt.serial, WHIMBREL).fits
    assert [(each.aircraft, each.own, each.own_off) for each in stays] == [
        (DUNLIN, 0.0, 487.3),
        (WHIMBREL, 487.3, None),
    ]
    said = words(client.get(reverse("upkeep-aircraft", args=[WHIMBREL])))
    assert f"Teeter bolt {bolt.serial}: 487.3 h of its own now" in said
    assert f"On {DUNLIN} from" in said
    # 500 h of life, 487.3 of them gone elsewhere: 12.7 left here.
    assert "12.7 h left" in said


def test_a_part_that_is_on_another_aircraft_still_is_not_fitted_here(demo_day):
    bolt = fitted(BOLT)
    given = {
        "name": BOLT,
        "serial": bolt.serial,
        "on": "2027-06-12",
        "meter": "rotor",
        "meter_at": "731.9 h",
        "own": "1 h",
    }
    answer = client_of("arrowood").post(address("part-fitted", WHIMBREL), given)
    assert "at once" in words(answer, 400)
    assert held(answer)["serial"] == bolt.serial
    assert part(bolt.serial, WHIMBREL) is None


def test_a_parts_own_hours_never_run_back(demo_day):
    client = client_of("arrowood")
    bolt = fitted(BOLT)
    client.post(address("part-removed"), {"part": f"{BOLT}|{bolt.serial}", "off": "2027-06-11", "own_off": "487.3 h"})
    given = {
        "name": BOLT,
        "serial": bolt.serial,
        "on": "2027-06-12",
        "meter": "rotor",
        "meter_at": "731.9 h",
        "own": "1 h",
    }
    assert "never run back" in words(client.post(address("part-fitted", WHIMBREL), given), 400)


def test_hours_without_a_meter_and_a_part_that_is_not_here_are_refused(demo_day):
    client = client_of("arrowood")
    given = {"name": "fan", "serial": "F1", "on": "2027-06-12", "own": "1 h"}
    assert "on which meter" in words(client.post(address("part-fitted"), given), 400)
    gone = {"part": f"{BOLT}|XX", "off": "2027-06-12"}
    assert "is no choice for part" in words(client.post(address("part-removed"), gone), 400)


def test_nothing_goes_on_or_comes_off_on_a_day_that_is_still_to_come(demo_day):
    client = client_of("arrowood")
    given = {"name": "fan", "serial": "F1", "on": "2027-06-13"}
    assert "is still to come" in words(client.post(address("part-fitted"), given), 400)
    given = {"part": f"{BOLT}|{fitted(BOLT).serial}", "off": "2027-06-13"}
    assert "is still to come" in words(client.post(address("part-removed"), given), 400)
    assert part("F1", DUNLIN) is None


def test_only_maintenance_moves_parts(demo_day):
    bolt = fitted(BOLT)
    given = {"part": f"{BOLT}|{bolt.serial}", "off": "2027-06-12"}
    assert "answers for them" in words(client_of("okafor-lind").post(address("part-removed"), given), 403)


def test_a_wrong_entry_is_corrected_by_a_later_one(demo_day):
    client = client_of("arrowood")
    given = {"name": "fan", "serial": "F1", "on": "2027-06-11", "meter": "rotor", "meter_at": "487.0 h", "own": "0 h"}
    assert client.post(address("part-fitted"), given).status_code == 302
    wrong = find_records(about=DUNLIN, kinds=("part-fitted",))[-1]
    assert held(client.get(address("part-fitted"), {"corrects": wrong.id}))["meter_at"] == "487.0 h"
    given |= {"corrects": wrong.id, "own": "12.0 h"}
    assert client.post(address("part-fitted"), given).status_code == 302
    assert [each.own for each in part("F1", DUNLIN).fits] == [12.0]
