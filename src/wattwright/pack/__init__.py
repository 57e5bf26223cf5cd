"""The pack: how modules behave in charge, cold, load and age."""
