"""The workbench in the browser: parse, one workflow, show.

A page is a function that takes a `Visit` and gives a response, and one line in the ``routes``
of its module under ``pages`` (`resile.interfaces.web.visit` says how);
`resile.interfaces.web.app` gathers them.
"""
