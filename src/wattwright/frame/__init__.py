"""The frame: where stacks can sit on a bicycle, what holds them, and what that loads."""
