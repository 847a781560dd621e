"""The trade: angles, geodesy, magnetics, grading, diagnosis. Plain values in, plain values out; no
Django here.
"""
