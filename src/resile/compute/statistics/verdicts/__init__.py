"""Values against limits for whole archives: what the judge does to one value, done to arrays.

`replicates` finds which determinations belong together and gives their means, `standards` the published
standard deviations and the uncertainty that rests on them, `comparing` rounds and compares, `deciding` gives
outcomes and probabilities. Every limit, band and rule is given; nothing here knows a specification. The judge
has the same rules one value at a time, standard library only; a test holds the two together to the last bit
where the arithmetic allows.
"""
