"""Numbers of the sheet that follow from program and books: what is due, and the longest flight that fits."""

from __future__ import annotations

from datetime import date, datetime, tzinfo

from gyrewright.arrays import Num
from gyrewright.finding import Caution
from gyrewright.maintenance.clocks import IN_DATE, Due, Words, work_out_all
from gyrewright.maintenance.defects import Entitled
from gyrewright.maintenance.documents import papers_ending_this_month
from gyrewright.maintenance.due import hours_left
from gyrewright.maintenance.forecast import booked_before_h as _booked_before_h
from gyrewright.maintenance.house import House
from gyrewright.maintenance.intervals import notice_binds
from gyrewright.maintenance.months import last_day_of_flight, month_end
from gyrewright.maintenance.program import Program
from gyrewright.maintenance.records import Booking, History, Paper, as_of
from gyrewright.sheet import Recipe, recipe

NO_LIMIT_H = 1.0e6
"""Longer than any life: stands for "no clock in hours bears on this flight" where a number is needed."""


def dues(
    maintenance_program: Program,
    maintenance_history: History,
    maintenance_house: House,
    entitled: Entitled,
    asked_at: datetime,
    flight_on: date,
    purpose: str,
    aboard_count: int,
    lesson: str,
    configuration: frozenset[str],
) -> tuple[Due, ...]:
    """Return every clock worked out for one flight."""
    return work_out_all(
        maintenance_program,
        as_of(maintenance_history, asked_at),
        on=flight_on,
        words=Words(purpose, aboard_count, lesson, configuration),
        entitled=entitled,
        no_over=maintenance_house.no_over_for,
    )


def binding_dues(dues: tuple[Due, ...], maintenance_house: House, maintenance_history: History) -> tuple[Due, ...]:
    """Return the clocks worked out without those of notices that are only advice here."""
    return tuple(
        due for due in dues if due.task.kind != "notice" or notice_binds(due, maintenance_house, maintenance_history)
    )


def booked_before_h(
    bookings: tuple[Booking, ...], maintenance_history: History, asked_at: datetime, depart_at: datetime
) -> float:
    """Return the flying booked before this flight and not on every meter yet. [h]

    Counted from the oldest of the meters' newest readings, so that no flight is forgotten on any of them.
    """
    meters = as_of(maintenance_history, asked_at).meters.values()
    read = [meter.latest.at for meter in meters if meter.latest]
    standing = [one for one in bookings if one.cancelled_at is None or one.cancelled_at > asked_at]
    return _booked_before_h(standing, since=min(read, default=None), depart_at=depart_at)


def hours_left_h(binding_dues: tuple[Due, ...], booked_before_h: float, interval_allowance_h: float) -> float:
    """Return the longest flight that fits every clock in hours, booked flying and the house's allowance taken off. [h]

    Negative where one is over. Where no clock in hours bears on the flight: `NO_LIMIT_H`.
    """
    found = hours_left(binding_dues, before_h=booked_before_h, allowance_h=interval_allowance_h)
    return found[0] if found else NO_LIMIT_H


def hours_margin_h(hours_left_h: Num, block_h: Num) -> Num:
    """Return what is left of the tightest clock in hours after the flight; takes arrays. [h]"""
    return hours_left_h - block_h


def ending_this_month(dues: tuple[Due, ...], *, on: date) -> tuple[Caution, ...]:
    """Return one caution for each task that counts as a document and ends in the month of a day."""
    return tuple(
        Caution("maintenance.ends_this_month", {"what": due.task.name, "until": due.binding.latest})
        for due in dues
        if due.task.paper
        and due.state == IN_DATE
        and due.binding is not None
        and isinstance(due.binding.latest, date)
        and on <= due.binding.latest <= month_end(on)
    )


def upkeep_cautions(
    dues: tuple[Due, ...], papers_held: tuple[Paper, ...], maintenance_house: House, flight_on: date
) -> tuple[Caution, ...]:
    """Return the cautions that the house wants about inspections and papers that end this month."""
    if not maintenance_house.cautions_ending:
        return ()
    return (*ending_this_month(dues, on=flight_on), *papers_ending_this_month(papers_held, on=flight_on))


def flight_ends_on(flight_on: date, depart_at: datetime, land_at: datetime | None) -> date:
    """Return the local date on which the flight ends."""
    return last_day_of_flight(flight_on=flight_on, depart_at=depart_at, land_at=land_at)


def local_zone(depart_at: datetime) -> tzinfo | None:
    """Return the clock of the place, as the start is written in it."""
    return depart_at.tzinfo


RECIPES: tuple[Recipe, ...] = (
    recipe(dues),
    recipe(flight_ends_on),
    recipe(local_zone),
    recipe(upkeep_cautions),
    recipe(binding_dues),
    recipe(booked_before_h, dimension="time"),
    recipe(hours_left_h, dimension="time"),
    recipe(hours_margin_h, dimension="time"),
)
