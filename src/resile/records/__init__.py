"""The laboratory's nouns: frozen records that cross the rooms. Standard library only at run time."""
