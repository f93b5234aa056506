"""Control charts: constants, limits from a set-up, rules, run lengths, changes of level."""
