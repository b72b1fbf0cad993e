"""Which nut goes on a bolt: its class, the standard that has it, and its height.

Which class goes with which bolt: ISO 898-2:2012, nuts of the bolt's first figure or more (the pairing of 8.8 with class
8 read in an extract, the rest from memory).  Thin nuts of classes 04 and 05 (ISO 898-6:2012) go with no bolt: they lock
another nut.  Sizes and classes of the product standards: data/fastener_products.toml.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Literal

from fabgen.shop.tables import data
from fabgen.shop.threaded.fasteners import NutKind, nut_height
from fabgen.shop.threads import Thread, coarse_pitch

Item = Literal["bolt", "nut", "lock nut", "thin nut"]

PAIRING = "ISO 898-2:2012, nuts and bolts that go together (from memory)"
THIN = "ISO 898-6:2012, classes 04 and 05: reduced load, threads may strip (from memory)"

_ITEMS: dict[NutKind, Item] = {"plain": "nut", "lock": "lock nut", "thin": "thin nut"}
_BY_AGREEMENT = 5.0
"""Threads under this diameter, mm, have their property class by agreement."""


@dataclass(frozen=True, slots=True)
class Product:
    """One product standard: the threads it has and, up to a diameter in mm, the property classes."""

    item: Item
    standard: str
    threads: frozenset[str]
    classes: tuple[tuple[float, tuple[str, ...]], ...]
    heights: Mapping[str, float] = field(default_factory=dict)

    def classes_of(self, thread: Thread) -> tuple[str, ...]:
        """The property classes in which it has a thread; none where it does not have it.

        Args:
            thread: metric.
        """
        if _named(thread) not in self.threads:
            return ()
        return next((names for most, names in self.classes if thread.diameter <= most), ())

    def has(self, thread: Thread, name: str) -> bool:
        """Whether it has a thread in a property class.

        Args:
            thread: metric.
            name: the class, '8.8' or '8'.
        """
        known = self.classes_of(thread)
        return name in known or (bool(known) and thread.diameter < _BY_AGREEMENT)


@dataclass(frozen=True, slots=True)
class NutChoice:
    """The nut that goes on a bolt, `height` mm; `strength` as it is ordered, 'class 8'.

    `standard`: '' where no product standard has it, and then `like` is the one whose sizes were taken.
    """

    kind: NutKind
    strength: str
    height: float
    standard: str
    like: str = ""

    @property
    def ordered(self) -> str:
        """How the nut is made and to what standard, for the shopping list."""
        made = ("nylon insert",) if self.kind == "lock" else ()
        return ", ".join((*made, self.standard or f"sizes as {self.like}, which has none of this size and class"))


def choose_nut(thread: Thread, kind: NutKind, bolt: str, own: str | None = None) -> NutChoice:
    """The nut for a bolt: of the least class that goes with it and that a standard has.

    Args:
        thread: of the bolt.
        kind: plain, lock, thin or none.
        bolt: its property class or grade, '8.8', 'A2-70', 'grade 5'.
        own: the class that a job gives for the nut, '8', in place of the one that goes with the bolt.
    Raises:
        FastenerError: there is no such inch nut.
    Source: ISO 898-2 and the scopes of the product standards, from memory.
    """
    if kind == "none":
        return NutChoice("none", "", 0.0, "")
    height = nut_height(thread, kind)
    if thread.series != "M":
        standard = "ASME B18.16.6" if kind == "lock" else "ASME B18.2.2"
        return NutChoice(kind, own or bolt, height, standard)
    known = [product for product in products() if product.item == _ITEMS[kind]]
    for product in known:
        fitting = [name for name in product.classes_of(thread) if name == own or (own is None and fits(name, bolt))]
        if fitting:
            name = min(fitting, key=class_number)
            return NutChoice(kind, _class(name), product.heights.get(thread.size, height), product.standard)
    if known_anyhow := [each for each in known if own is not None and each.has(thread, own)]:
        return NutChoice(kind, _class(own or ""), height, known_anyhow[0].standard)
    name = own or (bolt if bolt.startswith("A") else f"{class_number(bolt):g}")
    coarse = thread.pitch == coarse_pitch(thread.diameter)
    like = {"plain": ("ISO 4032", "ISO 8673"), "lock": ("ISO 7040", "ISO 10512"), "thin": ("ISO 4035", "ISO 8675")}
    return NutChoice(kind, _class(name), height, "", like[kind][not coarse])


def bolt_standard(thread: Thread, like: str, property_class: str) -> str:
    """The standard a bolt is ordered to, '' where the one whose sizes it has does not have its class.

    Args:
        thread: of the bolt.
        like: the standard whose sizes it has.
        property_class: such as '8.8'.
    """
    if thread.series != "M":
        return like
    return like if any(each.standard == like and each.has(thread, property_class) for each in products()) else ""


def fits(nut: str, bolt: str) -> bool:
    """Whether a nut is at least as strong as a bolt and of its kind of steel.

    Args:
        nut: its class, '8', 'A2-70', 'grade 5'; thin ones fit in so far as they are of the bolt's kind of steel.
        bolt: its property class or grade.
    Source: ISO 898-2 (from memory).
    """
    if nut.startswith(("A", "grade")) or bolt.startswith(("A", "grade")):
        return nut.split("-")[0].split(" ")[0] == bolt.split("-")[0].split(" ")[0] and not is_weaker(nut, bolt)
    return not is_weaker(nut, bolt)


def is_weaker(nut: str, bolt: str) -> bool:
    """Whether a nut strips before its bolt breaks; a thin nut is not judged here.

    Args:
        nut: its class, '8', 'A2-70', 'grade 5'.
        bolt: its property class or grade.
    Source: ISO 898-2 (from memory).
    """
    return not is_thin(nut) and class_number(nut) < class_number(bolt) - 1e-9


def is_thin(nut: str) -> bool:
    """Whether a class is one of thin nuts: '04', 'A2-035'.

    Args:
        nut: its class.
    """
    return nut.removeprefix("class ").split("-")[-1].startswith("0")


def class_number(name: str) -> float:
    """What classes are compared by: hundreds of MPa that the bolt breaks at, or that the nut can take.

    Args:
        name: '8.8' and '8' are 8, 'A2-70' is 7; of inch ones the grade's own number.
    """
    plain = name.removeprefix("class ").removeprefix("grade ")
    if "-" in plain:
        return float(plain.split("-")[1]) / 10.0
    return float(plain.split(".")[0])


def _class(name: str) -> str:
    return f"class {name}" if name[0].isdigit() else name


def _named(thread: Thread) -> str:
    return thread.size if thread.pitch == coarse_pitch(thread.diameter) else thread.name


@cache
def products() -> tuple[Product, ...]:
    """The product standards, in the order in which they are tried."""
    return tuple(_products())


def _products() -> Iterator[Product]:
    for entry in data("fastener_products")["product"]:
        classes = tuple((float(step["upto"]), tuple(step["names"])) for step in entry["classes"])
        threads = frozenset((*entry.get("coarse", ()), *entry.get("fine", ())))
        yield Product(entry["item"], entry["standard"], threads, classes, entry.get("heights", {}))
