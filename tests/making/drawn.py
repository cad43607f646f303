"""What stands on a drawing."""

from matplotlib.patches import PathPatch


def boards_of(axes):
    return [patch for patch in axes.patches if isinstance(patch, PathPatch)]


def middles_of(axes):
    return [patch.get_path().get_extents().intervalx.mean() for patch in boards_of(axes)]


def words_in(axes):
    return [text.get_text() for text in axes.texts]
