"""Pure formulas of the process in SI base units, each with its source."""
