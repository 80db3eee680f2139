"""Onto the page."""
