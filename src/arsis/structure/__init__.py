"""Sections, beats and downbeats of a song, and where its sections can be joined."""

from .features import Features, FeatureStream
from .find import FoundSection, Structure, find_structure
from .joins import Foot, JoinSuggestion, attack_foot, suggest_join

__all__ = [
    "FeatureStream",
    "Features",
    "Foot",
    "FoundSection",
    "JoinSuggestion",
    "Structure",
    "attack_foot",
    "find_structure",
    "suggest_join",
]
