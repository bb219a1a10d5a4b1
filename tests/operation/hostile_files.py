"""Hostile files: what an upload may hold, whatever its name says. All are made here."""

from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from django.core.files.uploadedfile import SimpleUploadedFile

HEAD = b"Given name,Family name,E-mail,Division\r\n"
LOG_HEAD = b"trick,day,landed,tried\r\n"
NAMES = (
    "rows.csv", "../../etc/passwd", "..\\..\\x.csv", "a\r\nX-Bad: 1.csv", "zq\"'><zqmark>.toml",
    "\u202evsc.exe", "x" * 3000 + ".csv", ".csv", "CON", "rows.xlsx", "\ttab.toml", "%00.csv",
)  # fmt: skip
SHEET = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def workbook(rows: str, *, more: dict[str, bytes] | None = None, doctype: str = "") -> bytes:
    """An XLSX file (ECMA-376) of one sheet, written by hand so that it can be wrong."""
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types"><Default Extension="rels"'
        ' ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{kind}.sheet.main+xml"/><Override '
        f'PartName="/xl/s.xml" ContentType="{kind}.worksheet+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="a" '
        f'Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{SHEET}" xmlns:r="{OFFICE}"><sheets><sheet '
        'name="a" sheetId="1" r:id="a"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships">'
        f'<Relationship Id="a" Type="{OFFICE}/worksheet" Target="s.xml"/></Relationships>',
        "xl/s.xml": f'{doctype}<worksheet xmlns="{SHEET}"><sheetData>{rows}</sheetData>'
        "</worksheet>",
    }
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as file:
        for name, text in parts.items():
            file.writestr(name, text)
        for name, content in (more or {}).items():
            file.writestr(name, content)
    return out.getvalue()


def cell(at: str, text: str, formula: str = "") -> str:
    """A cell with text, or with a formula and the text that was last worked out."""
    if formula:
        return f'<c r="{at}" t="str"><f>{formula}</f><v>{text}</v></c>'
    return f'<c r="{at}" t="inlineStr"><is><t>{text}</t></is></c>'


def named(*texts: str) -> str:
    """The row of names, and one below it."""
    heads = ("Given name", "Family name", "E-mail", "Division")
    first = "".join(cell(f"{'ABCD'[n]}1", text) for n, text in enumerate(heads))
    second = "".join(cell(f"{'ABCD'[n]}2", text) for n, text in enumerate(texts))
    return f'<row r="1">{first}</row><row r="2">{second}</row>'


ENTITIES = (
    "<!DOCTYPE x [<!ENTITY a 'zqzqzqzq'>"
    + "".join(
        f"<!ENTITY {new} '{f'&{old};' * 10}'>"
        for old, new in zip("abcdefgh", "bcdefghi", strict=True)
    )
    + "]>"
)
OUTSIDE = "<!DOCTYPE x [<!ENTITY zqpasswd SYSTEM 'file:///etc/passwd'>]>"
FAR = "".join(
    f'<row r="{n}"><c r="XFD{n}" t="n"><v>1</v></c></row>' for n in range(1, 503)
)  # fmt: skip

FILES: dict[str, bytes] = {
    "empty": b"",
    "only a mark": b"\xef\xbb\xbf",
    "only line ends": b"\r\n" * 2000,
    "too large": HEAD + b"a,b,c,d\r\n" * 140_000,
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 8,
    "a PDF": b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj<<>>endobj",
    "a program": b"\x7fELF" + bytes(4000),
    "a script": b"<html><script>alert(1)</script><zqmark onzq=1>",
    "NUL in a CSV": HEAD + b"Ru\x00na,Moss,runa@example.org,Open\r\n",
    "UTF-16": (HEAD + b"Runa,Moss,runa@example.org,Open").decode().encode("utf-16"),
    "half of UTF-16": b"\xff\xfeG\x00i",
    "a lone surrogate": HEAD + b"\xed\xa0\x80,Moss,runa@example.org,Open\r\n",
    "a very long line": HEAD + b"x" * 900_000,
    "10,000 columns": b",".join(b"c%d" % n for n in range(10_000)) + b"\r\n" + b"1," * 9999,
    "100,000 rows": HEAD + b"a\r\n" * 100_000,
    "a quote left open": HEAD + b'"Runa,Moss\r\n' * 50,
    "names twice": b"Given name,Given name,Family name\r\na,b,c\r\n",
    "markup in cells": HEAD + b'"zq""\'><zqmark onzq=1>",zqa{{7*7}}zqb,a@b.example,Open\r\n',
    "formulas in a CSV": HEAD + b'"=HYPERLINK(""http://x.example"")",+1,-1@x.example,@SUM(1)\r\n',
    "a log with markup": LOG_HEAD + b'"<zqmark onzq=1>{{7*7}}",2026-06-02,1e400,NaN\r\n',
    "a log of great numbers": LOG_HEAD + b"TS FS 180,99999-01-01," + b"9" * 500 + b",1\r\n",
    "zip": b"PK\x03\x04" + bytes(500),
    "a zip that is no workbook": workbook("", more={"../../evil": b"x"})[:-30],
    "an XLSX bomb": workbook(named("a"), more={"xl/media/x": bytes(40 * 1024 * 1024)}),
    "entities in entities": workbook(named("&i;"), doctype=ENTITIES),
    "an entity from outside": workbook(named("&zqpasswd;", "Moss"), doctype=OUTSIDE),
    "formulas": workbook(
        f'{named()}<row r="3">{cell("A3", "Runa", "[1]x!A1")}'
        f'{cell("B3", "Moss", "WEBSERVICE(1)")}{cell("D3", "Open", "CMD|1!A0")}</row>'
    ),
    "far to the right": workbook(FAR),
    "far below": workbook(f'{named("a")}<row r="1048576">{cell("A1048576", "a")}</row>'),
    "cells at no place": workbook('<row r="0"><c r="ZZZZ0"><v>1</v></c></row><row r="-1"/>'),
    "numbers beyond": workbook(
        '<row r="1"><c r="A1" t="n"><v>1e999</v></c><c r="B1" t="d"><v>99999-01-01</v></c>'
        '<c r="C1" t="s"><v>77</v></c><c r="D1" t="e"><v>#REF!</v></c></row>'
    ),
    "deep TOML": b"a = " + b"[" * 20_000 + b"]" * 20_000,
    "deep names in TOML": b".".join([b"a"] * 5000) + b" = 1",
    "deep conditions": b"[[limits]]\nsay = 'x'\nmost = 1\nwhen = " + b"{unless = " * 300 + b"{}" + b"}" * 300,
    "TOML of other kinds": b"passes = 1\nfalls = [[]]\nlimits = {}\nname = 1979-05-27\n",
    "great numbers in TOML": b"[passes]\ncount = " + b"9" * 6000 + b"\nlength_m = nan\n",
    "TOML with markup": b"name = '''zq\"'><zqmark onzq=1>{{7*7}}'''\n[passes]\ncount = 2\n",
    "TOML with a NUL": b'name = "a\\u0000b"\n[passes]\ncount = 2\n',
    "TOML with a half": b'name = "\\uD800"\n[passes]\ncount = 2\n',
}  # fmt: skip


def upload(name: str, content: bytes) -> SimpleUploadedFile:
    """A file whose name is sent as it stands."""
    made = SimpleUploadedFile("x", content)
    made.__dict__["_name"] = name  # the class itself would cut paths off
    return made
