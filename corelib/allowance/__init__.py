"""From the nominal core to the outline to print, and back."""
