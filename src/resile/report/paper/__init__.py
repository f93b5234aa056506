"""What a report says, in order, before it becomes a web page or a sheet of paper."""
