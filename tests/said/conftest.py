"""What the tests of words share."""

import pytest
from said.made_range import ANSWER, SETTINGS


@pytest.fixture
def settings():
    return SETTINGS


@pytest.fixture
def answer():
    return ANSWER
