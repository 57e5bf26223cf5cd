"""Lets the tests here call the scripts that write the report of measured rides."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent / "scripts"))
