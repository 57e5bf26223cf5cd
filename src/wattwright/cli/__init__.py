"""The command line: reads, calls one step, shows."""
