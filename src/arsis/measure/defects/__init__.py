"""What can be wrong with a mix as a file, as figures: no judgement is made here (that is `advice.intake`)."""
