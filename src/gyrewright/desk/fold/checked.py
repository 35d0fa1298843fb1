"""Which values of an aircraft's file somebody has checked against the page, and what a weighing says anew.

A text may say by whom it was checked, as paper does; that counts until a value is changed, and ends for good with the
first new revision of the manual. From then on, and for every changed value, only typing it again from the page counts.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from gyrewright.aircraft.weighing import Change, ScaleRow, revised, weighed
from gyrewright.desk.book.kinds.aircraft import AircraftDefined, AircraftWeighed, LimitVerified
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.tables import Table
from gyrewright.desk.fold.values import Value, values_of
from gyrewright.errors import OutOfRange
from gyrewright.units import parse_quantity


@dataclass(frozen=True, slots=True)
class Check:
    """Who checked a value against its page, and when: a person's id, or a name that the text itself gives."""

    by: str
    at: datetime
    is_typed_again: bool


@dataclass(slots=True)
class Checked:
    """An aircraft's file with what has been checked of it."""

    table: Table | None = None
    values: tuple[Value, ...] = ()
    checks: dict[str, Check] = field(default_factory=dict)
    entered: Recorded | None = None

    @property
    def open(self) -> tuple[Value, ...]:
        """The values that nobody has checked against their page."""
        return tuple(each for each in self.values if each.key not in self.checks)


def checked(records: Iterable[Recorded]) -> Checked:
    """Return an aircraft's file as it counts, with what has been checked of it.

    Args:
        records: The records that count, in the order of time; corrected ones come before what corrects them.
    """
    out = Checked()
    revision, old_text_counts = "", True
    spent: set[str] = set()
    for each in records:
        act = each.act
        if isinstance(act, AircraftDefined):
            table = tomllib.loads(act.text)
            values = values_of(table)
            now = str(table.get("manual", {}).get("revision", ""))
            if revision and now != revision:
                out.checks, old_text_counts = {}, False
                spent.clear()
            _carry_over(out, values, spent)
            if old_text_counts:
                _by_the_text(out, table, values, each, spent)
            out.table, out.values, out.entered, revision = table, values, each, now
        elif isinstance(act, LimitVerified) and act.manual_revision == revision:
            value = next((one for one in out.values if one.key == act.key), None)
            if value is not None and value.is_typed(act.typed):
                out.checks[act.key] = Check(each.by, each.done_at, is_typed_again=True)
    if out.table is not None:
        _write_down(out)
    return out


def _carry_over(out: Checked, values: tuple[Value, ...], spent: set[str]) -> None:
    """Keep the checks of values that stayed as they were, page included; those that changed have to be checked anew."""
    before = {each.key: each for each in out.values}
    after = {each.key: each for each in values}
    for key in list(out.checks):
        was, now = before.get(key), after.get(key)
        if was is None or now is None or was.page != now.page or not now.is_same(was.typed):
            del out.checks[key]
            spent.add(key)


def _by_the_text(
    out: Checked, table: Mapping[str, Any], values: tuple[Value, ...], record: Recorded, spent: set[str]
) -> None:
    whole = str(table.get("manual", {}).get("verified_by", ""))
    limits = table.get("limit", [])
    for value in values:
        by = whole
        if value.row is not None and "verified_by" in limits[value.row]:
            by = str(limits[value.row]["verified_by"])
        if by and value.key not in spent:
            out.checks.setdefault(value.key, Check(by, record.done_at, is_typed_again=False))


def _write_down(out: Checked) -> None:
    """Write into the table who checked what, as the core reads it: the whole file only where every value was."""
    assert out.table is not None
    for value in out.values:
        if value.row is not None:
            check = out.checks.get(value.key)
            out.table["limit"][value.row]["verified_by"] = check.by if check else ""
    manual = out.table.setdefault("manual", {})
    if out.open or not out.values:
        manual["verified_by"] = ""
    else:
        manual["verified_by"] = ", ".join(dict.fromkeys(check.by for check in out.checks.values()))


# --- weighing ---------------------------------------------------------------------------------------------------------


def weighing_table(act: AircraftWeighed, by: str) -> Table:
    """Return what a weighing puts in the place of the file's own: empty mass and arm, worked out from the scales.

    Raises:
        OutOfRange: There are no scales, or more was aboard than they show.
    """
    rows = [
        ScaleRow(each.name, parse_quantity("mass", each.mass).value, 0.0, parse_quantity("arm", each.arm).value)
        for each in act.readings
    ]
    load = weighed(rows)
    changes = [
        Change(each.name, -parse_quantity("mass", each.mass).value, parse_quantity("arm", each.arm).value)
        for each in act.aboard
    ]
    if changes:
        load = revised(load, changes)[-1]
    out: Table = {
        "on": act.weighed_on,
        "by": by,
        "empty_mass": f"{load.mass_kg:.2f} kg",
        "empty_arm": f"{load.cg_m * 1000.0:.1f} mm",
    }
    if not changes:
        out["scale"] = [{"at": each.name, "reads": each.mass, "tare": "0 kg", "arm": each.arm} for each in act.readings]
    return out


def with_weighing(table: Table, weighings: Iterable[Recorded], names: Mapping[str, str] | None = None) -> Table:
    """Return a definition with the newest weighing in it: that of its own text, or one entered since."""
    known = table.get("weighing", {})
    newest: date = known.get("on") or date.min
    for each in weighings:
        act = each.act
        if isinstance(act, AircraftWeighed) and act.weighed_on >= newest:
            try:
                made = weighing_table(act, act.signed_by or each.by)
            except OutOfRange:
                # It was tried before it was recorded; a record of another book may say what no scale can.
                continue
            table, newest = {**table, "weighing": made}, act.weighed_on
    return table
