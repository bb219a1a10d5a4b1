"""The summary of a refused page: gathered from whatever forms it has."""

from django import forms
from django.template import Context, Template
from django.utils.functional import SimpleLazyObject

from events.faults import ROWS_NAMED, Fault, faults_in, faults_of_rows


class LakeForm(forms.Form):
    name = forms.CharField()
    ends = forms.ChoiceField(choices=[("run", "Ends the run")], widget=forms.RadioSelect)
    length = forms.IntegerField(min_value=1)
    token = forms.CharField(widget=forms.HiddenInput)

    def clean(self):
        raise forms.ValidationError("Say <how> a pass ends.")


def shown(**context: object) -> str:
    asked = "{% load faults %}{% page_faults as faults %}{% refusal_word faults %}|"
    return Template(asked + '{% include "_faults.html" %}').render(Context(context))


class TestFaultsIn:
    def test_the_whole_form_first_then_the_fields_in_their_order(self):
        found = faults_in([LakeForm({"length": "-3"})])

        assert [(f.label, f.target) for f in found] == [
            ("", ""),
            ("Name", "id_name"),
            ("Ends", "div_id_ends"),
            ("Length", "id_length"),
            ("Token", ""),
        ]
        assert found[3].message == "Ensure this value is greater than or equal to 1."

    def test_what_was_not_sent_has_no_faults(self):
        assert (
            faults_in([LakeForm(), "text", 3, None, [LakeForm(initial={"length": -3})]]) == []
        )

    def test_a_form_is_told_once_wherever_it_lies(self):
        form = LakeForm({})
        pairs = [("a protest", form)]

        assert len(faults_in([form, {"again": form}, pairs])) == 5

    def test_a_set_of_forms_names_the_row(self):
        class TrickForm(forms.Form):
            trick = forms.CharField(max_length=5)

        rows = forms.formset_factory(TrickForm, extra=0)
        sent = {"t-TOTAL_FORMS": "2", "t-INITIAL_FORMS": "0", "t-0-trick": "Raley"}

        (found,) = faults_in([rows(sent | {"t-1-trick": "Tantrum"}, prefix="t")])

        assert (found.label, found.target) == ("Row 2: Trick", "id_t-1-trick")

    def test_what_has_faults_of_its_own_tells_them(self):
        class Sheet:
            faults = (Fault("Too many.", "Marks", "m-1"),)

        assert faults_in([Sheet(), Fault("Alone.")]) == [*Sheet.faults, Fault("Alone.")]

    def test_lazy_values_are_not_looked_up(self):
        def fail():
            raise AssertionError("looked up")

        assert faults_in([SimpleLazyObject(fail)]) == []


class TestRows:
    def test_each_bad_row_of_a_file_leads_to_its_place(self):
        bad = [(4, [("Born", "31.2.", "Write a day."), ("Bib", "x", "Write a number.")])]

        (found,) = faults_of_rows(bad)

        assert found == Fault("Born: Write a day.; Bib: Write a number.", "Row 4", "row-4")

    def test_a_long_list_is_cut_and_says_so(self):
        bad = [(n, [("Bib", "x", "Write a number.")]) for n in range(2, ROWS_NAMED + 5)]

        found = faults_of_rows(bad)

        assert len(found) == ROWS_NAMED + 1
        assert found[-1].message == "3 more rows; all of them are listed below."


class TestShown:
    def test_it_is_announced_takes_the_focus_and_names_itself(self):
        html = shown(form=LakeForm({"length": "-3"}))

        assert html.startswith("Error: |")
        for part in ('role="alert"', 'tabindex="-1"', "autofocus", "<h2"):
            assert html.count(part) == 1, part
        assert '<a href="#id_length">Length: Ensure' in html

    def test_what_was_typed_into_it_is_escaped(self):
        assert "Say &lt;how&gt; a pass ends." in shown(form=LakeForm({}))

    def test_nothing_is_shown_where_nothing_is_wrong(self):
        assert shown(form=LakeForm()).strip() == "|"
