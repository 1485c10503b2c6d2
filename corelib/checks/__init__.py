"""Findings on a plan, one module a family."""
