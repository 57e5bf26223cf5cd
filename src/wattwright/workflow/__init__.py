"""The steps of the work, in order."""
