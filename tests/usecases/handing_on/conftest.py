import pytest

from tests import handed
from tests.usecases.handing_on.files import exported, through_a_file


@pytest.fixture
def full(ines):
    return handed.full_class(ines)


@pytest.fixture
def document(full, ines):
    return through_a_file(exported(ines))
