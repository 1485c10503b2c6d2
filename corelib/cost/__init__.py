"""Rates, cost lines and their sharing among cores; money is Decimal."""
