"""The ride: a track with elevation, how it is ridden, and in what weather."""
