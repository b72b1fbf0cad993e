"""Whether two names mean one thing: 'Rod-end M12' on the rack is the list's 'rod end M12 x 1.75 right'."""

from __future__ import annotations

import re

from fabgen.shop.threads import ThreadError, parse_thread

Key = tuple[str, str]


def purchase_key(item: str, spec: str) -> Key:
    """What item and spec are compared by: capitals, spaces, commas and plurals make no difference,
    and a thread without pitch has the coarse one."""
    return item_key(item), spec_key(spec)


def item_key(item: str) -> str:
    return re.sub(r"[\W_]+", "", item.casefold()).removesuffix("s")


def spec_key(spec: str) -> str:
    try:
        return str(parse_thread(spec))
    except ThreadError:
        return re.sub(r"[\s,;]+", "", spec.casefold().replace("×", "x"))
