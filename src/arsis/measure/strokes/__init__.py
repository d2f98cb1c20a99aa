"""Strokes that come again as the same waveform, and what two kinds of section make of them."""
