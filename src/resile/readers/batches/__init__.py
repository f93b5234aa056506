"""Files by the thousand: where they are found, their bytes, and what is told of them.

`places` walks folders and addresses, `file_register` reads a register of files, `folder_names` takes names
from the folders a file stands in, `details` from the lines above its columns.
"""
