"""The language that somebody chose to read pages and letters in, kept with the account."""

from django.conf import settings
from django.db import models


class LanguageChoice(models.Model):
    """One choice for each account that made one; `language` is a code of LANGUAGES."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="language_choice"
    )
    language = models.CharField(max_length=10)

    def __str__(self) -> str:
        return f"{self.user}: {self.language}"
