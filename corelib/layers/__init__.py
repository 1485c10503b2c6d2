"""Placed cores to layers: areas, outlines, images."""
