"""Plain C, one noun a file, called through ctypes; shapes and types are checked at every call."""
