"""The meters: what a sound is, in the figures of the standards and of the trade."""
