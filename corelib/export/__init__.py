"""Documents and files that leave the program, one module a format."""
