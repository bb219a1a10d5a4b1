"""`manage.py send_post`: send the letters that wait; for cron or a systemd timer."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from events.models import Letter
from events.post_delivery import deliver_due, forget_old

NO_SERVER = "There is no mail server (EMAIL_URL is not set): {kept} letters are kept."
DONE = "{sent} sent, {failed} failed, {left} wait."


class Command(BaseCommand):
    """Sends what waits and tries again what failed, then forgets what is old."""

    help = "Sends the letters that wait, tries failed ones again when their time has come, "
    help += "and wipes old ones. Run it every few minutes where no worker runs."

    def handle(self, *args: Any, **options: Any) -> None:
        done = deliver_due()
        forget_old()
        if settings.POST_IS_SENT:
            self.stdout.write(DONE.format(sent=done.sent, failed=done.failed, left=done.left))
        else:
            kept = Letter.objects.filter(state=Letter.State.KEPT).count()
            self.stdout.write(NO_SERVER.format(kept=kept))
