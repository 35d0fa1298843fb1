"""What an aircraft with a special certificate may be used for, and by whose leave."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from gyrewright.rules.registry import TEXTS, WHOLE, Found, Params, evaluator, passes, stops, unknown


@evaluator("experimental use", hire_for=TEXTS)
def experimental_use(
    *,
    hire_for: Sequence[str],
    purpose: str,
    purpose_on_certificate: str,
    purpose_of_use: str,
    persons_for_hire: bool,
    test_phase_complete: bool,
    inside_test_area: bool | None = None,
    aboard_count: int,
    crew_needed: int,
) -> Found:
    """Return whether the flight lies inside the purpose and, until its tests are done, the area of the certificate."""
    if purpose_of_use != purpose_on_certificate:
        return stops("purpose", use=purpose_of_use, certificate_purpose=purpose_on_certificate)
    if persons_for_hire and purpose not in hire_for:
        return stops("hire", purpose=purpose)
    if not test_phase_complete:
        if inside_test_area is None:
            return unknown("inside_test_area")
        if not inside_test_area:
            return stops("area")
        if aboard_count > crew_needed:
            return stops("tests", aboard=aboard_count, needed=crew_needed)
        return passes("tests")
    return passes()


@evaluator("experimental training", charges=TEXTS)
def experimental_training(
    *,
    charges: Sequence[str],
    training_is_paid: bool,
    same_provider: bool | None = None,
    aircraft_advertised: bool | None = None,
    aircraft_charge: str | None = None,
    training_authority: str | None = None,
    training_authority_on: date | None = None,
    training_authority_aboard: bool | None = None,
    flight_on: date,
) -> Found:
    """Return whether training in an experimental aircraft is free, privately arranged, or under a written authority.

    `charges` are the ways to charge for the aircraft that need no authority. Without one, every condition must be known
    to be met; with one, its day and its copy aboard are asked.
    """
    if not training_is_paid:
        return passes("unpaid")
    if same_provider is False and aircraft_advertised is False and aircraft_charge in charges:
        return passes("private")
    private_is_open = None in (same_provider, aircraft_advertised, aircraft_charge)
    known_not = same_provider is True or aircraft_advertised is True or aircraft_charge not in (None, *charges)
    if training_authority is None or not training_authority:
        if private_is_open and not known_not:
            return unknown("same_provider", "aircraft_advertised", "aircraft_charge")
        return stops() if training_authority == "" else unknown("training_authority")
    if training_authority_on is None:
        return unknown("training_authority_on")
    if training_authority_aboard is None:
        return unknown("training_authority_aboard")
    params: Params = {"authority": training_authority, "issued_on": training_authority_on}
    if training_authority_on > flight_on:
        return stops("later", **params)
    return passes("authority", **params) if training_authority_aboard else stops("aboard", **params)


@evaluator("flight offered as", barred=TEXTS)
def flight_offered_as(*, barred: Sequence[str], training_authority_relied_on: bool, flight_offered_as: str) -> Found:
    """Return whether a flight under a training authority is sold as something that it does not cover."""
    if not training_authority_relied_on:
        return None
    params: Params = {"kind": flight_offered_as}
    return stops(**params) if flight_offered_as in barred else passes(**params)


@evaluator("persons under authority", most=WHOLE)
def persons_under_authority(
    *, most: int, training_authority_relied_on: bool, passenger: str, aboard_count: int
) -> Found:
    """Return whether only those whom a training authority names are aboard."""
    if not training_authority_relied_on:
        return None
    if passenger:
        return stops(who=passenger)
    return passes() if aboard_count <= most else stops("many", aboard=aboard_count, most=most)
