"""Distance from cloud, and sight of the ground: what is not a plain number in the limit stack."""

from __future__ import annotations

from gyrewright.arrays import at_most
from gyrewright.rules.registry import Found, Params, evaluator, measured, passes, stops


@evaluator("clear of cloud", below=measured("length"))
def clear_of_cloud(*, below: float, cloud_base_m: float, planned_height_m: float) -> Found:
    """Return whether the planned height above the field stays as far below the cloud as the airspace asks."""
    params: Params = {"cloud_base_m": cloud_base_m, "height_m": planned_height_m, "below_m": below}
    return passes(**params) if at_most(planned_height_m + below, cloud_base_m) else stops(**params)
