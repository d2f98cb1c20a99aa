"""The decisions of a song and of a release, as data."""
