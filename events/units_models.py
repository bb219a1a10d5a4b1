"""The units that somebody chose to read figures in, kept with the account."""

from django.conf import settings
from django.db import models


class UnitsChoice(models.Model):
    """One choice for each account that made one; `units` as in `Units.text`."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="units_choice"
    )
    units = models.CharField(max_length=20)

    def __str__(self) -> str:
        return f"{self.user}: {self.units}"
