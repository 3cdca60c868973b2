"""Vessels: the tubs, pans, trays, pots and bowls in which a batch cools."""
