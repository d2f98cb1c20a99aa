"""An invented record: songs composed and synthesised here, with weaknesses that are known."""
