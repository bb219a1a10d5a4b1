"""What other sites may read: a JSON interface, data in the page, and a box of rules to show."""
