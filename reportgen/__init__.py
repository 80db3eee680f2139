"""Loudspeaker pairings from a workbook, judged, designed and printed."""

__version__ = "0.1.0"
