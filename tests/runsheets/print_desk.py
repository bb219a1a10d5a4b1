"""What tests of the print page share: its address, what is sent to it, and codes."""

from django.urls import reverse

from runsheets.models import Printing
from runsheets.papers.pack import KINDS


def page(division) -> str:
    return reverse("table-print", args=[division.event.slug])


def sent(division, **changes):
    values = {
        "rounds": [f"{division.pk}:Qualifying"], "kinds": [kind.value for kind in KINDS],
        "paper": "a4", "per_judge": "on",
    }  # fmt: skip
    return values | changes


def printed(client, division, **changes):
    return client.post(page(division), sent(division, **changes))


def code_of(kind: str) -> str:
    return Printing.objects.filter(kind=kind).first().code
