"""Geometry: poses, solids, regions. Each native geometry library is imported in one module here."""
