"""From a plan to a print: what plays when, the passes, the joins, the rides, the finish."""
