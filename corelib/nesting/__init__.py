"""Cores and box to packings: placements with gaps kept, proved by an exact gate."""
