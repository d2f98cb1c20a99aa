"""The version that prints, reports and revisions carry."""

VERSION = "0.1.0"
