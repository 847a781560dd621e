"""Numbers in addresses: none is longer than the key of a row can be."""

import pytest
from django.urls import get_resolver
from django.urls.converters import IntConverter


@pytest.mark.parametrize("path", ["organisations/{}/code/", "classes/{}/", "sites/{}/", "kits/{}/"])
def test_a_number_that_no_database_holds_is_the_address_of_nothing(desk, path):
    # 2026-11-28: one of nineteen figures ended in an error page.
    for number in (2**63 - 1, 2**63, 10**40):
        assert desk.get("/" + path.format(number)).status_code == 404


def test_no_address_takes_a_longer_number():
    taken = {
        type(converter)
        for entry in get_resolver().url_patterns
        for pattern in entry.url_patterns
        for converter in pattern.pattern.converters.values()
    }
    assert IntConverter not in taken
