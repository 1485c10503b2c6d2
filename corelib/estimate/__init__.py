"""Binder, bed, layers, time and energy, every figure with its parts."""
