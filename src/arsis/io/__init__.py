"""Sound files and whole documents: what enters the program and what leaves it."""
