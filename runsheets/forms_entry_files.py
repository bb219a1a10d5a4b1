"""The form that takes a file of entries."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms
from django.urls import reverse
from django.utils.translation import gettext as _

from events.models import Event
from riders.entry_files import ROWS_MOST
from riders.log_forms import UploadForm


class EntriesFileForm(UploadForm):
    """A CSV or XLSX file of entries."""

    def __init__(self, *args: Any, event: Event, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.event = event
        file = self.fields["file"]
        file.label = _("CSV or XLSX file")
        file.help_text = _("At most 1 MB and {most} rows.").format(most=ROWS_MOST)
        file.widget = forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx,text/csv"})

    @property
    def helper(self) -> FormHelper:
        """A plain form with one button."""
        made = FormHelper()
        made.form_action = reverse("table-entries-import", args=[self.event.slug])
        made.add_input(Submit("look", _("Look at the file")))
        return made
