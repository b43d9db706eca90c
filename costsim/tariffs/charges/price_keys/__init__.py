"""What the keys of a price's own table charge (``energy``, ``fixed``, ``minimum_bill`` …), beside the charges typed one by one.

A `Tariff` makes these of its fields; their items stand on the bill among those of ``[[prices.NAME.charge]]``.
"""
