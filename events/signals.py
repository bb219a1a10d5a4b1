"""What happens in `events` that later applications listen to, and what they are asked.

`events` imports none of them: they connect in their `apps.py`.
"""

from django.dispatch import Signal

# An edition was published, inside the transaction: `edition`, and `by` whom.
edition_published = Signal()

# Who is entered with a club: `club`; each answer is a query set of users.
asked_for_entered = Signal()

# Who rode at an earlier event: `earlier` the event or None, `file` the bytes of a file of its
# entries or None, and `event` the new one; each answers `events.earlier.riders.EarlierRiders`.
asked_for_earlier_riders = Signal()
