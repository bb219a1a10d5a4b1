"""What tests of entries in a file share: rows, and sending and confirming a file."""

from django.core.files.uploadedfile import SimpleUploadedFile

HEAD = "Given name,Family name,E-mail,Division,Birth date,Guardian,Guardian phone,Guardian consents,Fee\n"
ADULT = "Zoë,Reed,zoe@example.org,Open,1990-02-28,,,,paid\n"
CHILD = "Tam,Reed,tam@example.org,Open,30.7.2014,Alva Reed,555-0100,yes,\n"


def address(division, rest="import/"):
    return f"/table/{division.event.slug}/entries/{rest}"


def send(client, division, content):
    data = content.encode() if isinstance(content, str) else content
    return client.post(address(division), {"file": SimpleUploadedFile("entries.csv", data)})


def confirm(client, division, page):
    rows = {"rows": page.context["sealed"]}
    return client.post(address(division, "import/confirm/"), rows, follow=True)


def kinds(page):
    return [step.kind for step in page.context["look"].steps]
