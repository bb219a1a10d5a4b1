"""What tests of the table's pages share: addresses, declared runs, and words of a PDF."""

import io

from django.urls import reverse
from pypdf import PdfReader

from events.models import Division
from events.rules.notation import read_run
from riders.services import declare

RULES = {
    "passes": {"count": 2, "length_m": 400, "ended_by": "marker"},
    "falls": {"allowed": 1, "counted_per": "run", "next_fall": "ends run"},
    "rounds": [
        {"name": "Qualifying", "kind": "qualifying", "order": "random"},
        {"name": "Final", "kind": "final", "order": "reverse of the last round"},
    ],
}


def pages(division: Division) -> dict[str, str]:
    slug = division.event.slug
    return {
        "event": reverse("table-event", args=[slug]),
        "order": reverse("table-order", args=[division.pk]),
        "bibs": reverse("table-bibs", args=[slug]),
        "readiness": reverse("table-readiness", args=[slug]),
        "sheets": reverse("table-sheets", args=[division.pk]),
    }


def declare_for(entry, notation="HS backroll, TS FS 180", edition=1, name="Qualifying"):
    return declare(
        entry=entry, round_name=name, run=read_run(notation), side="starboard",
        seen_edition=edition,
    )  # fmt: skip


def entry_of(division, name):
    return division.entries.get(rider__family_name=name)


def words_of(response) -> str:
    pdf = PdfReader(io.BytesIO(b"".join(response.streaming_content)))
    return " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
