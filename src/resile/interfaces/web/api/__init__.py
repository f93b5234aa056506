"""The same tasks for programs: JSON under a versioned address, described by OpenAPI.

`application` puts it together, `asking` finds out who asks, `computing` are tasks that keep nothing,
`kept` shows what the record holds, `keeping` adds to it.
"""
