"""Things: what can be bought, and what stands in the workshop."""
