"""Every picture by its name, as the command line and the desk ask for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from gyrewright.errors import UnknownName
from gyrewright.pictures.distance import distance
from gyrewright.pictures.frame import View
from gyrewright.pictures.limits import limits
from gyrewright.pictures.loading import loading
from gyrewright.pictures.wind import wind
from gyrewright.pictures.windows import windows
from gyrewright.release.answer import Answer

Picture = Callable[[Answer, View], str]

PICTURES: Mapping[str, Picture] = MappingProxyType(
    {"limits": limits, "loading": loading, "windows": windows, "distance": distance, "wind": wind}
)


def picture_named(name: str) -> Picture:
    """Return a picture by its name.

    Raises:
        UnknownName: There is no such picture.
    """
    if name not in PICTURES:
        raise UnknownName(f"there is no picture {name!r}; choose one of: {', '.join(PICTURES)}")
    return PICTURES[name]
