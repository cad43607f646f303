"""What empty cells mean, and areas worked out from the outline: written quantities to a board's values."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from estimator.words.lengths import convert, face_area_m2, usual_width_m
from estimator.words.settings import Driver, Settings

AREAS = ("m2", "ft2")

Written = Mapping[
    str, float | None
]  # name to value; None: "?", can't see yet; a name left out: nothing written


@dataclass(frozen=True, slots=True)
class Judged:
    """A board's quantities as judged before work and as they turned out, each by name, in its own unit.

    worked_out: names of assessed areas that come from the outline, not from a measure
    usual_width: whether the width that such boards usually have stood in for the board's own
    face_m2: area of one face, None without a length
    """

    assessed: dict[str, float] = field(default_factory=dict)
    found: dict[str, float] = field(default_factory=dict)
    worked_out: frozenset[str] = frozenset()
    usual_width: bool = False
    face_m2: float | None = None


def judged(
    assessed: Written,
    found: Written,
    settings: Settings,
    *,
    same: Collection[str] = (),
    kind: str = "",
    length_m: float | None = None,
    width_m: float | None = None,
    outline: str = "",
) -> Judged:
    """All that is known of a board's quantities, from what was written.

    A driver that the kind does not ask is none. Where anything was assessed, an empty cell is none or not
    known as its `blank` says, and a sometimes-stage not known; where nothing was, all that is asked is not
    known. Areas from the outline follow from length, width and, with `times`, the number of faces.

    assessed, found: drivers in their units, modifiers as grades, sometimes-stages 1 or 0
    same: names found to be just as assessed; one that was not assessed stays not known
    kind: name of a kind, or empty; outline: gun, short, fish, long, or empty

    >>> drivers = {"face": Driver("face", unit="m2", source="outline"), "logos": Driver("logos")}
    >>> judged({}, {}, Settings(drivers=drivers), length_m=2.5, width_m=0.5, outline="long").assessed
    {'face': 1.025}
    """
    asked = settings.kinds[kind].asks if kind in settings.kinds else None
    values = {name: value for name, value in assessed.items() if value is not None}
    outlines = [driver for driver in settings.drivers.values() if _from_outline(driver)]
    for name in settings.quantities:
        if name in assessed or any(name == driver.name for driver in outlines):
            continue
        not_asked = name in settings.drivers and asked is not None and name not in asked
        if not_asked or (assessed and _blank(name, settings) == "none"):
            values[name] = 0.0
    face_m2 = None
    if length_m is not None:
        face_m2 = face_area_m2(length_m, usual_width_m(length_m) if width_m is None else width_m, outline)
    turned_out = {name: value for name, value in found.items() if value is not None}
    turned_out |= {name: values[name] for name in same if name in values}
    worked_out = set()
    from_face = False
    for driver in outlines:
        if driver.name not in assessed:
            area = _area(driver, values, face_m2)
            if area is None and asked is not None and driver.name not in asked:
                area = 0.0
            if area is not None:
                values[driver.name] = area
                worked_out |= {driver.name} if area else set()
        if driver.name in same and driver.name in values:
            turned_out[driver.name] = values[driver.name]
        elif driver.name not in found and driver.times in turned_out:
            area, from_face_too = _found_area(driver, values, turned_out, face_m2)
            from_face |= from_face_too
            if area is not None:
                turned_out[driver.name] = area
    usual = length_m is not None and width_m is None and bool(worked_out or from_face)
    return Judged(values, turned_out, frozenset(worked_out), usual, face_m2)


def with_areas(
    later: Mapping[str, float], assessed: Mapping[str, float], settings: Settings, face_m2: float | None
) -> dict[str, float]:
    """What the owner asked for since, and the areas that the faces among it make where none were written.

    >>> drivers = {"gloss": Driver("gloss"), "area": Driver("area", unit="m2", source="outline", times="gloss")}
    >>> with_areas({"gloss": 1.0}, {"gloss": 1.0, "area": 1.2}, Settings(drivers=drivers), 1.3)
    {'gloss': 1.0, 'area': 1.2}
    """
    areas = dict(later)
    for driver in settings.drivers.values():
        more = later.get(driver.times, 0.0)
        if _from_outline(driver) and more and driver.name not in later and driver.name in assessed:
            faces = assessed.get(driver.times)
            in_all = {driver.times: (faces or 0.0) + more}
            area = None if faces is None else _found_area(driver, assessed, in_all, face_m2)[0]
            if area is not None:
                areas[driver.name] = area - assessed[driver.name]
    return areas


def _from_outline(driver: Driver) -> bool:
    """Whether a driver is an area that the outline tells."""
    return driver.source == "outline" and driver.unit in AREAS


def _blank(name: str, settings: Settings) -> str:
    """What an empty assessed cell means: none or unknown."""
    if name in settings.drivers:
        return settings.drivers[name].blank
    return settings.modifiers[name].blank if name in settings.modifiers else "unknown"


def _area(driver: Driver, values: Mapping[str, float], face_m2: float | None) -> float | None:
    """So many faces in the driver's unit, or None where their size or number is not known."""
    faces = values.get(driver.times) if driver.times else 1.0
    if faces is None or faces == 0:
        return faces
    return None if face_m2 is None else faces * convert(face_m2, "m2", driver.unit)


def _found_area(
    driver: Driver, assessed: Mapping[str, float], found: Mapping[str, float], face_m2: float | None
) -> tuple[float | None, bool]:
    """The area that so many found faces make, and whether the outline told it.

    As many faces as assessed have the area assessed, and others their share of it, so that an area that was
    measured is no surprise when only its sides are confirmed.
    """
    faces, thought = found[driver.times], assessed.get(driver.times)
    if driver.name in assessed and thought is not None:
        if faces == thought:
            return assessed[driver.name], False
        if faces and thought:
            return assessed[driver.name] * faces / thought, False
    area = _area(driver, found, face_m2)
    return area, bool(area)
