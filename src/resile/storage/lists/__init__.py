"""Lists for pages: queries on the current tables, each giving small frozen rows."""
