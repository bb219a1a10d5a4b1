"""Where joining leads."""

import pytest

from tests.factories import RiderFactory


@pytest.mark.django_db
@pytest.mark.parametrize("sent", ["0", "riding-home", "//elsewhere.example/", "javascript:x"])
def test_only_an_address_of_this_site_is_gone_on_to(client, sent):
    """A word is no address, though it might be the name of a page."""
    client.force_login(RiderFactory().user)

    answer = client.get("/join/", {"next": sent})

    assert (answer.status_code, answer.url) == (302, "/riding/")
