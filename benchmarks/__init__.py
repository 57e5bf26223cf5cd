"""Our times beside plain references, in one run: ``./wattwright benchmark``."""
