"""A browser at each width, and one without script."""

import pytest
from making.browser import WIDTHS, chromium


@pytest.fixture(scope="module", params=[*WIDTHS, "no script"])
def driver(request):
    """One browser for the tests of a file."""
    with chromium(
        "phone" if request.param == "no script" else request.param, script=request.param != "no script"
    ) as one:
        yield one
