"""The files of a release: laid out as a record, written to a profile, tagged, described and read back."""
