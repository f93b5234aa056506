"""Where scatter comes from: components of variance of nested and of crossed factors, by analysis of variance.

`nested_components` where each operator has days of his own and each day its duplicates, also with unequal
numbers; `crossed_components` where every operator worked with every instrument the same number of times.
"""
