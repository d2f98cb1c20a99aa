"""Sections, beats and downbeats of a song, and where its sections can be joined."""

from .features import Features, FeatureStream
from .find import FoundSection, Structure, find_structure
from .joins import Foot, JoinSuggestion, attack_foot, join_near, suggest_join
from .nudge import Grid, Nudge, followed, grid_of, nearest_downbeat, nudged_grid, nudged_starts

__all__ = [
    "FeatureStream",
    "Features",
    "Foot",
    "FoundSection",
    "Grid",
    "JoinSuggestion",
    "Nudge",
    "Structure",
    "attack_foot",
    "find_structure",
    "followed",
    "grid_of",
    "join_near",
    "nearest_downbeat",
    "nudged_grid",
    "nudged_starts",
    "suggest_join",
]
