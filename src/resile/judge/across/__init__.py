"""What a colleague would notice across the tests of one binder: residues, temperatures, methods, blocks.

`findings` asks all of them of a sample's results; `blocks` looks through a whole table. Every threshold,
text and source stands in ``specifications/findings/across_tests.toml``.
"""
