"""The valid name most like what was written: every error about a name offers one."""

from __future__ import annotations

import difflib
import operator
from collections import Counter
from collections.abc import Iterable, Mapping

from fabgen.wording.input_error import InputError

LONGEST = 80
_LOOK_ALIKE = str.maketrans("oil", "011")
"""Letters that are mistaken for figures, and the figures, as one."""


def nearest(word: str, options: Iterable[str]) -> str:
    """The option most like `word`, capitals aside; '' when none is near.

    One that differs by letters that look like figures alone goes first (LO is L0).  Of options
    equally like it, the one that shares the most letters comes first (S253 is S235 with two
    figures changed about, less likely S275), then the one with most of them in place, then the
    first.
    """
    written = word[:LONGEST].casefold()
    matcher = difflib.SequenceMatcher(b=written, autojunk=False)
    best = ""
    best_score = (False, 0.0, 0, 0)
    for option in options:
        folded = option.casefold()
        if len(folded) > LONGEST:
            continue
        matcher.set_seq1(folded)
        looks_so = folded.translate(_LOOK_ALIKE) == written.translate(_LOOK_ALIKE)
        if not looks_so and (matcher.real_quick_ratio() < 0.5 or matcher.quick_ratio() < 0.5):
            continue
        shared = (Counter(folded) & Counter(written)).total()
        score = (looks_so, matcher.ratio(), shared, sum(map(operator.eq, folded, written)))
        if (looks_so or score[1] >= 0.5) and score > best_score:
            best, best_score = option, score
    return best


def nearest_sizes(wanted: float, sizes: Mapping[str, float]) -> str:
    """The names of the sizes next below and next above one that is in no table: 'M6 or M8'; past its end the last.

    Args:
        wanted: in the sizes' unit.
        sizes: by name, at least one.
    """
    under = [name for name, size in sizes.items() if size <= wanted]
    over = [name for name, size in sizes.items() if size > wanted]
    if not under:
        return f"{min(over, key=sizes.__getitem__)}, the smallest in the table"
    below = max(under, key=sizes.__getitem__)
    if not over:
        return f"{below}, the largest in the table"
    return f"{below} or {min(over, key=sizes.__getitem__)}"


def need_known(name: str, names: Iterable[str], unknown: str, also: Iterable[str] = ()) -> None:
    """Nothing where `name` is one of `names`; `also` are others that may have been meant.

    Raises:
        InputError: it is none; says `unknown`, lists the names and gives the nearest.
    """
    known = list(names)
    if name not in known:
        raise InputError(unknown, ", ".join(known), nearest(name, [*known, *also]))
