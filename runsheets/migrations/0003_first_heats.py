"""Running orders that were made before there were heats get one heat for all."""

import django.db.models.deletion
from django.db import migrations, models


def one_heat_each(apps, schema_editor):
    Heat = apps.get_model("runsheets", "Heat")
    Slot = apps.get_model("runsheets", "Slot")
    for order in apps.get_model("runsheets", "RunningOrder").objects.all():
        heat, _ = Heat.objects.get_or_create(order=order, number=1)
        Slot.objects.filter(order=order, heat=None).update(heat=heat)


class Migration(migrations.Migration):
    dependencies = [("runsheets", "0002_heats_days_and_results")]

    operations = [
        migrations.RunPython(one_heat_each, migrations.RunPython.noop),
        migrations.AlterField(
            model_name="slot",
            name="heat",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="slots",
                to="runsheets.heat",
            ),
        ),
    ]
