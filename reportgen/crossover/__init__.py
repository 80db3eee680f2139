"""Filters; knows drivers only as an impedance and a response."""
