"""What a person counts for in kilograms: a fresh scale reading as it stands, anything else to both careful sides."""

from __future__ import annotations

from typing import NamedTuple

from gyrewright.arrays import at_most
from gyrewright.reading import Section


class MassRule(NamedTuple):
    """A house's rule for people who have not been weighed: how old a reading may be, by how much else to be careful.

    Attributes:
        fresh_days: A scale reading counts for so many days.
        share: Share of the stated mass added for every greatest limit and taken off for every least one.
        near_kg: Margin to a limit of mass within which a scale reading is asked for.
    """

    fresh_days: float
    share: float
    near_kg: float


class Counted(NamedTuple):
    """The mass to use against least limits, the mass to use against greatest ones, and whether a scale is needed."""

    light_kg: float
    heavy_kg: float
    needs_scale: bool


def read_mass_rule(section: Section) -> MassRule | None:
    """Return the house's rule from keys `fresh`, `share`, `near`; None where the house has none."""
    if not section.keys():
        return None
    fresh = section.quantity("fresh", "days", low=0.0, required=True)
    share = section.quantity("share", "share", low=0.0, high=0.5, required=True)
    near = section.quantity("near", "mass", low=0.0, high=200.0, required=True)
    section.finish()
    if fresh is None or share is None or near is None:
        return None
    return MassRule(fresh.value, share.value, near.value)


def counted(
    *, mass_kg: float, weighed: bool, age_days: float | None, rule: MassRule | None, margin_kg: float | None = None
) -> Counted:
    """Return the masses to count with. [kg]

    A reading of the scale stands while it is no older than the rule says; so old that nobody knows, it does not. Where
    the house has no rule, anything but a scale reading needs the scale.

    Args:
        mass_kg: Weighed or stated mass, dressed to fly.
        weighed: Whether it came from a scale.
        age_days: Age of the reading at the start; None where its moment is unknown.
        rule: The house's rule, or None.
        margin_kg: Least margin to a limit of mass, worked out with the careful masses, if it is known already.
    """
    if rule is None:
        return Counted(mass_kg, mass_kg, not weighed)
    if weighed and age_days is not None and age_days >= 0.0 and at_most(age_days, rule.fresh_days):
        return Counted(mass_kg, mass_kg, False)
    near = margin_kg is not None and bool(at_most(margin_kg, rule.near_kg))
    return Counted(mass_kg * (1.0 - rule.share), mass_kg * (1.0 + rule.share), near)
