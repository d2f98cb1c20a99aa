"""One module a command: the only way from the command line and the desk to the sound."""
