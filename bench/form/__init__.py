"""Thirty composed songs with exact truth, and openly licensed ones: how well is the form of a song found?"""
