"""Wattwright works out a bicycle's conversion to electric drive with small battery modules."""

from typing import Final

__version__: Final = "0.1.0"
