"""Whether what was drawn or printed on another processor is still the same but for the last digits of its draws.

There hours differ in digits that chains turn into other draws, so that a figure that is shown may be the next one. Seen
so far: no shown figure more than one step off, at most a hundredth of the ink elsewhere.
"""

import re
from difflib import SequenceMatcher

import numpy as np

FIGURE = re.compile(r"\d[\d,]*½?|½")
NEAR, SHARE = 1.0, 0.03  # how far a shown figure may be off: by one, or by so much of it
WORDS = 0.97  # alike of all words but for their figures
PIXELS = 3.0  # how far a mark may lie off
BLUR = 8  # dots: a mark that moves by less is the same mark
ELSEWHERE = 0.02  # of all ink


def figures_of(text):
    """The figures in a text as numbers."""
    return [
        float(found.replace(",", "").rstrip("½") or 0) + 0.5 * found.endswith("½")
        for found in FIGURE.findall(text)
    ]


def words_apart(ours, theirs):
    """What differs in words by more than a step of a figure; empty where nothing does."""
    ours, theirs = ours.split(), theirs.split()
    match = SequenceMatcher(
        None, *([FIGURE.sub("#", word) for word in words] for words in (ours, theirs)), autojunk=False
    )
    if match.ratio() <= WORDS:
        return [f"only {match.ratio():.2f} of the words are alike"]
    pairs = [
        (ours[block.a + i], theirs[block.b + i])
        for block in match.get_matching_blocks()
        for i in range(block.size)
    ]
    return [
        f"{a} instead of {b}"
        for a, b in pairs
        if any(abs(x - y) > max(NEAR, SHARE * y) for x, y in zip(figures_of(a), figures_of(b), strict=True))
    ]


def marks_apart(ours, theirs):
    """Marks of a drawing that lie elsewhere, as (ours, theirs); empty where none does."""
    assert len(ours) == len(theirs)
    return [(a, b) for a, b in zip(ours, theirs, strict=True) if np.abs(np.subtract(a, b)).max() > PIXELS]


def ink_elsewhere(ours, theirs):
    """How much of the ink of a picture lies elsewhere or is missing: 1 where the other is blank.

    ours, theirs: grey levels of one shape
    """
    assert ours.shape == theirs.shape
    paper = np.median(theirs)
    ours, theirs = (_blurred(np.abs(picture - paper)) for picture in (ours, theirs))
    return float(np.abs(ours - theirs).sum() / theirs.sum())


def _blurred(grey):
    """Means of squares of dots; what is left over at the edges falls away."""
    high, wide = (side // BLUR for side in grey.shape)
    return grey[: high * BLUR, : wide * BLUR].reshape(high, BLUR, wide, BLUR).mean(axis=(1, 3))
