"""Which work an item says: by its own words, by what it counts, or by the work that stands above it."""

from __future__ import annotations

from estimator.log.notebook.atom import COUNT, LITTLE, OF_STAGE, TIME, Atom
from estimator.log.notebook.items import Item
from estimator.log.notebook.remarks import is_aside
from estimator.log.notebook.vocabulary import BY_GRIT
from estimator.words.settings.schema import Settings


def stages_said(item: Item, above: Atom | None, settings: Settings) -> tuple[str, ...] | None:
    """The stages that an item may be about; None where it says none. above: the stage that stands above it"""
    atoms = [a for a in item.of(OF_STAGE) if not is_aside(a, item.atoms)]
    atoms = atoms or [a for a in item.of(COUNT) if a.meaning]
    by_paper = bool(atoms) and all(a.meaning is BY_GRIT for a in atoms)
    if (not atoms or by_paper) and above:
        atoms = [above]
    if not atoms:
        counted = {a.noun for a in item.of(COUNT) if a.noun}
        by_driver = [name for name, stage in settings.stages.items() if counted & set(stage.drivers)]
        return tuple(by_driver) if len(by_driver) == 1 else None
    plain = [a for a in atoms if a.meaning and not a.meaning.kept]
    every = [a.meaning.value for a in plain or atoms if a.meaning]
    found = [stages for stages in every if len(stages) == 1] or every
    said = dict.fromkeys(stage for value in found for stage in value if stage in settings.stages)
    return tuple(said) or None


def counts_or_hours(item: Item) -> bool:
    """Whether a bare figure behind let in may be the pieces, and not the hours: red let in 3."""
    if not item.alone:
        return False
    says = [atom for atom in item.atoms if atom.kind != LITTLE]
    for at, atom in enumerate(says[:-1]):
        behind = says[at + 1]
        let_in = atom.kind == OF_STAGE and atom.text.casefold().split()[-1] == "in"
        if let_in and behind.kind == TIME and behind.time and behind.time.bare and behind.time.time.hours > 1:
            return True
    return False
