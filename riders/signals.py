"""What happens to riders that later applications listen to."""

from django.dispatch import Signal

# A rider's data is being erased, inside the transaction: `rider`, still with the old name.
rider_erased = Signal()
