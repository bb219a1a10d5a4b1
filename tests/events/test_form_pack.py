"""The forms of the site: every input is labelled, and help and errors are tied to it."""

from html.parser import HTMLParser

import pytest
from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, ButtonHolder, Div, Field, Fieldset, Layout, Row, Submit
from crispy_forms.templatetags.crispy_forms_filters import as_crispy_form
from crispy_forms.utils import render_crispy_form
from django import forms


class VenueForm(forms.Form):
    name = forms.CharField(help_text="As on the poster.")
    length = forms.IntegerField(
        min_value=1, required=False, widget=forms.NumberInput(attrs={"data-unit": "m"})
    )
    ends = forms.ChoiceField(
        choices=[("run", "Ends the run"), ("pass", "Ends the pass")],
        widget=forms.RadioSelect,
        help_text="What the next fall does.",
    )
    places = forms.MultipleChoiceField(
        choices=[("in", "Run-in"), ("on", "Course")],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    both = forms.BooleanField(required=False, help_text="With an entry for each.")
    riders = forms.FileField(help_text="A CSV file.")
    token = forms.CharField(widget=forms.HiddenInput, required=False)

    def clean(self):
        raise forms.ValidationError("Say <how> a pass ends.")


class Page(HTMLParser):
    """The elements of some HTML, in order, and the ids among them."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def all(self, tag: str, **wanted: str) -> list[dict[str, str | None]]:
        return [a for t, a in self.elements if t == tag and wanted.items() <= a.items()]

    @property
    def ids(self) -> list[str]:
        return [a["id"] for _, a in self.elements if a.get("id")]


@pytest.fixture
def broken() -> str:
    return as_crispy_form(VenueForm({"length": "-3", "token": "x"}))


class TestField:
    def test_every_input_has_a_label(self):
        """WCAG 2.2, 1.3.1 and 3.3.2: a visible label tied to each input."""
        page = Page(as_crispy_form(VenueForm()))

        labelled = {label["for"] for label in page.all("label")}
        seen = [a for a in page.all("input") if a["type"] != "hidden"]
        assert len(seen) == 8
        assert {a["id"] for a in seen} <= labelled

    def test_ids_are_unique(self, broken):
        ids = Page(broken).ids

        assert len(ids) == len(set(ids))

    def test_descriptions_exist(self, broken):
        """Every id in aria-describedby is on the page: help first, then the error."""
        page = Page(broken)

        described = [a["aria-describedby"] for _, a in page.elements if "aria-describedby" in a]
        assert "id_name_helptext id_name_error" in described
        assert "id_ends_helptext id_ends_error" in described
        assert "id_riders_helptext id_riders_error" in described
        assert "id_length_error" in described
        assert {one for ids in described for one in ids.split()} <= set(page.ids)

    def test_an_error_is_marked_on_the_input(self, broken):
        (name,) = Page(broken).all("input", id="id_name")

        assert name["aria-invalid"] == "true"

    def test_no_error_is_marked_before_anything_was_sent(self):
        html = as_crispy_form(VenueForm())

        assert "aria-invalid" not in html
        assert "has-error" not in html
        assert "error-summary" not in html

    def test_what_was_typed_is_kept(self, broken):
        (length,) = Page(broken).all("input", id="id_length")

        assert length["value"] == "-3"

    def test_unit_is_seen_and_heard(self):
        """The unit stands after the input, and belongs to its label for a screen reader."""
        html = as_crispy_form(VenueForm())

        assert '<span class="unit" aria-hidden="true">m</span>' in html
        assert '<span class="visually-hidden"> (m)</span></label>' in html

    def test_choices_are_grouped_under_their_question(self):
        page = Page(as_crispy_form(VenueForm()))

        assert [f["id"] for f in page.all("fieldset")] == ["div_id_ends", "div_id_places"]
        assert len(page.all("legend")) == 2
        assert len(page.all("input", type="radio")) == 2

    def test_optional_or_required_is_said_in_words(self):
        class Marked(VenueForm):
            mark_required = True

        assert as_crispy_form(VenueForm()).count(">optional<") == 2
        assert as_crispy_form(Marked()).count(">required<") == 3
        assert ">optional<" not in as_crispy_form(Marked())


class TestWholeForm:
    def test_layout(self):
        """Groups, rows, plain blocks and buttons come out as the layout says."""
        form = VenueForm()
        form.helper = FormHelper()
        form.helper.attrs = {"data-guard": True}
        form.helper.layout = Layout(
            Fieldset("Venue", Row("name", "length"), css_id="venue"),
            Div(HTML("<p>Mind the pier.</p>"), "ends", css_class="note"),
            Field("places", wrapper_class="wide"),
            "riders",
            ButtonHolder(Submit("save", "Save"), Submit("c", "Check", css_class="btn-plain")),
        )

        page = Page(render_crispy_form(form, context={"csrf_token": "abc"}))

        (whole,) = page.all("form")
        assert whole["method"] == "post"
        assert whole["enctype"] == "multipart/form-data"
        assert "data-guard" in whole
        assert page.all("input", name="csrfmiddlewaretoken", value="abc")
        assert page.all("fieldset", id="venue")
        assert page.all("div", **{"class": "field-row"})
        assert page.all("fieldset", **{"class": "field field--choices wide"})
        assert [a["value"] for a in page.all("input", type="submit")] == ["Save", "Check"]
        assert not page.all("input", id="id_both")

    def test_get_form_carries_no_token(self):
        form = VenueForm()
        form.helper = FormHelper()
        form.helper.form_method = "get"
        form.helper.add_input(Submit("find", "Find"))

        page = Page(render_crispy_form(form, context={"csrf_token": "abc"}))

        assert not page.all("input", name="csrfmiddlewaretoken")
        assert page.all("input", type="submit", value="Find")


class TestFormset:
    def test_rows_are_numbered_and_errors_stand_in_them(self):
        class TrickForm(forms.Form):
            trick = forms.CharField(max_length=5)

        rows = forms.formset_factory(TrickForm, extra=0)
        sent = {"t-TOTAL_FORMS": "2", "t-INITIAL_FORMS": "0", "t-0-trick": "Raley"}

        html = as_crispy_form(rows(sent | {"t-1-trick": "Tantrum"}, prefix="t"))

        assert '<legend class="visually-hidden">Row 1</legend>' in html
        assert 'id="id_t-1-trick_error"' in html
        assert Page(html).all("input", name="t-TOTAL_FORMS")
        assert "error-summary" not in html  # the page's, see test_faults.py
