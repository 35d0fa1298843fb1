"""Records of upkeep as sentences, for lists of what was done."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.services.state import zone

Names = Mapping[str, str]


def told_act(record: Recorded, names: Names, tasks: Mapping[str, str]) -> str:
    """Return what a record of upkeep says, without the stop."""
    tell = _TOLD.get(type(record.act))
    said = tell(record.act, names, tasks) if tell else record.called
    when = record.done_at.astimezone(zone()).strftime("%-d %b %Y %H:%M")
    page = getattr(record.act, "from_paper", "")
    on = getattr(record.act, "on", None) or getattr(record.act, "off", None)
    day = on.strftime("%-d %b %Y") if on else when
    return f"{said}, {day}" + (f" (from paper: {page})" if page else "")


def _joined(texts: list[str]) -> str:
    *most, last = texts or [""]
    return f"{', '.join(most)} and {last}" if most else last


def _read(act: upkeep.MeterRead, names: Names, tasks: Names) -> str:
    return f"{act.meter} meter read: {act.shows}"


def _exchanged(act: upkeep.MeterReplaced, names: Names, tasks: Names) -> str:
    return f"{act.meter} meter exchanged: the old one showed {act.old_shows}, the new one {act.new_shows}"


def _done(act: upkeep.TaskDone, names: Names, tasks: Names) -> str:
    task = tasks.get(act.task, act.task)
    if act.not_applicable:
        return f"{task}: does not apply, {act.not_applicable}"
    at = _joined([f"{shows} on the {meter} meter" for meter, shows in act.at.items()])
    signed = f"signed by {names.get(act.signed_by, act.signed_by)}" if act.signed_by else "no signature entered"
    where = f", {act.reference}" if act.reference else ""
    return f"{task} done{f' at {at}' if at else ''}, {signed}{where}"


def _decided(act: upkeep.NoticeDecided, names: Names, tasks: Names) -> str:
    word = "followed" if act.decided == "follow" else "declined"
    return f"{tasks.get(act.task, act.task)} is {word}: {act.reason}"


def _share(act: upkeep.ShareNoted, names: Names, tasks: Names) -> str:
    return f"share of {act.of}: {act.share}"


def _fitted(act: upkeep.PartFitted, names: Names, tasks: Names) -> str:
    own = f" with {act.own} of its own" if act.own else ""
    return f"{act.name} {act.serial} fitted{own}"


def _removed(act: upkeep.PartRemoved, names: Names, tasks: Names) -> str:
    own = f" with {act.own_off} of its own" if act.own_off else ""
    return f"{act.name} {act.serial} came off{own}" + (f": {act.why}" if act.why else "")


def _work(act: upkeep.WorkDone, names: Names, tasks: Names) -> str:
    return f"work on {_joined(list(act.areas))}: {act.what}"


def _touched(act: upkeep.Touched, names: Names, tasks: Names) -> str:
    more = [
        f"{what} {amount}"
        for what, amount in (("fuel", act.fuel), ("oil", act.oil), ("ballast", act.ballast))
        if amount
    ]
    return f"{act.what}" + (f" ({', '.join(more)})" if more else "")


def _flown(act: upkeep.CheckFlown, names: Names, tasks: Names) -> str:
    word = "as it should be" if act.result == "good" else "not as it should be"
    return f"check flight: {word}" + (f", {act.found}" if act.found else "")


_TOLD: dict[type, Callable[[Any, Names, Names], str]] = {
    upkeep.MeterRead: _read,
    upkeep.MeterReplaced: _exchanged,
    upkeep.TaskDone: _done,
    upkeep.NoticeDecided: _decided,
    upkeep.DirectivesRead: lambda act, names, tasks: "directives and notices read through",
    upkeep.ShareNoted: _share,
    upkeep.PartFitted: _fitted,
    upkeep.PartRemoved: _removed,
    upkeep.WorkDone: _work,
    upkeep.WorkSigned: lambda act, names, tasks: f"work signed off, {act.reference or 'without a reference'}",
    upkeep.SecondLook: lambda act, names, tasks: f"second look: {act.found}",
    upkeep.CheckFlown: _flown,
    upkeep.Touched: _touched,
}
