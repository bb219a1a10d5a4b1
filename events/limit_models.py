"""How often something was tried lately; kept in the database, which all workers share."""

from django.db import models


class Tally(models.Model):
    """Tries of one kind by one address or account, until a time.

    `key` is a keyed hash: neither addresses nor account names are kept. After `until` the
    tally means nothing and is swept away.
    """

    key = models.CharField(max_length=64, primary_key=True)
    count = models.PositiveIntegerField(default=0)
    until = models.DateTimeField(db_index=True)

    class Meta:
        verbose_name_plural = "tallies"

    def __str__(self) -> str:
        return f"{self.count} until {self.until}"
