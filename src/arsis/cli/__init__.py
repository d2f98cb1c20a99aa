"""The command line: reads what is asked, calls workflow, shows the answer."""
