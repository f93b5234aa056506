"""From results to statements: classes, whole grades, continuous temperatures, doubts, prices."""
