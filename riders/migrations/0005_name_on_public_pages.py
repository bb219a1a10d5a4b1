"""Names on public pages. Nobody was asked for riders under age so far, so theirs are off."""

from django.db import migrations, models


def not_named_unasked(apps, schema_editor):
    """Take the names of riders who are under age at their event from public pages."""
    Entry = apps.get_model("riders", "Entry")
    entries = Entry.objects.exclude(rider__born_on=None)
    known = entries.values_list(
        "pk", "rider__born_on", "division__event__first_day", "division__event__adult_age"
    )
    minors = [
        pk
        for pk, born_on, first_day, adult in known
        if first_day.year
        - born_on.year
        - ((first_day.month, first_day.day) < (born_on.month, born_on.day))
        < adult
    ]
    Entry.objects.filter(pk__in=minors).update(is_named=False)


class Migration(migrations.Migration):
    dependencies = [("riders", "0004_entry_desk"), ("events", "0003_fee_and_adult_age")]

    operations = [
        migrations.AddField(
            model_name="entry",
            name="is_named",
            field=models.BooleanField(default=True, verbose_name="name on public pages"),
        ),
        migrations.RunPython(not_named_unasked, migrations.RunPython.noop),
    ]
