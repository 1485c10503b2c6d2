"""The one door for window, command line and scripts: a module a use case, nothing computed here."""
