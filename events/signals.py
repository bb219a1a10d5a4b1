"""What happens in `events` that later applications listen to, and what they are asked.

`events` imports none of them: they connect in their `apps.py`.
"""

from django.dispatch import Signal

# An edition was published, inside the transaction: `edition`, and `by` whom.
edition_published = Signal()

# Who is entered with a club: `club`; each answer is a query set of users.
asked_for_entered = Signal()
