"""Corestow's window and command line."""
