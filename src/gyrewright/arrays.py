"""Operations that mean the same for one flight and for a million.

A number is a Python float for one flight, or a NumPy array that broadcasts for many. Formulas are written once with
ordinary arithmetic and with the few functions here. NumPy is imported only when an array is really present, so that a
single answer does not pay for it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Num: TypeAlias = float | NDArray[np.float64]
    Truth: TypeAlias = bool | NDArray[np.bool_]
else:
    Num = Any
    Truth = Any

# Two numbers nearer than this share of their size are the same number: far below what any scale, gauge or table
# resolves, far above what unit conversion loses. Without it "22 kt less 14 kt" would not equal "8 kt".
SAME_RATIO = 1e-9

_PLAIN = (float, int)


def is_plain(*values: Any) -> bool:
    """Return whether every value is a single Python number (then no NumPy is needed)."""
    return all(isinstance(value, _PLAIN) for value in values)


def least(first: Num, *others: Num) -> Num:
    """Return the smaller of the values, element by element."""
    if is_plain(first, *others):
        return min((first, *others))
    import numpy as np

    out: Any = first
    for other in others:
        out = np.minimum(out, other)
    return out  # type: ignore[no-any-return]


def greatest(first: Num, *others: Num) -> Num:
    """Return the larger of the values, element by element."""
    if is_plain(first, *others):
        return max((first, *others))
    import numpy as np

    out: Any = first
    for other in others:
        out = np.maximum(out, other)
    return out  # type: ignore[no-any-return]


def choose(condition: Truth, if_true: Num, if_false: Num) -> Num:
    """Return `if_true` where the condition holds, else `if_false`, element by element."""
    if isinstance(condition, bool):
        return if_true if condition else if_false
    import numpy as np

    return np.where(condition, if_true, if_false)


def both(first: Truth, *others: Truth) -> Truth:
    """Return whether every condition holds, element by element."""
    out: Any = first
    for other in others:
        out = out & other
    return out  # type: ignore[no-any-return]


def sqrt(value: Num) -> Num:
    """Return the square root, element by element."""
    if isinstance(value, _PLAIN):
        return math.sqrt(value)
    import numpy as np

    return np.sqrt(value)


def sin(angle_rad: Num) -> Num:
    """Return the sine of an angle in radians, element by element."""
    if isinstance(angle_rad, _PLAIN):
        return math.sin(angle_rad)
    import numpy as np

    return np.sin(angle_rad)


def cos(angle_rad: Num) -> Num:
    """Return the cosine of an angle in radians, element by element."""
    if isinstance(angle_rad, _PLAIN):
        return math.cos(angle_rad)
    import numpy as np

    return np.cos(angle_rad)


def exp(value: Num) -> Num:
    """Return e to the power of the value, element by element."""
    if isinstance(value, _PLAIN):
        return math.exp(value)
    import numpy as np

    return np.exp(value)


def at_most(have: Num, limit: Num) -> Truth:
    """Return whether `have` is no larger than `limit`; equality passes, and numbers alike to 1e-9 are equal."""
    first: Any = have
    second: Any = limit
    if is_plain(have, limit):
        return bool(first <= second or first - second <= SAME_RATIO * min(abs(first), abs(second)))
    import numpy as np

    nearer = np.minimum(abs(first), abs(second))
    return (first <= second) | (first - second <= SAME_RATIO * nearer)  # type: ignore[no-any-return]


def at_least(have: Num, limit: Num) -> Truth:
    """Return whether `have` is no smaller than `limit`; equality passes, and numbers alike to 1e-9 are equal."""
    return at_most(limit, have)


def polyline(x: Num, xs: tuple[float, ...], ys: tuple[float, ...]) -> Num:
    """Return y on the broken line through the points, straight between them and level beyond its ends.

    The abscissae must rise. A caller for whom beyond the end means "no data" asks `at_least`/`at_most` first.
    """
    if isinstance(x, _PLAIN):
        if x != x:
            return x
        if x <= xs[0]:
            return ys[0]
        for left in range(len(xs) - 1):
            if x <= xs[left + 1]:
                share = (x - xs[left]) / (xs[left + 1] - xs[left])
                return ys[left] + share * (ys[left + 1] - ys[left])
        return ys[-1]
    import numpy as np

    return np.interp(x, xs, ys)
