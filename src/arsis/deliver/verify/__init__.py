"""A delivery read back from disk: each check is a function from the delivery to what it found wrong."""
