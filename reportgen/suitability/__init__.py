"""Judgement: limits, checks, verdict and cautions; knows no cell and no page."""
