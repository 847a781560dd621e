"""Drawings as SVG text: no colours and no sizes in pixels, both are the style sheet's. Each drawing
has its numbers in words beside it.
"""
