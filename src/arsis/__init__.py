"""arsis: the shape of a song across its sections, seen, decided, heard, printed, proved and recalled."""
