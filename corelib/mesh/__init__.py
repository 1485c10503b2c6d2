"""Mesh file to sound core: readers in a guarded child, inspection, findings."""
