"""What the user states: jobs, profiles and the files that hold them."""
