"""The look: contrast in sun and at dusk, and nothing a strict security policy would block."""

import re
from pathlib import Path

import pytest
from django.template.loader import render_to_string

ROOT = Path(__file__).resolve().parents[2]
CSS = "".join(
    path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "events/static/buoyline").glob("*.css"))
)
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
INK = ("ink", "ink-soft", "accent", "accent-deep")
PAPER = ("ground", "raised", "sunk")


def palettes() -> dict[str, dict[str, str]]:
    """The colours by name, for light and dark."""
    light, dark = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)[:2]
    named = [dict(re.findall(r"--([\w-]+): (#\w+)", block)) for block in (light, dark)]
    return {"light": named[0], "dark": named[0] | named[1]}


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it, of #rgb or #rrggbb."""
    digits = colour[1:] if len(colour) == 7 else "".join(c * 2 for c in colour[1:])
    parts = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    bright, dim = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


def test_contrast_formula():
    """WCAG 2.2: black on white is 21:1; #767676 is the lightest grey that passes on white."""
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#767676", "#fff") >= 4.5 > contrast("#777777", "#fff")


@pytest.mark.parametrize("scheme", ["light", "dark"])
class TestContrast:
    @pytest.mark.parametrize("ink", INK)
    @pytest.mark.parametrize("paper", PAPER)
    def test_text(self, scheme, ink, paper):
        """WCAG 2.2, 1.4.3 (AA): 4.5:1 for text."""
        colours = palettes()[scheme]

        assert contrast(colours[ink], colours[paper]) >= 4.5

    def test_words_on_the_accent(self, scheme):
        colours = palettes()[scheme]

        assert contrast(colours["on-accent"], colours["accent"]) >= 4.5
        assert contrast(colours["on-accent"], colours["accent-deep"]) >= 4.5

    @pytest.mark.parametrize("edge", ["line-strong", "focus"])
    @pytest.mark.parametrize("paper", PAPER)
    def test_edges_of_inputs_and_focus(self, scheme, edge, paper):
        """WCAG 2.2, 1.4.11 (AA): 3:1 for the outline of a control."""
        colours = palettes()[scheme]

        assert contrast(colours[edge], colours[paper]) >= 3


def test_nothing_is_fetched_from_elsewhere():
    addresses = re.findall(r"url\(\"?([^)\"]*)", CSS)

    assert len(addresses) == 3
    assert all(address.startswith("../fonts/heading-") for address in addresses)
    assert "@import" not in CSS


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_templates_have_no_inline_style_or_script(path):
    """A strict content security policy blocks both, and addresses elsewhere too."""
    text = path.read_text(encoding="utf-8")

    assert not re.search(r"\sstyle\s*=|<style|\son[a-z]+\s*=\s*[\"']|javascript:", text)
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r"(src|href)=\"(https?:)?//", text)


def test_error_page_needs_no_context():
    """It is rendered when everything else has failed."""
    html = render_to_string("500.html")

    assert "Something went wrong on our side" in html
    assert 'href="/"' in html
