"""What happens to riders that later applications listen to."""

from django.dispatch import Signal

# A rider's data is being erased, inside the transaction: `rider`, still with the old name.
rider_erased = Signal()

# Whether a running order of `division` is published: each answer is True or False.
asked_if_order_is_public = Signal()
