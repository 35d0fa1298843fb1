"""Words of ours that come as data, in the reader's spelling: walk-round lists, and what pictures say by themselves.

Of a list only its words, never its ids, its answers or the owner's own items.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache, lru_cache

from gyrewright.inspection.items import Item, Reading
from gyrewright.inspection.lists import WalkList
from gyrewright.pictures.speech import WORDS
from gyrewright.words.spelling import spelled


@lru_cache(maxsize=64)
def list_in(walk_list: WalkList, language: str) -> WalkList:
    """Return a list as a reader of a language reads it; its fingerprint stays that of the list itself."""

    def say(text: str) -> str:
        return spelled(text, language)

    def reading(each: Reading) -> Reading:
        return replace(each, name=say(each.name))

    def item(each: Item) -> Item:
        if each.own:
            return each
        return replace(
            each,
            name=say(each.name),
            where=say(each.where),
            caution=say(each.caution),
            do=say(each.do),
            right=say(each.right),
            wrong=say(each.wrong),
            why=say(each.why),
            readings=tuple(map(reading, each.readings)),
            variants=tuple(
                replace(one, texts=tuple((key, say(text)) for key, text in one.texts)) for one in each.variants
            ),
        )

    if spelled("color", language) == "color":
        return walk_list
    return replace(
        walk_list,
        zones=tuple(replace(each, name=say(each.name)) for each in walk_list.zones),
        stands=tuple(replace(each, where=say(each.where)) for each in walk_list.stands),
        items=tuple(map(item, walk_list.items)),
        events=tuple(replace(each, question=say(each.question)) for each in walk_list.events),
        gates=tuple(map(say, walk_list.gates)),
    )


@cache
def picture_words(language: str) -> Mapping[str, str]:
    """Return what pictures say of their own accord where a reader of a language spells it otherwise."""
    return {key: other for key, text in WORDS.items() if (other := spelled(text, language)) != text}
