"""The join: every consideration becomes a limit on the number of modules; the limits make the window."""
