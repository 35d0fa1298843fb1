"""The aircraft under the law: papers, inspections, defects, equipment, loading, room to fly."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime

from gyrewright.arrays import at_least, at_most
from gyrewright.finding import Condition, Cure
from gyrewright.rules.calendar import add_months, good_through, hours_between, last_day, touches_dark
from gyrewright.rules.registry import (
    FLAG,
    LISTS,
    TEXTS,
    WHOLE,
    Found,
    Params,
    evaluator,
    measured,
    only_if,
    passes,
    stops,
    unknown,
)
from gyrewright.rules.shapes import Inoperative


@evaluator("certificate papers")
def certificate_papers(
    *,
    airworthiness_certificate_aboard: bool,
    airworthiness_certificate_displayed: bool,
    certificate_registration: str,
    registration: str,
) -> Found:
    """Return whether the airworthiness certificate is aboard, shown, and made out for this aircraft."""
    params: Params = {"on_paper": certificate_registration, "registration": registration}
    if not airworthiness_certificate_aboard:
        return stops("absent", **params)
    if not airworthiness_certificate_displayed:
        return stops("hidden", **params)
    return passes(**params) if certificate_registration == registration else stops("other", **params)


@evaluator("registration", years=WHOLE, temporary_months=WHOLE)
def registration(
    *,
    years: int,
    temporary_months: int,
    registration_aboard: bool,
    registration_temporary: bool,
    registration_until_on: date | None = None,
    registration_issued_on: date | None = None,
    registration_is_first: bool | None = None,
    registration_applied_on: date | None = None,
    registration_ended_on: date | None = None,
    flight_on: date,
    flight_within_country: bool | None = None,
) -> Found:
    """Return whether the registration holds: until its printed day, or the term of a first one from its month of issue.

    A temporary authority holds for its months from the application, inside the country only, and ends with ownership.
    """
    if registration_ended_on is not None and registration_ended_on <= flight_on:
        return stops("ended", ended_on=registration_ended_on)
    if not registration_aboard:
        return stops("absent")
    if registration_temporary:
        if registration_applied_on is None:
            return unknown("registration_applied_on")
        if flight_within_country is None:
            return unknown("flight_within_country")
        until = add_months(registration_applied_on, temporary_months)
        if not flight_within_country:
            return stops("abroad", until=until)
        return passes("temporary", until=until) if flight_on <= until else stops("expired", until=until)
    if registration_until_on is None:
        if registration_issued_on is None or not registration_is_first:
            return unknown("registration_until_on")
        registration_until_on = last_day(add_months(last_day(registration_issued_on), 12 * years))
    until = registration_until_on
    return passes(until=until) if flight_on <= until else stops("expired", until=until)


@evaluator("category allowed", barred=TEXTS, seats=WHOLE, vh=measured("speed"))
def category_allowed(
    *,
    barred: Sequence[str] = (),
    seats: int | None = None,
    vh: float | None = None,
    certificate: str,
    aircraft_seats: int,
    aircraft_vh_m_s: float | None = None,
) -> Found:
    """Return whether an aircraft of this kind may hold its certificate on that day at all."""
    if certificate in barred:
        return stops(certificate=certificate)
    if seats is not None and aircraft_seats > seats:
        return stops("seats", seats=aircraft_seats, limit=seats)
    if vh is not None:
        if aircraft_vh_m_s is None:
            return unknown("aircraft_vh_m_s")
        if not at_most(aircraft_vh_m_s, vh):
            return stops("fast", vh_m_s=aircraft_vh_m_s, limit_m_s=vh)
    return passes(certificate=certificate)


@evaluator("hundred hours", interval=measured("time"), overrun=measured("time"), only_by_authority=FLAG)
def hundred_hours(
    *,
    interval: float,
    overrun: float = 0.0,
    only_by_authority: bool | None = None,
    instruction_for_hire: bool,
    persons_for_hire: bool,
    instructor_provides_aircraft: bool,
    training_authority_relied_on: bool | None = None,
    hours_inspected_at_h: float,
    hours_were_due_at_h: float | None = None,
    time_in_service_h: float,
    block_h: float,
    flight_to_inspection: bool,
) -> Found:
    """Return whether the inspection by hours that hire or instruction asks for lasts until the engine stops.

    Done late, the hours flown past the old due count against the next; done early, the next counts from when it was
    done. The over-run serves only a flight to the place of inspection. Where the trigger does not hold, no question
    arises: the owner's private flight needs no such inspection.
    """
    if only_by_authority:
        if training_authority_relied_on is None:
            return unknown("training_authority_relied_on")
        if not training_authority_relied_on:
            return None
    elif not (persons_for_hire or (instruction_for_hire and instructor_provides_aircraft)):
        return None
    base = hours_inspected_at_h
    if hours_were_due_at_h is not None and hours_inspected_at_h > hours_were_due_at_h:
        base = hours_were_due_at_h
    due = base + interval
    end = time_in_service_h + block_h
    params: Params = {"due_h": due, "now_h": time_in_service_h, "end_h": end, "left_h": due - time_in_service_h}
    if at_most(end, due) and time_in_service_h < due:
        return passes(**params)
    if flight_to_inspection and overrun > 0.0 and at_most(end, due + overrun):
        return passes("en_route", overrun_h=overrun, **params)
    return stops(cures=(Cure("rules.inspect_by_hours", "maintainer"),), **params)


@evaluator("inoperative items")
def inoperative_items(*, inoperative: Sequence[Inoperative]) -> Found:
    """Return whether every deferred item is one that may be deferred, and has been as the rule says."""
    for item in inoperative:
        if item.required is None:
            return unknown("inoperative", why="unsure", item=item.name)
        if item.required:
            return stops("required", item=item.name)
        if item.removed is None and item.deactivated is None:
            return unknown("inoperative", why="unsure", item=item.name)
        if not (item.removed or item.deactivated):
            return stops("connected", item=item.name)
        if item.placarded is None or (item.removed and item.entered is None) or item.decider_entitled is None:
            return unknown("inoperative", why="unsure", item=item.name)
        if not item.placarded:
            return stops("placard", item=item.name)
        if item.removed and not item.entered:
            return stops("entry", item=item.name)
        if not item.decider_entitled:
            return stops("decider", item=item.name, who=item.decided_by)
    return passes(count=len(inoperative))


@evaluator("check flight", levels=TEXTS)
def check_flight(
    *,
    levels: Sequence[str],
    check_flight_needed: bool,
    check_flight_logged: bool,
    aboard_count: int,
    commander: str,
    commander_certificate: str | None = None,
    land_at: datetime,
) -> Found:
    """Return that work which may change how an aircraft flies lets a rated pilot fly alone, and nobody else yet."""
    if not check_flight_needed or check_flight_logged:
        return passes()
    if aboard_count > 1:
        return stops(cures=(Cure("rules.fly_check_flight", "rated pilot alone"),), aboard=aboard_count)
    if commander_certificate is None:
        return unknown("commander_certificate")
    if commander_certificate not in levels:
        return stops("not_rated", who=commander, certificate=commander_certificate)
    return only_if(Condition("rules.fly_check_flight", commander, land_at, {"who": commander}), who=commander)


@evaluator("transponder test", months=WHOLE)
def transponder_test(
    *,
    months: int,
    transponder_fitted: bool,
    transponder_to_be_used: bool,
    airspace_needs_transponder: bool,
    transponder_tested_on: date | None = None,
    flight_on: date,
    commander: str,
    land_at: datetime,
) -> Found:
    """Return whether a transponder is in test; overdue it stays off, and airspace that needs it stays closed."""
    if not transponder_fitted or not (transponder_to_be_used or airspace_needs_transponder):
        return None
    if transponder_tested_on is None:
        return unknown("transponder_tested_on")
    until = good_through(transponder_tested_on, months)
    params: Params = {"tested_on": transponder_tested_on, "until": until}
    if transponder_tested_on <= flight_on <= until:
        return passes(**params)
    if airspace_needs_transponder:
        return stops(**params)
    return only_if(Condition("rules.transponder_off", commander, land_at, params), **params)


@evaluator("transponder airspace", notice=measured("time"))
def transponder_airspace(
    *,
    notice: float,
    airspace_needs_transponder: bool,
    transponder_working: bool | None = None,
    position_broadcast_working: bool | None = None,
    never_had_engine_driven_electrics: bool | None = None,
    airspace_excepts_no_electrics: bool | None = None,
    deviation_asked_at: datetime | None = None,
    depart_at: datetime,
) -> Found:
    """Return whether airspace that needs transponder and position broadcast may be entered with what is fitted."""
    if not airspace_needs_transponder:
        return None
    lacking = [
        name
        for name, value in (
            ("transponder_working", transponder_working),
            ("position_broadcast_working", position_broadcast_working),
        )
        if value is None
    ]
    if transponder_working and position_broadcast_working:
        return passes()
    if never_had_engine_driven_electrics and airspace_excepts_no_electrics:
        return passes("excepted")
    if deviation_asked_at is not None and at_least(hours_between(deviation_asked_at, depart_at), notice):
        return passes("deviation", asked_for_at=deviation_asked_at)
    return unknown(*lacking) if lacking else stops(notice_h=notice)


@evaluator("preflight")
def preflight(*, walk_round_done: bool | None = None, commander_finds_safe: bool | None = None) -> Found:
    """Return STOP where the commander finds the aircraft unfit; until the look round is done, nobody knows."""
    if commander_finds_safe is False:
        return stops()
    if not walk_round_done:
        return unknown("walk_round_done")
    return passes() if commander_finds_safe else unknown("commander_finds_safe")


@evaluator("equipment", day=TEXTS, night=TEXTS, day_with=LISTS, night_hire=TEXTS)
def equipment(
    *,
    day: Sequence[str],
    night: Sequence[str],
    day_with: Mapping[str, Sequence[str]],
    night_hire: Sequence[str] = (),
    equipment_working: Collection[str],
    aircraft_features: Collection[str],
    flight_for_hire: bool | None = None,
    depart_at: datetime,
    land_at: datetime,
    dusk_at: datetime,
    dawn_at: datetime,
) -> Found:
    """Return STOP naming every required item that does not work; what depends on a feature is asked only with it."""
    required = [*day, *(item for feature in aircraft_features for item in day_with.get(feature, ()))]
    if touches_dark(depart_at=depart_at, land_at=land_at, dark_from=dusk_at, light_from=dawn_at):
        required += night
        if night_hire and flight_for_hire is None:
            return unknown("flight_for_hire")
        required += night_hire if flight_for_hire else ()
    absent = tuple(item for item in dict.fromkeys(required) if item not in equipment_working)
    return stops(items=absent, count=len(absent)) if absent else passes(count=len(required))


@evaluator("own equipment list")
def own_equipment_list(*, equipment_working: Collection[str], equipment_required: Collection[str]) -> Found:
    """Return the same for an aircraft whose operating limitations or equipment list say what it needs."""
    absent = tuple(item for item in sorted(equipment_required) if item not in equipment_working)
    return stops(items=absent, count=len(absent)) if absent else passes(count=len(equipment_required))


@evaluator("lights")
def lights(
    *,
    position_lights_working: bool | None = None,
    depart_at: datetime,
    land_at: datetime,
    sunset_at: datetime,
    sunrise_at: datetime,
) -> Found:
    """Return whether a flight that has any part between sunset and sunrise can show its position lights."""
    if not touches_dark(depart_at=depart_at, land_at=land_at, dark_from=sunset_at, light_from=sunrise_at):
        return None
    if position_lights_working is None:
        return unknown("position_lights_working")
    return passes(sunset_at=sunset_at) if position_lights_working else stops(sunset_at=sunset_at, land_at=land_at)


@evaluator("night authority")
def night_authority(
    *,
    night_flight_authorized: bool | None = None,
    depart_at: datetime,
    land_at: datetime,
    dusk_at: datetime,
    dawn_at: datetime,
) -> Found:
    """Return whether an aircraft limited to day unless authorized is authorized, where any part is in the night."""
    if not touches_dark(depart_at=depart_at, land_at=land_at, dark_from=dusk_at, light_from=dawn_at):
        return None
    if night_flight_authorized is None:
        return unknown("night_flight_authorized")
    return passes() if night_flight_authorized else stops(dusk_at=dusk_at, land_at=land_at)


@evaluator("loading")
def loading(
    *,
    mass_margin_kg: float,
    station_margin_kg: float,
    balance_margin_m: float,
    weighing_used: str,
    weighing_in_force: str,
    aboard_count: int,
    aircraft_seats: int,
) -> Found:
    """Return whether the aircraft is inside its own limits over the whole flight, by the weighing that is in force."""
    params: Params = {"mass_margin_kg": mass_margin_kg, "station_margin_kg": station_margin_kg}
    if aboard_count > aircraft_seats:
        return stops("seats", aboard=aboard_count, seats=aircraft_seats)
    for why, margin in (("mass", mass_margin_kg), ("station", station_margin_kg), ("balance", balance_margin_m)):
        if not at_least(margin, 0.0):
            return stops(why, balance_margin_m=balance_margin_m, **params)
    if weighing_used != weighing_in_force:
        return stops("weighing", used=weighing_used, in_force=weighing_in_force)
    return passes(**params)


@evaluator("runway")
def runway(*, runway_available_m: float, take_off_distance_m: float, landing_distance_m: float | None = None) -> Found:
    """Return whether the runway is long enough for the distances worked out for today."""
    params: Params = {"available_m": runway_available_m, "needed_m": take_off_distance_m}
    if not at_most(take_off_distance_m, runway_available_m):
        return stops(**params)
    if landing_distance_m is None:
        return unknown("landing_distance_m")
    if not at_most(landing_distance_m, runway_available_m):
        return stops("landing", available_m=runway_available_m, needed_m=landing_distance_m)
    return passes(**params)
